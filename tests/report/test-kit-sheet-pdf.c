/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gio/gio.h>
#include <math.h>
#include <string.h>

#include "report-fixture.h"

/* The PDF is read by poppler's tools, which share nothing with the program. */

static char *
output_of (const char *program, const char *option, const char *path)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *found = g_find_program_in_path (program);
  g_autoptr (GSubprocess) process = NULL;
  char *text = NULL;

  g_assert_nonnull (found);
  process = g_subprocess_new (G_SUBPROCESS_FLAGS_STDOUT_PIPE, &error, program, option, path,
                              g_str_equal (program, "pdftotext") ? "-" : NULL, NULL);
  g_assert_no_error (error);
  g_assert_true (g_subprocess_communicate_utf8 (process, NULL, NULL, &text, NULL, &error));
  g_assert_no_error (error);
  g_assert_true (g_subprocess_get_successful (process));
  return text;
}

static char *
written (ReportFixture *fixture, ShimJobKit *kit, ShimPaper paper, const char *name)
{
  g_autoptr (GDateTime) made_at = report_made_at ();
  g_autoptr (ShimKitSheet) sheet = shim_kit_sheet_new (kit, made_at);
  g_autoptr (GError) error = NULL;
  char *path = report_fixture_path (fixture, name);

  g_assert_true (shim_kit_sheet_write (sheet, paper, path, &error));
  g_assert_no_error (error);
  return path;
}

static guint
count (const char *text, const char *part)
{
  guint n = 0;

  for (const char *p = strstr (text, part); p != NULL; p = strstr (p + strlen (part), part))
    n++;
  return n;
}

/* A4 is 210 × 297 mm (ISO 216), Letter 8.5 × 11 in; a point is 1/72 in. pdfinfo prints six digits. */
static void
test_paper (ReportFixture *fixture, gconstpointer data)
{
  static const struct
  {
    ShimPaper paper;
    double width_pt, height_pt;
  } papers[] = { { SHIM_PAPER_A4, 210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0 }, { SHIM_PAPER_LETTER, 8.5 * 72.0, 11.0 * 72.0 } };
  g_autoptr (ShimJobKit) kit = report_kit_new (1, 1);

  for (guint i = 0; i < G_N_ELEMENTS (papers); i++)
    {
      g_autofree char *path = written (fixture, kit, papers[i].paper, "paper.pdf");
      g_autofree char *info = output_of ("pdfinfo", "-isodates", path);
      const char *size = strstr (info, "Page size:");
      g_assert_nonnull (size);
      size += strlen ("Page size:");
      g_assert_cmpfloat_with_epsilon (g_ascii_strtod (size, (char **) &size), papers[i].width_pt, 0.01);
      size = strchr (size, 'x') + 1;
      g_assert_cmpfloat_with_epsilon (g_ascii_strtod (size, NULL), papers[i].height_pt, 0.01);
      g_assert_nonnull (strstr (info, "2026-11-25T09:30:00Z"));
    }
}

static void
test_text (ReportFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimJobKit) kit = report_kit_new (2, 3);
  g_autofree char *path = NULL;
  g_autofree char *text = NULL;
  const char *const wanted[] = { "00703000", "00703001", "V5-00000", "V5-00001", "V5-00002", "+7",    "\u221213", "slot 3",
                                 "in the lens", "2026-11-20", "\u22121.25 ± 0.31 mm", "School body 2 was never tested with any of the 3",
                                 "Adjusting is not repairing" };

  report_kit_tune (kit, 0, 0, 7, 3);
  report_kit_tune (kit, 0, 1, -13, 0);
  path = written (fixture, kit, SHIM_PAPER_A4, "text.pdf");
  text = output_of ("pdftotext", "-layout", path);
  g_test_message ("%s", text);
  for (guint i = 0; i < G_N_ELEMENTS (wanted); i++)
    {
      if (strstr (text, wanted[i]) == NULL)
        g_test_message ("“%s” is missing", wanted[i]);
      g_assert_nonnull (strstr (text, wanted[i]));
    }
}

static void
test_pages (ReportFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimJobKit) kit = report_kit_new (12, 40);
  g_autofree char *path = written (fixture, kit, SHIM_PAPER_LETTER, "pages.pdf");
  g_autofree char *text = output_of ("pdftotext", "-layout", path);
  guint n_pages = count (text, "\f");
  g_auto (GStrv) pages = g_strsplit (text, "\f", -1);

  g_assert_cmpuint (n_pages, >=, 4);
  for (guint i = 0; i < n_pages; i++)
    {
      g_autofree char *number = g_strdup_printf ("Page %u", i + 1);

      /* Each page says which it is, and what stands above its rows. */
      g_assert_nonnull (strstr (pages[i], number));
      g_assert_true (strstr (pages[i], "Lens ") != NULL || strstr (pages[i], "Maker and model") != NULL
                     || strstr (pages[i], "Not ready") != NULL);
    }
  for (guint i = 0; i < 40; i++)
    {
      g_autofree char *serial = g_strdup_printf ("V5-%05u", i);

      g_assert_cmpuint (count (text, serial), ==, 1);
    }
  /* Every lens has a row in each of the three tables that 12 bodies make. */
  g_assert_cmpuint (count (text, "Untested"), ==, 12 * 40);
}

static void
test_same_bytes (ReportFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimJobKit) kit = report_kit_new (3, 9);
  g_autofree char *first = NULL, *second = NULL, *one = NULL, *two = NULL;
  gsize n_one, n_two;

  report_kit_tune (kit, 0, 0, 7, 3);
  first = written (fixture, kit, SHIM_PAPER_A4, "first.pdf");
  second = written (fixture, kit, SHIM_PAPER_A4, "second.pdf");
  g_assert_true (g_file_get_contents (first, &one, &n_one, NULL));
  g_assert_true (g_file_get_contents (second, &two, &n_two, NULL));
  g_assert_cmpmem (one, n_one, two, n_two);
}

#define ADD(name, func) g_test_add ("/report/kit-sheet-pdf/" name, ReportFixture, NULL, report_fixture_set_up, func, report_fixture_tear_down)

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  ADD ("paper", test_paper);
  ADD ("text", test_text);
  ADD ("pages", test_pages);
  ADD ("same-bytes", test_same_bytes);
  return g_test_run ();
}
