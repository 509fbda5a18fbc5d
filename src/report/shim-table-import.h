/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-csv.h"
#include "shim-record.h"

G_BEGIN_DECLS

/**
 * ShimTableImport:
 * @type: which kind of record the rows become
 * @headings: (array length=n_columns): first row of the table
 * @columns: (array length=n_columns) (nullable elements): the field that each column fills; %NULL = left out
 * @n_columns: number of columns
 * @rows: (element-type ShimCsvRow): the other rows
 * @n_other_kinds: rows that are not among them, since the table says that they are of another kind
 *
 * A table from a spreadsheet on its way to become records. @columns starts as guessed from the headings; change it by
 * shim_table_import_set_column().
 */
typedef struct
{
  GType type;
  char **headings;
  const ShimField **columns;
  guint n_columns;
  GPtrArray *rows;
  guint n_other_kinds;
} ShimTableImport;

/**
 * ShimTableProblem:
 * @line: of the file, from 1
 * @sentence: what is wrong there
 */
typedef struct
{
  guint line;
  char *sentence;
} ShimTableProblem;

ShimTableImport *shim_table_import_new        (const char *data, gsize length, GType type, GError **error);
GType            shim_table_import_guess_type (const char *data, gsize length, const GType *types, guint n_types);
void             shim_table_import_free       (ShimTableImport *self);
void             shim_table_import_set_column (ShimTableImport *self, guint column, const ShimField *field);
gboolean         shim_table_import_check      (const ShimTableImport *self, GError **error);
GPtrArray       *shim_table_import_records    (const ShimTableImport *self, GPtrArray **problems);
void             shim_table_problem_free      (ShimTableProblem *self);
GBytes          *shim_table_export            (GPtrArray *records, GType type);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimTableImport, shim_table_import_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimTableProblem, shim_table_problem_free)

G_END_DECLS
