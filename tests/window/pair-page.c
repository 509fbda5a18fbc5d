/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gstdio.h>

#include "descendant.h"
#include "shim-chart-frame.h"
#include "shim-ops-bench.h"
#include "shim-ops-pair.h"
#include "shim-pair-page.h"
#include "shim-response-chart.h"
#include "shim-workspace-ops.h"

/* The chart */

static ShimRoundStats
round_of (double mean_mm)
{
  ShimRoundFrame frames[5];
  ShimRoundStats stats;

  for (int i = 0; i < 5; i++)
    frames[i] = (ShimRoundFrame){ .offset_mm = mean_mm + 0.1 * (i - 2), .se_mm = 0.1, .common_se_mm = 0.0 };
  g_assert_true (shim_round_stats (frames, 5, NULL, NULL, &stats));
  return stats;
}

/* Offsets on the line −6 + 2 × setting mm: it crosses zero at +3. */
static void
test_chart (void)
{
  const int settings[] = { -5, 0, 5 };
  const ShimSettingRange range = { -20, 20, FALSE };
  GtkWidget *chart = g_object_ref_sink (shim_response_chart_new ()), *area;
  ShimResponsePoint points[3];
  ShimResponse response;
  ShimResponseView view = { .points = points, .n_points = 3, .response = &response, .tolerance_mm = 1.0 };

  for (guint i = 0; i < 3; i++)
    points[i] = (ShimResponsePoint){ settings[i], round_of (-6.0 + 2.0 * settings[i]) };
  shim_response (points, 3, &range, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_CLEAR);
  shim_response_chart_show (SHIM_RESPONSE_CHART (chart), &view);

  /* The table behind it has every round, the description names the best setting. */
  g_assert_cmpuint (shim_numbers_table_get_n_rows (SHIM_NUMBERS_TABLE (descendant (chart, SHIM_TYPE_NUMBERS_TABLE))),
                    ==, 3);
  area = descendant (chart, GTK_TYPE_DRAWING_AREA);
  gtk_test_accessible_assert_role (area, GTK_ACCESSIBLE_ROLE_IMG);
  gtk_test_accessible_assert_property (area, GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                       "3 rounds. The line says \u2066+3\u2069.");

  shim_response_chart_show (SHIM_RESPONSE_CHART (chart), NULL);
  gtk_test_accessible_assert_property (area, GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, "Empty.");
  g_object_unref (chart);
}

/* The page */

static void
done_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  *(GAsyncResult **) user_data = g_object_ref (result);
}

static gpointer
result_of (ShimWorkspace *workspace, GAsyncResult **pending)
{
  g_autoptr (GError) error = NULL;
  gpointer value;

  while (*pending == NULL)
    g_main_context_iteration (NULL, TRUE);
  value = shim_workspace_call_finish (workspace, *pending, &error);
  g_assert_no_error (error);
  g_clear_object (pending);
  return value;
}

static char *
saved (ShimWorkspace *workspace, ShimRecord *record)
{
  GAsyncResult *pending = NULL;
  g_autoptr (ShimRecord) stored = NULL;

  shim_workspace_save_async (workspace, record, record, NULL, done_cb, &pending);
  stored = result_of (workspace, &pending);
  return g_strdup (shim_record_get_id (stored));
}

static ShimTest *
test_opened (ShimWorkspace *workspace)
{
  g_autoptr (ShimBody) body = shim_body_new ();
  g_autoptr (ShimLens) lens = shim_lens_new ();
  g_autofree char *body_id = NULL;
  g_autofree char *lens_id = NULL;
  GAsyncResult *pending = NULL;
  ShimOpenTest request;

  g_object_set (body, "label", "Two", "mount", "F", "format-width-mm", 36.0, "format-height-mm", 24.0, "range-min",
                (gint64) -20, "range-max", (gint64) 20, "slot-count", (gint64) 3, NULL);
  g_object_set (lens, "label", "Fifty", "mount", "F", "focal-min-mm", 50.0, "focal-max-mm", 50.0, "aperture-wide",
                1.8, "aperture-long", 1.8, NULL);
  body_id = saved (workspace, SHIM_RECORD (body));
  lens_id = saved (workspace, SHIM_RECORD (lens));
  shim_open_test_init (&request);
  request.body = body_id;
  request.lens = lens_id;
  shim_workspace_open_test_async (workspace, &request, NULL, done_cb, &pending);
  return result_of (workspace, &pending);
}

