/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

gboolean shim_write_file (const char *path, const void *data, gsize length, GError **error);

G_END_DECLS
