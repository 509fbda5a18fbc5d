/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * shim_names_find:
 * @names: (array length=n_names): names, one per value of an enumeration that begins at 0
 * @n_names: how many
 * @name: (nullable): the name looked for
 * @index: (out): its place, untouched when not found
 *
 * Returns: whether @name is one of them
 */
gboolean shim_names_find (const char *const *names, gsize n_names, const char *name, guint *index);

G_END_DECLS
