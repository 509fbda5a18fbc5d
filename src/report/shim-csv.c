/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <csv.h>
#include <glib/gi18n-lib.h>
#include <string.h>

#include "shim-csv.h"
#include "shim-report-error.h"

/* Nobody keeps a kit list larger than this; a file that is may not take the memory of the machine. */
#define MAX_BYTES (64u * 1024u * 1024u)
#define UTF8_BOM "\xef\xbb\xbf"

typedef struct
{
  GPtrArray *rows;
  GPtrArray *cells;
  guint first_line;
  gboolean at_row_start;
} Reader;

/**
 * shim_csv_row_free:
 * @self: (transfer full) (nullable): a row
 */
void
shim_csv_row_free (ShimCsvRow *self)
{
  if (self == NULL)
    return;
  g_strfreev (self->cells);
  g_free (self);
}

static void
cell_cb (void *data, size_t length, void *user_data)
{
  Reader *reader = user_data;

  g_ptr_array_add (reader->cells, g_strndup (data != NULL ? data : "", length));
}

static gboolean
are_blank (GPtrArray *cells)
{
  for (guint i = 0; i < cells->len; i++)
    if (strspn (cells->pdata[i], " \t") != strlen (cells->pdata[i]))
      return FALSE;
  return TRUE;
}

/* A spreadsheet writes nothing but delimiters for an empty line. */
static void
row_cb (int terminator, void *user_data)
{
  Reader *reader = user_data;
  ShimCsvRow *row;

  if (are_blank (reader->cells))
    {
      g_ptr_array_set_size (reader->cells, 0);
      reader->at_row_start = TRUE;
      return;
    }
  row = g_new0 (ShimCsvRow, 1);
  g_ptr_array_add (reader->cells, NULL);
  row->line = reader->first_line;
  row->cells = (char **) g_ptr_array_steal (reader->cells, NULL);
  reader->at_row_start = TRUE;
  g_ptr_array_add (reader->rows, row);
}

/* The bytes of the first line of @data, its line break included: LF, CR LF or a lone CR. */
static gsize
line_length (const char *data, gsize length)
{
  gsize n = 0;

  while (n < length && data[n] != '\n' && data[n] != '\r')
    n++;
  if (n + 1 < length && data[n] == '\r' && data[n + 1] == '\n')
    n++;
  return MIN (n + 1, length);
}

static gboolean
is_blank (const char *line, gsize length)
{
  return line[0] == '\r' || line[0] == '\n' || length == 0;
}

/* libcsv does not say where it stands, so it is fed line by line. */
static gboolean
feed_lines (Reader *reader, struct csv_parser *parser, const char *data, gsize length, guint *line)
{
  *line = 0;
  while (length > 0)
    {
      gsize n = line_length (data, length);

      ++*line;
      if (reader->at_row_start && !is_blank (data, n))
        {
          reader->first_line = *line;
          reader->at_row_start = FALSE;
        }
      if (csv_parse (parser, data, n, cell_cb, row_cb, reader) != n)
        return FALSE;
      data += n;
      length -= n;
    }
  /* An unclosed quotation mark swallows the rest of the file; where it was opened is what helps. */
  if (!reader->at_row_start)
    *line = reader->first_line;
  return csv_fini (parser, cell_cb, row_cb, reader) == 0;
}

/* Half the world's spreadsheets write semicolons, since a comma is their decimal point; some write tabs. The first line that is not
 * blank decides. */
static char
guess_delimiter (const char *data, gsize length)
{
  static const char candidates[] = { ',', ';', '\t' };
  gsize counts[G_N_ELEMENTS (candidates)] = { 0 };
  gsize n = line_length (data, length);
  guint best = 0;
  gboolean quoted = FALSE;

  while (n < length && is_blank (data, n))
    {
      data += n;
      length -= n;
      n = line_length (data, length);
    }
  for (const char *p = data; p < data + n; p++)
    {
      if (*p == '"')
        quoted = !quoted;
      for (guint i = 0; !quoted && i < G_N_ELEMENTS (candidates); i++)
        counts[i] += *p == candidates[i];
    }
  for (guint i = 1; i < G_N_ELEMENTS (candidates); i++)
    if (counts[i] > counts[best])
      best = i;
  return candidates[best];
}

