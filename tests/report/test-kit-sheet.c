/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <json-glib/json-glib.h>
#include <string.h>
#include <unistd.h>

#include "report-fixture.h"
#include "shim-csv.h"
#include "shim-report-error.h"

static ShimKitSheet *
sheet_of (ShimJobKit *kit)
{
  g_autoptr (GDateTime) made_at = report_made_at ();

  return shim_kit_sheet_new (kit, made_at);
}

static void
test_model (ReportFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimJobKit) kit = report_kit_new (2, 3);
  g_autoptr (ShimKitSheet) sheet = NULL;
  g_autofree char *all = NULL;

  report_kit_tune (kit, 0, 0, 7, 3);
  report_kit_tune (kit, 0, 1, -4, SHIM_NO_INT);
  g_object_set (kit->lenses->pdata[2], "mount", "EF / EF-S", NULL);
  sheet = sheet_of (kit);
  g_assert_cmpuint (sheet->items->len, ==, 5);
  /* The third lens fits neither body. */
  g_assert_cmpuint (sheet->pairs->len, ==, 4);
  g_assert_null (sheet->matrix[2 * 2 + 0]);
  g_assert_cmpint (sheet->matrix[0]->value, ==, 7);
  g_assert_cmpstr (sheet->matrix[0]->slot_note, ==, "slot 3");
  g_assert_cmpstr (sheet->matrix[0]->decided_on, ==, "2026-11-20");
  g_assert_cmpstr (sheet->matrix[1 * 2]->slot_note, ==, "not keyed in");
  g_assert_cmpint (sheet->matrix[1]->state, ==, SHIM_PAIR_UNTESTED);
  all = g_strjoinv ("\n", sheet->not_ready);
  g_test_message ("%s", all);
  /* Both lenses that were never tested on the second body stand in one line. */
  g_assert_nonnull (strstr (all, "School body 2 was never tested with any of the 2 lenses that fit it."));
  g_assert_nonnull (strstr (all, "Velle 50 copy 2"));
  g_assert_nonnull (strstr (all, "Velle 50 copy 3"));
}

static void
test_slot_notes (ReportFixture *fixture, gconstpointer data)
{
  static const struct
  {
    gint64 slot;
    ShimSlotState state;
    gint64 held;
    const char *note;
  } cases[] = {
    { 4, SHIM_SLOT_KEYED, 7, "slot 4" },           { 0, SHIM_SLOT_KEYED, 7, "in the lens" },
    { SHIM_NO_INT, SHIM_SLOT_FREE, 7, "not keyed in" }, { 4, SHIM_SLOT_LOST, 7, "slot 4, lost by a reset" },
    { 4, SHIM_SLOT_OVERWRITTEN, 7, "slot 4, overwritten" }, { 4, SHIM_SLOT_KEYED, 6, "slot 4 holds another value" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimJobKit) kit = report_kit_new (1, 1);
      g_autoptr (ShimKitSheet) sheet = NULL;
      ShimPairNow *now = report_kit_tune (kit, 0, 0, 7, cases[i].slot);

      now->slot_state = cases[i].state;
      now->slot_value = cases[i].held;
      sheet = sheet_of (kit);
      g_assert_cmpstr (sheet->matrix[0]->slot_note, ==, cases[i].note);
    }
}

/* Column of a heading. */
static guint
column_of (GPtrArray *rows, const char *heading)
{
  const ShimCsvRow *first = rows->pdata[0];

  for (guint i = 0; first->cells[i] != NULL; i++)
    if (g_str_equal (first->cells[i], heading))
      return i;
  g_assert_not_reached ();
}

