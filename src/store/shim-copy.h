/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-db.h"

G_BEGIN_DECLS

gboolean shim_copy_database (ShimDb *from, const char *path, GError **error);
gboolean shim_copy_over     (ShimDb *from, const char *path, GError **error);
gboolean shim_copy_into     (ShimDb *from, ShimDb *to, GError **error);

G_END_DECLS
