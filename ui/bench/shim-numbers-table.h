/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define SHIM_TYPE_NUMBERS_TABLE (shim_numbers_table_get_type ())
G_DECLARE_FINAL_TYPE (ShimNumbersTable, shim_numbers_table, SHIM, NUMBERS_TABLE, GtkWidget)

/**
 * ShimNumbersTable:
 *
 * The numbers of a chart as a table, for those who do not see the chart and for those who want to read it off
 * exactly.
 */

GtkWidget *shim_numbers_table_new         (void);
void       shim_numbers_table_set_columns (ShimNumbersTable *self, const char *const *titles);
void       shim_numbers_table_clear       (ShimNumbersTable *self);
void       shim_numbers_table_add         (ShimNumbersTable *self, const char *const *cells);
guint      shim_numbers_table_get_n_rows  (ShimNumbersTable *self);

G_END_DECLS
