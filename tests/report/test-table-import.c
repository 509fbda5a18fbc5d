/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "report-fixture.h"
#include "shim-report-error.h"
#include "shim-table-import.h"

static ShimTableImport *
table_new (const char *data, GType type)
{
  g_autoptr (GError) error = NULL;
  ShimTableImport *table = shim_table_import_new (data, strlen (data), type, &error);

  g_assert_no_error (error);
  return table;
}

static const char *
field_of (const ShimTableImport *table, guint column)
{
  return table->columns[column] != NULL ? table->columns[column]->name : NULL;
}

static void
test_columns (void)
{
  const char *const wanted[] = { "label",        "serial", "focal_min_mm", "aperture_wide", "mount", NULL, "own_table",
                                 "focal_max_mm", NULL };
  g_autoptr (ShimTableImport) table
      = table_new ("Name,SERIAL NUMBER,Shortest focal length (mm),aperture_wide,Mount,Colour,keeps an own table,focal_max_mm,\n"
                   "Velle 50,007,50,1.8,F,black,no,50,\n",
                   SHIM_TYPE_LENS);

  g_assert_cmpuint (table->n_columns, ==, G_N_ELEMENTS (wanted));
  for (guint i = 0; i < G_N_ELEMENTS (wanted); i++)
    g_assert_cmpstr (field_of (table, i), ==, wanted[i]);
  g_assert_true (shim_table_import_check (table, NULL));
}

/* As people write such tables for themselves: their own headings, units in the cells, both ends of a zoom in one. */
static void
test_own_writing (void)
{
  g_autoptr (ShimTableImport) table
      = table_new ("Make;Model;S/N;Bayonet;Focal length (mm);Max. aperture;Aperture;Weight\n"
                   "Velle;24-70;0042;F;24–70 mm;x;f/2,8-4;805 g\nVelle;50;0043;F;50;x;F1.8;\n",
                   SHIM_TYPE_LENS);
  g_autoptr (GPtrArray) problems = NULL;
  g_autoptr (GPtrArray) records = NULL;
  ShimLens *zoom, *prime;

  g_assert_true (shim_table_import_check (table, NULL));
  records = shim_table_import_records (table, &problems);
  g_assert_cmpuint (problems->len, ==, 0);
  zoom = records->pdata[0];
  prime = records->pdata[1];
  g_assert_cmpstr (zoom->label, ==, "Velle 24-70");
  g_assert_cmpstr (zoom->model, ==, "24-70");
  g_assert_cmpstr (zoom->serial, ==, "0042");
  g_assert_cmpfloat (zoom->focal_min_mm, ==, 24.0);
  g_assert_cmpfloat (zoom->focal_max_mm, ==, 70.0);
  g_assert_cmpfloat (zoom->aperture_wide, ==, 2.8);
  g_assert_cmpfloat (zoom->aperture_long, ==, 4.0);
  g_assert_cmpfloat (zoom->weight_g, ==, 805.0);
  g_assert_cmpfloat (prime->focal_min_mm, ==, 50.0);
  g_assert_true (isnan (prime->focal_max_mm));
  g_assert_cmpfloat (prime->aperture_wide, ==, 1.8);
}

