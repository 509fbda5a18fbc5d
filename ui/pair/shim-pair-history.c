/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-format.h"
#include "shim-pair-history.h"

/* One line of the history, before it is sorted. */
typedef struct
{
  char *when; /* as stored: sorts as it stands */
  char *title;
  char *subtitle;
  char *test; /* id, where a test can be opened */
} Line;

static void
line_free (gpointer data)
{
  Line *line = data;

  g_free (line->when);
  g_free (line->title);
  g_free (line->subtitle);
  g_free (line->test);
  g_free (line);
}

static const char *
choice_label (ShimRecord *record, const char *field, const char *value)
{
  return _ (shim_field_choice_label (shim_kind_find_field (shim_record_get_kind (record), field), value));
}

static void
add_decision (GPtrArray *lines, ShimDecision *decision)
{
  Line *line = g_new0 (Line, 1);
  g_autofree char *setting = shim_bench_text_setting (decision->value);
  g_autofree char *residual = shim_bench_text_offset (decision->residual_mm, decision->residual_se_mm);
  const char *origin = choice_label (SHIM_RECORD (decision), "origin", decision->origin);
  const char *end = choice_label (SHIM_RECORD (decision), "end", decision->end);

  line->when = g_strdup (decision->decided_at);
  if (decision->out_of_reach > 0)
    line->title = g_strdup (_ ("Out of reach"));
  else if (decision->value == SHIM_NO_INT)
    line->title = g_strdup (_ ("Setting withdrawn"));
  else
    line->title = g_strdup_printf (_ ("Setting %s accepted"), setting);
  if (isnan (decision->residual_mm))
    line->subtitle = g_strdup_printf ("%s. %s.", end, origin);
  else
    line->subtitle = g_strdup_printf (_ ("%s. %s, offset left over %s."), end, origin, residual);
  line->test = g_strdup (decision->test);
  g_ptr_array_add (lines, line);
}

static void
add_test (GPtrArray *lines, ShimTest *test)
{
  Line *line = g_new0 (Line, 1);
  g_autofree char *focal = shim_format_focal (test->focal_mm, test->focal_mm);
  g_autofree char *distance = shim_format_distance (test->distance_mm);
  g_autofree char *aperture = shim_format_f_number (test->f_number);

  line->when = g_strdup (test->started_at);
  line->title = g_strdup (_ ("Test begun"));
  line->subtitle = g_strdup_printf (_ ("%s, %s, %s to the target."), focal, aperture, distance);
  line->test = g_strdup (shim_record_get_id (SHIM_RECORD (test)));
  g_ptr_array_add (lines, line);
}

static void
add_event (GPtrArray *lines, ShimEvent *event)
{
  Line *line = g_new0 (Line, 1);

  line->when = g_strdup (event->happened_on);
  line->title = g_strdup (choice_label (SHIM_RECORD (event), "kind", event->kind));
  line->subtitle = g_strdup_printf (_ ("Casts doubt on the setting. %s"), event->note != NULL ? event->note : "");
  g_ptr_array_add (lines, line);
}

static int
newest_first (gconstpointer a, gconstpointer b)
{
  const Line *x = *(Line *const *) a, *y = *(Line *const *) b;

  return g_strcmp0 (y->when, x->when);
}

static GtkWidget *
row_new (const Line *line)
{
  GtkWidget *row = adw_action_row_new ();
  g_autofree char *day = shim_format_day (line->when);
  GtkWidget *label = gtk_label_new (day);

  gtk_widget_add_css_class (label, "numeric");
  gtk_widget_add_css_class (label, "dim-label");
  adw_preferences_row_set_use_markup (ADW_PREFERENCES_ROW (row), FALSE);
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), line->title);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), line->subtitle);
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), label);
  if (line->test != NULL)
    {
      adw_action_row_add_suffix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name ("go-next-symbolic"));
      gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), TRUE);
      gtk_actionable_set_action_name (GTK_ACTIONABLE (row), "win.bench-test");
      gtk_actionable_set_action_target (GTK_ACTIONABLE (row), "s", line->test);
    }
  return row;
}

/**
 * shim_pair_history_fill:
 * @list: the list to fill anew
 * @view: the pair
 *
 * Decisions, tests and what casts doubt on them, newest first; from most of them a test can be opened.
 */
void
shim_pair_history_fill (GtkListBox *list, const ShimPairView *view)
{
  g_autoptr (GPtrArray) lines = g_ptr_array_new_with_free_func (line_free);
  GtkListBoxRow *row;

  while ((row = gtk_list_box_get_row_at_index (list, 0)) != NULL)
    gtk_list_box_remove (list, GTK_WIDGET (row));
  for (guint i = 0; i < view->decisions->len; i++)
    add_decision (lines, g_ptr_array_index (view->decisions, i));
  for (guint i = 0; i < view->tests->len; i++)
    add_test (lines, g_ptr_array_index (view->tests, i));
  for (guint i = 0; i < view->doubts->len; i++)
    add_event (lines, g_ptr_array_index (view->doubts, i));
  g_ptr_array_sort (lines, newest_first);
  for (guint i = 0; i < lines->len; i++)
    gtk_list_box_append (list, row_new (g_ptr_array_index (lines, i)));
}