static GtkLabel *
label_with (GtkWidget *widget, const char *text)
{
  GtkLabel *found = GTK_IS_LABEL (widget) && g_strcmp0 (gtk_label_get_label (GTK_LABEL (widget)), text) == 0
                        ? GTK_LABEL (widget)
                        : NULL;

  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling (child))
    found = label_with (child, text);
  return found;
}

static void
check_choices (ShimWorkspace *workspace, const char *test)
{
  GAsyncResult *pending = NULL;
  g_autoptr (ShimBenchChoices) choices = NULL;
  const ShimTestItems *items;

  shim_workspace_call_async (workspace, shim_ops_bench_choices_func, NULL, NULL,
                             (GDestroyNotify) shim_bench_choices_free, NULL, done_cb, &pending);
  choices = result_of (workspace, &pending);
  g_assert_cmpuint (choices->bodies->len, ==, 1);
  g_assert_cmpuint (choices->lenses->len, ==, 1);
  g_assert_cmpuint (choices->tests->len, ==, 1);
  items = g_ptr_array_index (choices->tests, 0);
  g_assert_cmpstr (shim_record_get_id (SHIM_RECORD (items->test)), ==, test);
  g_assert_cmpstr (items->lens->label, ==, "Fifty");
  g_assert_null (items->converter);
}

/* A value that somebody wrote down is not said to have been tested on the day that it was written down. */
static void
check_copied (ShimWorkspace *workspace, const char *pair, GtkWidget *page)
{
  g_autoptr (ShimDecision) decision = NULL;
  GAsyncResult *pending = NULL;
  ShimAccept request;

  shim_accept_init (&request);
  request.pair = pair;
  request.origin = "copied";
  request.value = 3;
  request.slot = SHIM_SLOT_NONE;
  shim_workspace_accept_async (workspace, &request, NULL, done_cb, &pending);
  decision = result_of (workspace, &pending);
  while (label_with (page, "Copied from elsewhere, not tested here: today.") == NULL)
    g_main_context_iteration (NULL, TRUE);
  g_assert_null (label_with (page, "Tested: today."));
}

static void
test_page (void)
{
  g_autofree char *folder = g_dir_make_tmp ("shimbook-pair-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "register.db", NULL);
  g_autoptr (GError) error = NULL;
  ShimWorkspace *workspace = shim_workspace_open (path, &error);
  g_autoptr (ShimTest) test = NULL;
  GAsyncResult *pending = NULL;
  GtkWidget *window, *page;

  g_assert_no_error (error);
  test = test_opened (workspace);
  check_choices (workspace, shim_record_get_id (SHIM_RECORD (test)));

  window = gtk_window_new ();
  page = shim_pair_page_new (workspace);
  gtk_window_set_child (GTK_WINDOW (window), page);
  gtk_window_present (GTK_WINDOW (window));
  shim_pair_page_show (SHIM_PAIR_PAGE (page), test->pair);
  while (label_with (page, "Test begun") == NULL)
    g_main_context_iteration (NULL, TRUE);
  g_assert_nonnull (label_with (page, shim_pair_state_to_label (SHIM_PAIR_IN_TEST)));
  g_assert_nonnull (label_with (page, "No setting is decided yet."));
  check_copied (workspace, test->pair, page);

  gtk_window_destroy (GTK_WINDOW (window));
  shim_workspace_close_async (workspace, done_cb, &pending);
  while (pending == NULL)
    g_main_context_iteration (NULL, TRUE);
  g_clear_object (&pending);
  g_object_unref (workspace);
  g_unlink (path);
  g_rmdir (folder);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  adw_init ();
  g_test_add_func ("/window/pair/chart", test_chart);
  g_test_add_func ("/window/pair/page", test_page);
  return g_test_run ();
}