/* What else stands in them: money with its currency, days of the country, empty lines, and cells behind the last column. */
static void
test_spreadsheet (void)
{
  g_autoptr (ShimTableImport) table
      = table_new ("Our lenses, spring 2026;;;;;;;;;\r\n;;;;;;;;;\r\n"
                   "Lens;Name;Mount;Focal length;Max. aperture;Price;Bought;Weight;Close focus;Insured\r\n"
                   "x;Velle 24-70;F;24 to 70;1:2,8;1.299,00 €;3/4/2021;0,8 kg;38 cm;yes;;\r\n"
                   ";;;;;;;;;\r\n"
                   "x;Velle 50;F;50;1,8;CHF 450;13/4/2021;1.5 oz;1.5 ft;no\r\n",
                   SHIM_TYPE_LENS);
  g_autoptr (GPtrArray) problems = NULL;
  g_autoptr (GPtrArray) records = shim_table_import_records (table, &problems);
  ShimLens *zoom, *prime;

  g_assert_cmpuint (problems->len, ==, 0);
  g_assert_cmpuint (records->len, ==, 2);
  zoom = records->pdata[0];
  prime = records->pdata[1];
  g_assert_cmpstr (zoom->label, ==, "Velle 24-70");
  g_assert_cmpfloat (zoom->focal_max_mm, ==, 70.0);
  g_assert_cmpfloat (zoom->aperture_wide, ==, 2.8);
  g_assert_cmpfloat (zoom->worth, ==, 1299.0);
  g_assert_cmpstr (zoom->currency, ==, "€");
  g_assert_cmpstr (zoom->bought_on, ==, "2021-04-03");
  g_assert_cmpfloat (zoom->weight_g, ==, 800.0);
  g_assert_cmpfloat (zoom->nearest_mm, ==, 380.0);
  g_assert_cmpstr (prime->currency, ==, "CHF");
  g_assert_cmpfloat_with_epsilon (prime->nearest_mm, 457.2, 1e-9);
}

/* A whole kit in one table. */
static void
test_kinds_in_a_column (void)
{
  static const char text[] = "Category;Name;Mount;Focal length;S/N\nCamera body;Ash;F;;1\nLens;Velle 50;F;50;2\n"
                             "ZOOM;Velle 24-70;F;24-70;3\n;Birch;F;;4\n";
  static const char colours[] = "Type;Name;Mount\nblack;Ash;F\ncamera;Birch;F\n";
  g_autoptr (ShimTableImport) bodies = table_new (text, SHIM_TYPE_BODY), lenses = table_new (text, SHIM_TYPE_LENS);
  g_autoptr (ShimTableImport) all = table_new (colours, SHIM_TYPE_BODY);
  g_autoptr (ShimTableImport) none = shim_table_import_new ("Kind,Name,Mount\nlens,Velle 50,F\n", 34, SHIM_TYPE_BODY, NULL);

  g_assert_cmpuint (bodies->n_other_kinds, ==, 2);
  g_assert_cmpuint (bodies->rows->len, ==, 2);
  g_assert_cmpuint (((ShimCsvRow *) bodies->rows->pdata[1])->line, ==, 5);
  g_assert_cmpuint (lenses->n_other_kinds, ==, 1);
  g_assert_cmpuint (all->rows->len, ==, 2);
  g_assert_null (none);
}

/* Which of day and month stands first is not to be guessed. */
static void
test_days_that_may_be_two (void)
{
  static const char *const seconds[] = { "5/6/2021", "4/13/2021,", "13/4/2021" };
  static const guint n_problems[] = { 2, 0, 0 };

  for (guint i = 0; i < G_N_ELEMENTS (seconds); i++)
    {
      g_autofree char *text = g_strdup_printf ("label,mount,bought_on\nAsh,F,3/4/2021\nBirch,F,%s\n", seconds[i]);
      g_autoptr (ShimTableImport) table = table_new (text, SHIM_TYPE_BODY);
      g_autoptr (GPtrArray) problems = NULL;
      g_autoptr (GPtrArray) records = shim_table_import_records (table, &problems);

      g_assert_cmpuint (problems->len, ==, n_problems[i]);
      if (n_problems[i] == 0)
        g_assert_cmpstr (((ShimBody *) records->pdata[0])->bought_on, ==, i == 1 ? "2021-03-04" : "2021-04-03");
    }
}

