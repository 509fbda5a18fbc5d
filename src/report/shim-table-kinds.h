/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

guint shim_table_kinds_keep (const char *const *headings, GPtrArray *rows, const char *kind);

G_END_DECLS