static gboolean
check_text (const char *data, gsize length, GError **error)
{
  const char *bad = NULL;

  if (length > MAX_BYTES)
    g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_READ, _ ("The table is larger than %u MB; split it into parts"),
                 MAX_BYTES / 1024 / 1024);
  else if (memchr (data, '\0', length) != NULL)
    g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_READ,
                 _ ("This is not a CSV table; save it from the spreadsheet as CSV (UTF-8)"));
  else if (!g_utf8_validate (data, (gssize) length, &bad))
    {
      guint line = 1;

      for (const char *p = data; p < bad; p++)
        line += *p == '\n';
      g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_READ,
                   _ ("Line %u is not readable text; save the table from the spreadsheet as CSV (UTF-8)"), line);
    }
  else
    return TRUE;
  return FALSE;
}

/**
 * shim_csv_parse:
 * @data: (array length=length): a CSV table (RFC 4180; semicolon or tab instead of comma is recognised), UTF-8, with or without a
 *   byte-order mark
 * @length: its bytes
 * @error: READ when it is no such table
 *
 * Lines with nothing in their cells are passed over. Cells are kept as they stand: whether "007" is a number is for the reader to say.
 *
 * Returns: (transfer full) (element-type ShimCsvRow) (nullable): its rows
 */
GPtrArray *
shim_csv_parse (const char *data, gsize length, GError **error)
{
  g_autoptr (GPtrArray) rows = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_csv_row_free);
  g_autoptr (GPtrArray) cells = g_ptr_array_new_with_free_func (g_free);
  Reader reader = { rows, cells, 1, TRUE };
  struct csv_parser parser;
  guint line = 0;
  gboolean ok;

  g_return_val_if_fail (data != NULL || length == 0, NULL);

  if (length >= 3 && memcmp (data, UTF8_BOM, 3) == 0)
    {
      data += 3;
      length -= 3;
    }
  if (length == 0)
    return g_steal_pointer (&rows);
  if (!check_text (data, length, error))
    return NULL;
  if (csv_init (&parser, CSV_STRICT | CSV_STRICT_FINI) != 0)
    g_error ("out of memory");
  csv_set_delim (&parser, (unsigned char) guess_delimiter (data, length));
  ok = feed_lines (&reader, &parser, data, length, &line);
  if (!ok)
    g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_READ,
                 _ ("Line %u: a quotation mark is not closed or stands inside a cell"), line);
  csv_free (&parser);
  return ok ? g_steal_pointer (&rows) : NULL;
}

static gboolean
needs_quotes (const char *cell)
{
  return strpbrk (cell, "\",;\t\r\n") != NULL || g_ascii_isspace (cell[0])
         || (cell[0] != '\0' && g_ascii_isspace (cell[strlen (cell) - 1]));
}

/**
 * shim_csv_append_row:
 * @out: a table being written
 * @cells: (array length=n_cells) (nullable elements): its cells
 * @n_cells: their number
 *
 * Appends a row as RFC 4180 has it, ended by CR LF.
 */
void
shim_csv_append_row (GString *out, const char *const *cells, guint n_cells)
{
  g_return_if_fail (out != NULL);

  for (guint i = 0; i < n_cells; i++)
    {
      const char *cell = cells[i] != NULL ? cells[i] : "";

      if (i > 0)
        g_string_append_c (out, ',');
      if (needs_quotes (cell))
        {
          gsize size = csv_write (NULL, 0, cell, strlen (cell));
          g_autofree char *quoted = g_malloc (size + 1);

          csv_write (quoted, size, cell, strlen (cell));
          g_string_append_len (out, quoted, (gssize) size);
        }
      else
        g_string_append (out, cell);
    }
  g_string_append (out, "\r\n");
}
