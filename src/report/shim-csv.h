/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

/**
 * ShimCsvRow:
 * @line: line of the file it begins on, from 1
 * @cells: (array zero-terminated=1): its cells, UTF-8
 */
typedef struct
{
  guint line;
  char **cells;
} ShimCsvRow;

GPtrArray *shim_csv_parse      (const char *data, gsize length, GError **error);
void       shim_csv_row_free   (ShimCsvRow *self);
void       shim_csv_append_row (GString *out, const char *const *cells, guint n_cells);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimCsvRow, shim_csv_row_free)

G_END_DECLS
