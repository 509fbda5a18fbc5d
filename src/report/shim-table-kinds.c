/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-csv.h"
#include "shim-field.h"
#include "shim-table-kinds.h"

/* Many a kit stands in one table, with a column that says what each line is. */

#define HEADINGS N_ ("kind;type;category;class;group;what;item type;kind of item;equipment")

static const struct
{
  const char *kind, *words;
} kinds[] = {
  { "body", N_ ("body;bodies;camera;cameras;camera body;camera bodies") },
  { "lens", N_ ("lens;lenses;objective;objectives;prime;zoom;prime lens;zoom lens") },
  { "converter", N_ ("converter;converters;teleconverter;extender") },
  { "adapter", N_ ("adapter;adapters;adaptor;mount adapter") },
  { "mount", N_ ("mount;mounts;bayonet") },
};

static const char *
kind_of (const char *cell)
{
  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
    if (shim_field_words_hold (kinds[i].words, cell) || shim_field_words_hold (_ (kinds[i].words), cell))
      return kinds[i].kind;
  return NULL;
}

static const char *
cell_of (const GPtrArray *rows, guint row, guint column)
{
  char **cells = ((ShimCsvRow *) rows->pdata[row])->cells;

  return column < g_strv_length (cells) ? cells[column] : "";
}

/* Whether every cell with something in it is the name of a kind. */
static gboolean
names_kinds (const GPtrArray *rows, guint column)
{
  guint n = 0;

  for (guint i = 0; i < rows->len; i++)
    {
      const char *cell = cell_of (rows, i, column);

      if (*cell != '\0' && kind_of (cell) == NULL)
        return FALSE;
      n += *cell != '\0';
    }
  return n > 0;
}

/**
 * shim_table_kinds_keep:
 * @headings: (array zero-terminated=1): what stands over the columns
 * @rows: (element-type ShimCsvRow): lines of a table
 * @kind: "body", "lens" …
 *
 * Takes out lines of which a column of the table says that they are of another kind.
 *
 * Returns: how many it took out
 */
guint
shim_table_kinds_keep (const char *const *headings, GPtrArray *rows, const char *kind)
{
  const guint n_before = rows->len;
  guint column = 0;

  while (headings[column] != NULL
         && !((shim_field_words_hold (HEADINGS, headings[column]) || shim_field_words_hold (_ (HEADINGS), headings[column]))
              && names_kinds (rows, column)))
    column++;
  if (headings[column] == NULL)
    return 0;
  for (guint i = rows->len; i > 0; i--)
    {
      const char *said = kind_of (cell_of (rows, i - 1, column));

      if (said != NULL && !g_str_equal (said, kind))
        g_ptr_array_remove_index (rows, i - 1);
    }
  return n_before - rows->len;
}