static void
test_guess_type (void)
{
  const GType types[] = { SHIM_TYPE_BODY, SHIM_TYPE_LENS, SHIM_TYPE_CONVERTER, SHIM_TYPE_ADAPTER, SHIM_TYPE_MOUNT };
  const GType lens_first[] = { SHIM_TYPE_LENS, SHIM_TYPE_BODY };
  static const struct { const char *headings, *kind; } cases[] = {
    { "Make;Model;S/N;Bayonet;Focal length;Aperture", "lens" },
    { "Maker;Model;Serial no.;Bayonet;Zoom;f/;Who has it", "lens" },
    { "Name,Maker,Model,Serial,Mount,Slots", "body" },
    { "Name,Mount,Factor", "converter" },
    { "Name,Lens mount,Takes lenses with,Fits bodies with", "adapter" },
    { "Name,Flange distance (mm)", "mount" },
    { "Name,Maker,Model,Serial,Mount", "body" },
    { "Tic,Tac", "body" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *table = g_strconcat (cases[i].headings, "\n1,2,3\n", NULL);
      GType type = shim_table_import_guess_type (table, strlen (table), types, G_N_ELEMENTS (types));

      g_assert_cmpstr (shim_kind_for_type (type)->name, ==, cases[i].kind);
    }
  g_assert_true (shim_table_import_guess_type ("Colour\nred\n", 11, lens_first, 2) == SHIM_TYPE_LENS);
}

static void
test_one_column_for_a_field (void)
{
  g_autoptr (ShimTableImport) table = table_new ("label,serial,serial\nVelle 50,1,2\n", SHIM_TYPE_LENS);
  const ShimField *serial = shim_kind_find_field (shim_kind_for_type (SHIM_TYPE_LENS), "serial");

  g_assert_null (field_of (table, 1));
  g_assert_cmpstr (field_of (table, 2), ==, "serial");
  shim_table_import_set_column (table, 1, serial);
  g_assert_cmpstr (field_of (table, 1), ==, "serial");
  g_assert_null (field_of (table, 2));
}

/* What stands in spreadsheets of different countries; the same lens each time. */
static const char *const same_lens[] = {
  "label,mount,focal_min_mm,aperture_wide,serial\nVelle 50,F,50.5,1.8,003377\n",
  "label;mount;focal_min_mm;aperture_wide;serial\nVelle 50;F;50,5;1,8;003377\n",
  "label\tmount\tfocal_min_mm\taperture_wide\tserial\r\nVelle 50\tF\t50,5\t1,8\t003377\r\n",
  "\xef\xbb\xbflabel;mount;focal_min_mm;aperture_wide;serial\r\nVelle 50;F;50.5;1.8;003377\r\n",
  "\"label\",\"mount\",\"focal_min_mm\",\"aperture_wide\",\"serial\"\nVelle 50,F,\"50,5\",\"1,8\",003377\n",
};

static void
test_numbers (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (same_lens); i++)
    {
      g_autoptr (ShimTableImport) table = table_new (same_lens[i], SHIM_TYPE_LENS);
      g_autoptr (GPtrArray) problems = NULL;
      g_autoptr (GPtrArray) records = shim_table_import_records (table, &problems);
      ShimLens *lens;

      g_assert_cmpuint (problems->len, ==, 0);
      g_assert_cmpuint (records->len, ==, 1);
      lens = records->pdata[0];
      g_assert_cmpstr (lens->label, ==, "Velle 50");
      g_assert_cmpstr (lens->serial, ==, "003377");
      g_assert_cmpfloat (lens->focal_min_mm, ==, 50.5);
      g_assert_cmpfloat (lens->aperture_wide, ==, 1.8);
    }
}

static void
test_required (void)
{
  g_autoptr (ShimTableImport) table = table_new ("label,serial\nVelle 50,1\n", SHIM_TYPE_LENS);
  g_autoptr (GError) error = NULL;

  g_assert_false (shim_table_import_check (table, &error));
  g_assert_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_COLUMNS);
  g_assert_nonnull (strstr (error->message, "mount"));
}

static void
test_empty (void)
{
  const char *const tables[] = { "", "label,serial\n", "\r\n\r\n" };

  for (guint i = 0; i < G_N_ELEMENTS (tables); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (ShimTableImport) table = shim_table_import_new (tables[i], strlen (tables[i]), SHIM_TYPE_LENS, &error);

      g_assert_null (table);
      g_assert_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_EMPTY);
    }
}

