/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

G_BEGIN_DECLS

/**
 * ShimFileRow:
 *
 * A row that holds the path of a picture: chosen with a file chooser, or taken off.
 *
 * Property "path" (string, %NULL = none).
 */
#define SHIM_TYPE_FILE_ROW (shim_file_row_get_type ())
G_DECLARE_FINAL_TYPE (ShimFileRow, shim_file_row, SHIM, FILE_ROW, AdwActionRow)

GtkWidget  *shim_file_row_new      (const char *path);
const char *shim_file_row_get_path (ShimFileRow *self);
void        shim_file_row_set_path (ShimFileRow *self, const char *path);

G_END_DECLS