static void
test_csv (ReportFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimJobKit) kit = report_kit_new (2, 2);
  g_autoptr (ShimKitSheet) sheet = NULL;
  g_autoptr (GBytes) table = NULL;
  g_autoptr (GPtrArray) rows = NULL;
  g_autoptr (GError) error = NULL;
  const ShimCsvRow *pair;

  report_kit_tune (kit, 0, 0, -7, 3);
  g_object_set (kit->lenses->pdata[0], "label", "Velle, \"the old\"\n50", NULL);
  sheet = sheet_of (kit);
  table = shim_kit_sheet_to_csv (sheet);
  rows = shim_csv_parse (g_bytes_get_data (table, NULL), g_bytes_get_size (table), &error);
  g_assert_no_error (error);
  g_assert_cmpuint (rows->len, ==, 1 + 4 + 4 + g_strv_length (sheet->not_ready));
  for (guint i = 0; i < rows->len; i++)
    g_assert_cmpuint (g_strv_length (((ShimCsvRow *) rows->pdata[i])->cells), ==,
                      g_strv_length (((ShimCsvRow *) rows->pdata[0])->cells));
  g_assert_cmpstr (((ShimCsvRow *) rows->pdata[1])->cells[column_of (rows, "serial")], ==, "00703000");
  pair = rows->pdata[5];
  g_assert_cmpstr (pair->cells[column_of (rows, "lens")], ==, "Velle, \"the old\"\n50");
  g_assert_cmpstr (pair->cells[column_of (rows, "setting")], ==, "-7");
  g_assert_cmpstr (pair->cells[column_of (rows, "slot")], ==, "3");
  g_assert_cmpstr (pair->cells[column_of (rows, "residual_mm")], ==, "-1.25");
  g_assert_cmpstr (pair->cells[column_of (rows, "residual_se_mm")], ==, "0.31");
  g_assert_cmpstr (pair->cells[column_of (rows, "state")], ==, "tuned");
}

static void
test_json (ReportFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimJobKit) kit = report_kit_new (2, 2);
  g_autoptr (ShimKitSheet) sheet = NULL;
  g_autofree char *text = NULL;
  g_autoptr (JsonNode) node = NULL;
  g_autoptr (GError) error = NULL;
  JsonObject *object, *pair;

  report_kit_tune (kit, 0, 0, -7, 3);
  sheet = sheet_of (kit);
  text = shim_kit_sheet_to_json (sheet);
  node = json_from_string (text, &error);
  g_assert_no_error (error);
  object = json_node_get_object (node);
  g_assert_cmpuint (json_array_get_length (json_object_get_array_member (object, "items")), ==, 4);
  g_assert_cmpuint (json_array_get_length (json_object_get_array_member (object, "pairs")), ==, 4);
  g_assert_cmpuint (json_array_get_length (json_object_get_array_member (object, "not_ready")), ==,
                    g_strv_length (sheet->not_ready));
  pair = json_array_get_object_element (json_object_get_array_member (object, "pairs"), 0);
  g_assert_cmpint (json_object_get_int_member (pair, "setting"), ==, -7);
  g_assert_true (json_object_get_null_member (pair, "setting_long"));
  g_assert_cmpstr (json_object_get_string_member (pair, "lens_serial"), ==, "V5-00000");
  pair = json_array_get_object_element (json_object_get_array_member (object, "pairs"), 1);
  g_assert_true (json_object_get_null_member (pair, "setting"));
  g_assert_cmpstr (json_object_get_string_member (pair, "state"), ==, "untested");
}

static void
test_empty_kit (ReportFixture *fixture, gconstpointer data)
{
  const char *const names[] = { "empty.pdf", "empty.csv", "empty.json" };
  g_autoptr (ShimJobKit) kit = shim_job_kit_new ();
  g_autoptr (ShimKitSheet) sheet = sheet_of (kit);

  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    {
      g_autofree char *path = report_fixture_path (fixture, names[i]);
      g_autoptr (GError) error = NULL;

      g_assert_true (shim_kit_sheet_write (sheet, SHIM_PAPER_A4, path, &error));
      g_assert_no_error (error);
      g_assert_true (g_file_test (path, G_FILE_TEST_IS_REGULAR));
    }
}

