/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-db.h"
#include "shim-record.h"

G_BEGIN_DECLS

/* Records in and out of SQL. Every name of a table or column in SQL text comes from the static field tables. */

char       *shim_row_columns     (const ShimKind *kind, const char *table, gboolean with_blobs);
char       *shim_row_insert_sql  (const ShimKind *kind);
char       *shim_row_update_sql  (const ShimKind *kind);
void        shim_row_bind        (ShimStatement *statement, ShimRecord *record);
void        shim_row_bind_value  (ShimStatement *statement, int index, const ShimField *field, const char *text);
ShimRecord *shim_row_read        (ShimStatement *statement, GType type);
void        shim_row_read_list   (ShimStatement *statement, GType type, GPtrArray *list, ShimStep *last, GError **error);

G_END_DECLS
