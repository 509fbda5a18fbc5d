/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-report-error.h"
#include "shim-table-cell.h"
#include "shim-table-import.h"
#include "shim-table-kinds.h"

/* Columns whose heading is another word for a field, or its own name. */
static void
match_headings (ShimTableImport *self, gboolean by_own_name)
{
  for (guint i = 0; i < self->n_columns; i++)
    {
      const ShimField *field = shim_kind_guess_field (shim_kind_for_type (self->type), self->headings[i]);

      if (field != NULL && shim_field_is_headed (field, self->headings[i]) == by_own_name)
        shim_table_import_set_column (self, i, field);
    }
}

static guint
count_filled (const ShimCsvRow *row)
{
  guint n = 0;

  for (char **cell = row->cells; *cell != NULL; cell++)
    n += **cell != '\0';
  return n;
}

/* A table may have a title of its own over the names of its columns. */
static void
remove_title (GPtrArray *rows)
{
  while (rows->len > 2 && count_filled (rows->pdata[0]) == 1 && count_filled (rows->pdata[1]) > 1)
    g_ptr_array_remove_index (rows, 0);
}

/**
 * shim_table_import_new:
 * @data: (array length=length): a CSV table whose first row names the columns, below a title perhaps
 * @length: its bytes
 * @type: the kind of record the rows are to become
 * @error: READ when it is no table, EMPTY when there are no rows of that kind
 *
 * Returns: (transfer full) (nullable): the table with its columns matched as far as their headings tell
 */
ShimTableImport *
shim_table_import_new (const char *data, gsize length, GType type, GError **error)
{
  g_autoptr (GPtrArray) rows = shim_csv_parse (data, length, error);
  g_autoptr (ShimTableImport) self = NULL;

  if (rows == NULL)
    return NULL;
  remove_title (rows);
  if (rows->len < 2)
    {
      g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_EMPTY,
                   _ ("The table is empty: its first row names the columns, the rows below are the items"));
      return NULL;
    }
  self = g_new0 (ShimTableImport, 1);
  self->type = type;
  self->headings = g_strdupv (((ShimCsvRow *) rows->pdata[0])->cells);
  self->n_columns = g_strv_length (self->headings);
  self->columns = g_new0 (const ShimField *, self->n_columns);
  g_ptr_array_remove_index (rows, 0);
  self->rows = g_steal_pointer (&rows);
  self->n_other_kinds
      = shim_table_kinds_keep ((const char *const *) self->headings, self->rows, shim_kind_for_type (type)->name);
  if (self->rows->len == 0)
    {
      g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_EMPTY, _ ("The table says that all its lines are of another kind"));
      return NULL;
    }
  match_headings (self, FALSE);
  match_headings (self, TRUE);
  return g_steal_pointer (&self);
}

/**
 * shim_table_import_free:
 * @self: (transfer full) (nullable): a table
 */
void
shim_table_import_free (ShimTableImport *self)
{
  if (self == NULL)
    return;
  g_strfreev (self->headings);
  g_free (self->columns);
  g_clear_pointer (&self->rows, g_ptr_array_unref);
  g_free (self);
}

/**
 * shim_table_problem_free:
 * @self: (transfer full) (nullable): a problem
 */
void
shim_table_problem_free (ShimTableProblem *self)
{
  if (self == NULL)
    return;
  g_free (self->sentence);
  g_free (self);
}

/**
 * shim_table_import_set_column:
 * @self: a table
 * @column: which, from 0
 * @field: (nullable): what it fills; a field fills from one column only, so another column that had it loses it
 */
void
shim_table_import_set_column (ShimTableImport *self, guint column, const ShimField *field)
{
  g_return_if_fail (self != NULL);
  g_return_if_fail (column < self->n_columns);

  for (guint i = 0; field != NULL && i < self->n_columns; i++)
    if (self->columns[i] == field)
      self->columns[i] = NULL;
  self->columns[column] = field;
}

static gboolean
is_filled (const ShimTableImport *self, const char *name)
{
  for (guint i = 0; i < self->n_columns; i++)
    if (self->columns[i] != NULL && g_str_equal (self->columns[i]->name, name))
      return TRUE;
  return FALSE;
}

/**
 * shim_table_import_check:
 * @self: a table
 * @error: COLUMNS when a field that must be known has no column
 *
 * Returns: whether the columns suffice
 */
