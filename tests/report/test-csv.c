/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-csv.h"
#include "shim-report-error.h"

/* Rows are told as text: cells between bars, rows between line feeds, the line in front. */
static char *
told (GPtrArray *rows)
{
  GString *text = g_string_new (NULL);

  for (guint i = 0; i < rows->len; i++)
    {
      const ShimCsvRow *row = rows->pdata[i];
      g_autofree char *cells = g_strjoinv ("|", row->cells);

      g_string_append_printf (text, "%s%u:%s", i > 0 ? "\n" : "", row->line, cells);
    }
  return g_string_free (text, FALSE);
}

typedef struct
{
  const char *name;
  const char *data;
  const char *rows;
} Case;

/* RFC 4180, section 2, rules 1 to 7; then what spreadsheets write beside it (common practice, no source). */
static const Case cases[] = {
  { "rule-1-crlf", "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "1:aaa|bbb|ccc\n2:zzz|yyy|xxx" },
  { "rule-2-no-last-line-break", "aaa,bbb,ccc\r\nzzz,yyy,xxx", "1:aaa|bbb|ccc\n2:zzz|yyy|xxx" },
  /* Rule 4 counts blanks at the edge of a cell in; nothing in a kit list means them, so without quotation marks they go. */
  { "blanks-at-the-edge", "a, b ,c\r\n", "1:a|b|c" },
  { "blanks-before-quotes", "a, \"b,b\" ,\" c \"\r\n", "1:a|b,b| c " },
  { "rule-5-quoted", "\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "1:aaa|bbb|ccc\n2:zzz|yyy|xxx" },
  { "rule-6-break-inside", "\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "1:aaa|b\r\nbb|ccc\n3:zzz|yyy|xxx" },
  { "rule-6-comma-inside", "\"a,a\",b\r\n", "1:a,a|b" },
  { "rule-7-doubled-quote", "\"aaa\",\"b\"\"bb\",\"ccc\"\r\n", "1:aaa|b\"bb|ccc" },
  { "empty-cells", "a,,c\r\n,,d\r\n", "1:a||c\n2:||d" },
  { "lines-of-empty-cells", ";;\r\na;b;\r\n; ;\r\n;\"\";\r\nc;;\r\n", "2:a|b|\n5:c||" },
  { "line-feed", "a,b\nc,d\n", "1:a|b\n2:c|d" },
  { "carriage-return", "a,b\rc,d\r", "1:a|b\n2:c|d" },
  { "carriage-return-semicolons", "a;b;c\r1,5;d;e\r", "1:a|b|c\n2:1,5|d|e" },
  { "blank-lines", "a,b\r\n\r\n\r\nc,d\r\n\r\n", "1:a|b\n4:c|d" },
  { "blank-first-line", "\r\na;b\r\n1,5;c\r\n", "2:a|b\n3:1,5|c" },
  { "semicolons", "a;b\r\n1,5;c\r\n", "1:a|b\n2:1,5|c" },
  { "tabs", "a\tb\n1,5\tc\n", "1:a|b\n2:1,5|c" },
  { "quoted-delimiters-do-not-count", "\"a;b;c;d\",e\nf,g\n", "1:a;b;c;d|e\n2:f|g" },
  { "one-column", "label\nOrrin\n", "1:label\n2:Orrin" },
  { "byte-order-mark", "\xef\xbb\xbf" "a,b\r\n1,2\r\n", "1:a|b\n2:1|2" },
  { "byte-order-mark-before-quote", "\xef\xbb\xbf" "\"a\",b\r\n", "1:a|b" },
  { "utf-8", "name,note\nOrrin 24–70,1.4×\n", "1:name|note\n2:Orrin 24–70|1.4×" },
  { "leading-zeros", "serial\n003377\n", "1:serial\n2:003377" },
  { "nothing", "", "" },
  { "only-blank-lines", "\r\n\n", "" },
};

static void
test_case (gconstpointer data)
{
  const Case *c = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) rows = shim_csv_parse (c->data, strlen (c->data), &error);
  g_autofree char *text = NULL;

  g_assert_no_error (error);
  text = told (rows);
  g_assert_cmpstr (text, ==, c->rows);
}

typedef struct
{
  const char *name;
  const char *data;
  gsize length;
  const char *part;
} Bad;

static const Bad bad[] = {
  { "nul", "a,b\n1,\0002\n", 9, "not a CSV table" },
  { "utf-16", "a\0,\0b\0\n\0", 8, "not a CSV table" },
  { "invalid-utf-8", "a,b\n1,2\n\xe9,3\n", 12, "Line 3" },
  { "unclosed-quote", "a,b\n\"1,2\n3,4\n", 13, "Line 2" },
  { "quote-inside-cell", "a,b\n1\"x,2\n", 10, "Line 2" },
  { "text-after-quote", "a,b\n1,2\n\"1\"x,2\n", 15, "Line 3" },
};

static void
test_bad (gconstpointer data)
{
  const Bad *b = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) rows = shim_csv_parse (b->data, b->length, &error);

  g_assert_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_READ);
  g_assert_nonnull (strstr (error->message, b->part));
  g_assert_null (rows);
}

static void
test_too_large (void)
{
  const gsize length = 64u * 1024u * 1024u + 1u;
  g_autofree char *data = g_malloc (length);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) rows = NULL;

  memset (data, '\n', length);
  rows = shim_csv_parse (data, length, &error);
  g_assert_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_READ);
  g_assert_nonnull (strstr (error->message, "64 MB"));
}

static void
test_write (void)
{
  const char *const cells[] = { "plain", "a,b", "say \"so\"", "two\nlines", " edge ", NULL, "", "003377", "semi;colon" };
  g_autoptr (GString) out = g_string_new (NULL);
  g_autoptr (GPtrArray) rows = NULL;
  g_autoptr (GError) error = NULL;
  const ShimCsvRow *row;

  shim_csv_append_row (out, cells, G_N_ELEMENTS (cells));
  g_assert_cmpstr (out->str, ==,
                   "plain,\"a,b\",\"say \"\"so\"\"\",\"two\nlines\",\" edge \",,,003377,\"semi;colon\"\r\n");
  rows = shim_csv_parse (out->str, out->len, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (rows->len, ==, 1);
  row = rows->pdata[0];
  for (guint i = 0; i < G_N_ELEMENTS (cells); i++)
    g_assert_cmpstr (row->cells[i], ==, cells[i] != NULL ? cells[i] : "");
  g_assert_null (row->cells[G_N_ELEMENTS (cells)]);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *path = g_strconcat ("/report/csv/read/", cases[i].name, NULL);

      g_test_add_data_func (path, &cases[i], test_case);
    }
  for (guint i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_autofree char *path = g_strconcat ("/report/csv/bad/", bad[i].name, NULL);

      g_test_add_data_func (path, &bad[i], test_bad);
    }
  g_test_add_func ("/report/csv/too-large", test_too_large);
  g_test_add_func ("/report/csv/write", test_write);
  return g_test_run ();
}