/* Lines as an editor counts them, also after a cell of two lines. */
static void
test_problems (void)
{
  static const struct
  {
    guint line;
    const char *part;
  } wanted[] = { { 4, "wide" }, { 5, "5000" }, { 6, "Name" }, { 8, "cells" } };
  g_autoptr (ShimTableImport) table = table_new ("label,mount,focal_min_mm,note\n"
                                                 "Velle 50,F,50,\"two\nlines\"\n"
                                                 "Velle 85,F,wide,\n"
                                                 "Velle 90,F,5000,\n"
                                                 ",F,35,\n"
                                                 "Velle 24,F,24,\n"
                                                 "Velle 28,F,28,5,more\n",
                                                 SHIM_TYPE_LENS);
  g_autoptr (GPtrArray) problems = NULL;
  g_autoptr (GPtrArray) records = shim_table_import_records (table, &problems);

  g_assert_cmpuint (records->len, ==, 6);
  g_assert_cmpuint (problems->len, ==, G_N_ELEMENTS (wanted));
  for (guint i = 0; i < problems->len; i++)
    {
      const ShimTableProblem *problem = problems->pdata[i];

      g_test_message ("%u: %s", problem->line, problem->sentence);
      g_assert_cmpuint (problem->line, ==, wanted[i].line);
      if (i != 1)
        g_assert_nonnull (strstr (problem->sentence, wanted[i].part));
    }
  g_assert_nonnull (records->pdata[0]);
  g_assert_null (records->pdata[1]);
  g_assert_null (records->pdata[2]);
  g_assert_null (records->pdata[3]);
  g_assert_nonnull (records->pdata[4]);
  g_assert_null (records->pdata[5]);
}

/* What is exported comes back the same, field by field. */
static void
test_round_trip (void)
{
  g_autoptr (GPtrArray) lenses = g_ptr_array_new_with_free_func (g_object_unref);
  const ShimKind *kind = shim_kind_for_type (SHIM_TYPE_LENS);
  g_autoptr (ShimTableImport) back = NULL;
  g_autoptr (GPtrArray) problems = NULL;
  g_autoptr (GPtrArray) records = NULL;
  g_autoptr (GBytes) table = NULL;
  g_autoptr (GError) error = NULL;

  g_ptr_array_add (lenses, report_lens_new ("Orrin 24–70, the old one", "0003377"));
  g_ptr_array_add (lenses, report_lens_new ("say \"Velle\"", "-12"));
  g_object_set (lenses->pdata[0], "note", "two\nlines; and a comma, too", "worth", 1234.5, "own-table", (gint64) 1,
                "table-distances-m", "0.4; 1; 3; inf", "bought-on", "2024-02-29", "weight-g", 1.0 / 3.0, NULL);
  table = shim_table_export (lenses, SHIM_TYPE_LENS);
  back = shim_table_import_new (g_bytes_get_data (table, NULL), g_bytes_get_size (table), SHIM_TYPE_LENS, &error);
  g_assert_no_error (error);
  records = shim_table_import_records (back, &problems);
  g_assert_cmpuint (problems->len, ==, 0);
  g_assert_cmpuint (records->len, ==, 2);
  for (guint r = 0; r < 2; r++)
    for (guint f = 0; f < kind->n_fields; f++)
      if (kind->fields[f].type != SHIM_FIELD_BLOB)
        {
          g_autofree char *before = shim_record_to_string (lenses->pdata[r], &kind->fields[f]);
          g_autofree char *after = shim_record_to_string (records->pdata[r], &kind->fields[f]);

          g_assert_cmpstr (after, ==, before);
        }
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/report/table-import/columns", test_columns);
  g_test_add_func ("/report/table-import/own-writing", test_own_writing);
  g_test_add_func ("/report/table-import/spreadsheet", test_spreadsheet);
  g_test_add_func ("/report/table-import/days-that-may-be-two", test_days_that_may_be_two);
  g_test_add_func ("/report/table-import/kinds-in-a-column", test_kinds_in_a_column);
  g_test_add_func ("/report/table-import/guess-type", test_guess_type);
  g_test_add_func ("/report/table-import/one-column-for-a-field", test_one_column_for_a_field);
  g_test_add_func ("/report/table-import/numbers", test_numbers);
  g_test_add_func ("/report/table-import/required", test_required);
  g_test_add_func ("/report/table-import/empty", test_empty);
  g_test_add_func ("/report/table-import/problems", test_problems);
  g_test_add_func ("/report/table-import/round-trip", test_round_trip);
  return g_test_run ();
}