gboolean
shim_table_import_check (const ShimTableImport *self, GError **error)
{
  const ShimKind *kind;

  g_return_val_if_fail (self != NULL, FALSE);

  kind = shim_kind_for_type (self->type);
  for (guint f = 0; f < kind->n_fields; f++)
    {
      const ShimField *field = &kind->fields[f];

      if ((field->flags & SHIM_FIELD_REQUIRED) == 0 || is_filled (self, field->name)
          || (g_str_equal (field->name, "label") && is_filled (self, "model")))
        continue;
      g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_COLUMNS,
                   _ ("No column holds “%s” (heading %s), which every row needs"), _ (field->label), field->name);
      return FALSE;
    }
  return TRUE;
}

/* How well the headings fit a kind: the columns that it knows, and before others a kind that has all it needs. */
static guint
count_fit (const char *data, gsize length, GType type)
{
  g_autoptr (ShimTableImport) table = shim_table_import_new (data, length, type, NULL);
  guint n = 0;

  for (guint i = 0; table != NULL && i < table->n_columns; i++)
    n += table->columns[i] != NULL;
  return table != NULL ? 2 * n + shim_table_import_check (table, NULL) : 0;
}

/**
 * shim_table_import_guess_type:
 * @data: (array length=length): a CSV table whose first row names the columns
 * @length: its bytes
 * @types: (array length=n_types): kinds that it may hold; of two that fit as well the first is taken
 * @n_types: their number, 1 at least
 *
 * Returns: the kind of record that the rows probably are, by their headings
 */
GType
shim_table_import_guess_type (const char *data, gsize length, const GType *types, guint n_types)
{
  GType best;
  guint best_fit = 0;

  g_return_val_if_fail (n_types > 0, G_TYPE_INVALID);

  best = types[0];
  for (guint i = 0; i < n_types; i++)
    {
      const guint fit = count_fit (data, length, types[i]);

      if (fit > best_fit)
        best = types[i];
      best_fit = MAX (best_fit, fit);
    }
  return best;
}

/* A field of the same record, unless a column of its own fills it. */
static const ShimField *
free_field (const ShimTableImport *self, const char *name)
{
  return name != NULL && !is_filled (self, name) ? shim_kind_find_field (shim_kind_for_type (self->type), name) : NULL;
}

/* Who writes 13/04/2021 in one row means the day first in all of them. */
static ShimDayOrder
find_day_order (const ShimTableImport *self, guint column)
{
  ShimDayOrder order = SHIM_DAY_ORDER_UNKNOWN;

  for (guint i = 0; i < self->rows->len; i++)
    {
      char **cells = ((ShimCsvRow *) self->rows->pdata[i])->cells;
      g_autofree char *cell = column < g_strv_length (cells) ? g_strstrip (g_strdup (cells[column])) : NULL;
      const ShimDayOrder own = cell != NULL ? shim_day_order (cell) : SHIM_DAY_ORDER_UNKNOWN;

      if (own != SHIM_DAY_ORDER_UNKNOWN && order != SHIM_DAY_ORDER_UNKNOWN && own != order)
        return SHIM_DAY_ORDER_UNKNOWN;
      if (own != SHIM_DAY_ORDER_UNKNOWN)
        order = own;
    }
  return order;
}

static ShimTableColumn *
columns_new (const ShimTableImport *self)
{
  ShimTableColumn *columns = g_new0 (ShimTableColumn, self->n_columns + 1);

  for (guint i = 0; i < self->n_columns; i++)
    if (self->columns[i] != NULL)
      columns[i] = (ShimTableColumn) {
        .field = self->columns[i],
        .upper = free_field (self, self->columns[i]->upper),
        .beside = free_field (self, self->columns[i]->beside),
        .order = self->columns[i]->type == SHIM_FIELD_DATE ? find_day_order (self, i) : SHIM_DAY_ORDER_UNKNOWN,
      };
  return columns;
}