static void
assert_refused (const ShimKitSheet *sheet, const char *path, const char *part)
{
  g_autoptr (GError) error = NULL;

  g_assert_false (shim_kit_sheet_write (sheet, SHIM_PAPER_A4, path, &error));
  g_assert_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_WRITE);
  g_test_message ("%s", error->message);
  g_assert_nonnull (strstr (error->message, part));
}

static void
test_unwritable (ReportFixture *fixture, gconstpointer data)
{
  const char *const endings[] = { "pdf", "csv", "json" };
  g_autoptr (ShimJobKit) kit = report_kit_new (1, 1);
  g_autoptr (ShimKitSheet) sheet = sheet_of (kit);
  g_autofree char *other = report_fixture_path (fixture, "sheet.odt");

  for (guint i = 0; i < G_N_ELEMENTS (endings); i++)
    {
      g_autofree char *name = g_strconcat ("no-folder/sheet.", endings[i], NULL);
      g_autofree char *missing = report_fixture_path (fixture, name);
      g_autofree char *folder_name = g_strconcat ("folder.", endings[i], NULL);
      g_autofree char *folder = report_fixture_path (fixture, folder_name);

      assert_refused (sheet, missing, "sheet.");
      g_assert_cmpint (g_mkdir (folder, 0700), ==, 0);
      assert_refused (sheet, folder, "is a folder");
    }
  assert_refused (sheet, other, ".pdf, .csv or .json");
}

/* A link to the device that is always full stands for a full disk; the link must still be there afterwards. */
static void
test_full_disk (ReportFixture *fixture, gconstpointer data)
{
  const char *const endings[] = { "pdf", "csv", "json" };
  g_autoptr (ShimJobKit) kit = report_kit_new (3, 4);
  g_autoptr (ShimKitSheet) sheet = sheet_of (kit);

  if (!g_file_test ("/dev/full", G_FILE_TEST_EXISTS))
    {
      g_test_skip ("there is no /dev/full here");
      return;
    }
  for (guint i = 0; i < G_N_ELEMENTS (endings); i++)
    {
      g_autofree char *name = g_strconcat ("full.", endings[i], NULL);
      g_autofree char *path = report_fixture_path (fixture, name);

      g_assert_cmpint (symlink ("/dev/full", path), ==, 0);
      assert_refused (sheet, path, g_strerror (ENOSPC));
      g_assert_true (g_file_test (path, G_FILE_TEST_IS_SYMLINK));
      g_assert_false (g_file_test ("/dev/full", G_FILE_TEST_IS_REGULAR));
    }
}

/* A link stays a link, and what it points at gets the sheet. */
static void
test_through_link (ReportFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimJobKit) kit = report_kit_new (1, 1);
  g_autoptr (ShimKitSheet) sheet = sheet_of (kit);
  g_autofree char *real = report_fixture_path (fixture, "real.csv");
  g_autofree char *link = report_fixture_path (fixture, "link.csv");
  g_autofree char *text = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (g_file_set_contents (real, "old", -1, NULL));
  g_assert_cmpint (symlink (real, link), ==, 0);
  g_assert_true (shim_kit_sheet_write (sheet, SHIM_PAPER_A4, link, &error));
  g_assert_no_error (error);
  g_assert_true (g_file_test (link, G_FILE_TEST_IS_SYMLINK));
  g_assert_true (g_file_get_contents (real, &text, NULL, NULL));
  g_assert_nonnull (strstr (text, "00703000"));
}

#define ADD(name, func) g_test_add ("/report/kit-sheet/" name, ReportFixture, NULL, report_fixture_set_up, func, report_fixture_tear_down)

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  ADD ("model", test_model);
  ADD ("slot-notes", test_slot_notes);
  ADD ("csv", test_csv);
  ADD ("json", test_json);
  ADD ("empty-kit", test_empty_kit);
  ADD ("unwritable", test_unwritable);
  ADD ("full-disk", test_full_disk);
  ADD ("through-link", test_through_link);
  return g_test_run ();
}