/* Many kits call their items by maker and model: where the table has no names, so does the register. */
static void
name_by_model (const ShimTableImport *self, ShimRecord *record)
{
  const ShimKind *kind = shim_record_get_kind (record);
  const ShimField *label = shim_kind_find_field (kind, "label"), *model = shim_kind_find_field (kind, "model"),
                  *maker = shim_kind_find_field (kind, "maker");
  g_autofree char *name = NULL;

  if (label == NULL || model == NULL || is_filled (self, "label") || !shim_record_is_known (record, model))
    return;
  name = shim_record_is_known (record, maker)
             ? g_strdup_printf ("%s %s", shim_record_get_text (record, maker), shim_record_get_text (record, model))
             : g_strdup (shim_record_get_text (record, model));
  shim_record_set_text (record, label, name);
}

/* Without the empty cells that stand behind the last column when somebody wrote there once. */
static guint
count_cells (const ShimTableImport *self, const ShimCsvRow *row)
{
  guint n = g_strv_length (row->cells);

  while (n > self->n_columns && *row->cells[n - 1] == '\0')
    n--;
  return n;
}

static ShimRecord *
record_from_row (const ShimTableImport *self, const ShimTableColumn *columns, const ShimCsvRow *row, GError **error)
{
  g_autoptr (ShimRecord) record = g_object_new (self->type, NULL);
  const guint n_cells = count_cells (self, row);

  if (n_cells > self->n_columns)
    {
      g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_COLUMNS,
                   _ ("the row has %u cells, the table only %u columns; is a comma in a cell without quotation marks?"), n_cells,
                   self->n_columns);
      return NULL;
    }
  for (guint i = 0; i < n_cells; i++)
    if (columns[i].field != NULL && !shim_table_cell_parse (&columns[i], record, row->cells[i], error))
      return NULL;
  name_by_model (self, record);
  return shim_record_check (record, error) ? g_steal_pointer (&record) : NULL;
}

/**
 * shim_table_import_records:
 * @self: a table
 * @problems: (out) (transfer full) (element-type ShimTableProblem): what is wrong, line by line; empty when all is well
 *
 * Returns: (transfer full) (element-type ShimRecord) (nullable elements): a record for each row, in order; %NULL where there is a
 *   problem
 */
GPtrArray *
shim_table_import_records (const ShimTableImport *self, GPtrArray **problems)
{
  GPtrArray *records;
  g_autofree ShimTableColumn *columns = NULL;

  g_return_val_if_fail (self != NULL, NULL);
  g_return_val_if_fail (problems != NULL, NULL);

  columns = columns_new (self);
  records = shim_record_holes_new (self->rows->len);
  *problems = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_table_problem_free);
  for (guint i = 0; i < self->rows->len; i++)
    {
      const ShimCsvRow *row = self->rows->pdata[i];
      g_autoptr (GError) error = NULL;
      ShimRecord *record = record_from_row (self, columns, row, &error);

      g_ptr_array_add (records, record);
      if (record == NULL)
        {
          ShimTableProblem *problem = g_new0 (ShimTableProblem, 1);

          problem->line = row->line;
          problem->sentence = g_strdup (error->message);
          g_ptr_array_add (*problems, problem);
        }
    }
  return records;
}

/**
 * shim_table_export:
 * @records: (element-type ShimRecord): records of one kind
 * @type: their type
 *
 * Returns: (transfer full): a CSV table that shim_table_import_new() reads back
 */
GBytes *
shim_table_export (GPtrArray *records, GType type)
{
  const ShimKind *kind = shim_kind_for_type (type);
  g_autofree const char **headings = g_new0 (const char *, kind->n_fields);
  g_autofree const ShimField **fields = g_new0 (const ShimField *, kind->n_fields);
  GString *out = g_string_new (NULL);
  guint n = 0;

  for (guint f = 0; f < kind->n_fields; f++)
    if ((kind->fields[f].flags & (SHIM_FIELD_INTERNAL | SHIM_FIELD_DERIVED)) == 0 && kind->fields[f].type != SHIM_FIELD_BLOB)
      {
        fields[n] = &kind->fields[f];
        headings[n++] = kind->fields[f].name;
      }
  shim_csv_append_row (out, headings, n);
  for (guint i = 0; i < records->len; i++)
    {
      g_auto (GStrv) cells = g_new0 (char *, n + 1);

      for (guint f = 0; f < n; f++)
        cells[f] = shim_record_to_string (records->pdata[i], fields[f]);
      shim_csv_append_row (out, (const char *const *) cells, n);
    }
  return g_string_free_to_bytes (out);
}
