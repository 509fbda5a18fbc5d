/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-format.h"
#include "shim-lens-reach.h"
#include "shim-ops-kit.h"
#include "shim-ops-summary.h"
#include "shim-ops-zoom.h"

/* Two tests at nearly the same place are one place: the newer counts. */
#define SAME_PLACE 0.03

static void
zoom_point_free (ShimZoomPoint *point)
{
  g_free (point->test);
  g_free (point);
}

/**
 * shim_zoom_view_free:
 * @self: (nullable): a view
 */
void
shim_zoom_view_free (ShimZoomView *self)
{
  if (self == NULL)
    return;
  g_ptr_array_unref (self->points);
  g_array_unref (self->focals_mm);
  g_array_unref (self->distances_m);
  g_array_unref (self->cells);
  g_free (self->sentence);
  g_free (self);
}

/**
 * shim_ops_zoom_parse:
 * @list: (nullable): numbers as a lens keeps them: "24, 35, 50, 70" or "0.4; 1; 3; inf"
 * @numbers: (out) (element-type double): the numbers, rising; empty when there are none
 *
 * Returns: whether all of it was understood
 */
gboolean
shim_ops_zoom_parse (const char *list, GArray **numbers)
{
  g_auto (GStrv) parts = g_strsplit_set (list != NULL ? list : "", ",;", -1);
  double last = 0.0;

  g_return_val_if_fail (numbers != NULL, FALSE);

  *numbers = g_array_new (FALSE, FALSE, sizeof (double));
  for (char **part = parts; *part != NULL; part++)
    {
      char *end;
      const double value = g_ascii_strtod (g_strstrip (*part), &end);

      if (**part == '\0' && parts[1] == NULL)
        continue;
      if (*end != '\0' || end == *part || !(value > last))
        {
          g_array_set_size (*numbers, 0);
          return FALSE;
        }
      g_array_append_val (*numbers, value);
      last = value;
    }
  return TRUE;
}

static gboolean
is_same (double a, double b)
{
  return fabs (log (a / b)) < SAME_PLACE;
}

static gboolean
is_there (GPtrArray *points, const ShimZoomReading *reading)
{
  for (guint i = 0; i < points->len; i++)
    {
      const ShimZoomPoint *point = g_ptr_array_index (points, i);

      if (is_same (point->reading.focal_mm, reading->focal_mm)
          && is_same (point->reading.distance_mm, reading->distance_mm))
        return TRUE;
    }
  return FALSE;
}

/* What a test wants, when its rounds make a line. */
static gboolean
read_test (ShimRegister *reg, const char *test, ShimZoomReading *reading, GError **error)
{
  g_autoptr (ShimTestSummary) summary = shim_ops_test_summary (reg, NULL, test, error);

  if (summary == NULL)
    return FALSE;
  reading->focal_mm = summary->test->focal_mm;
  reading->distance_mm = summary->test->distance_mm;
  reading->wanted = NAN;
  if (summary->response.state == SHIM_RESPONSE_CLEAR || summary->response.state == SHIM_RESPONSE_OUT_OF_REACH)
    {
      reading->wanted = summary->response.zero.at;
      reading->tolerance_steps = summary->tolerance_mm / fabs (summary->response.step_mm);
    }
  return TRUE;
}

static int
compare_points (gconstpointer a, gconstpointer b)
{
  const ShimZoomReading *left = &(*(ShimZoomPoint *const *) a)->reading,
                        *right = &(*(ShimZoomPoint *const *) b)->reading;

  if (left->focal_mm != right->focal_mm)
    return left->focal_mm < right->focal_mm ? -1 : 1;
  return (left->distance_mm > right->distance_mm) - (left->distance_mm < right->distance_mm);
}

static gboolean
collect_points (ShimRegister *reg, const char *pair, GPtrArray *points, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) tests = NULL;

  shim_query_add_filter (query, "pair", pair);
  shim_query_add_order (query, "started_at", TRUE);
  tests = shim_register_list (reg, SHIM_TYPE_TEST, query, error);
  if (tests == NULL)
    return FALSE;
  for (guint i = 0; i < tests->len; i++)
    {
      const char *test = shim_record_get_id (g_ptr_array_index (tests, i));
      ShimZoomReading reading;
      ShimZoomPoint *point;

      if (!read_test (reg, test, &reading, error))
        return FALSE;
      if (!isfinite (reading.wanted) || !(reading.tolerance_steps > 0.0) || is_there (points, &reading))
        continue;
      point = g_new0 (ShimZoomPoint, 1);
      point->test = g_strdup (test);
      point->reading = reading;
      g_ptr_array_add (points, point);
    }
  g_ptr_array_sort (points, compare_points);
  return TRUE;
}

typedef struct
{
  ShimBody *body;
  ShimLens *lens;
  double factor;
  int min;
  int max;
} Items;

static void
items_clear (Items *items)
{
  g_clear_object (&items->body);
  g_clear_object (&items->lens);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Items, items_clear)

static gboolean
get_items (ShimRegister *reg, const char *pair, Items *items, GError **error)
{
  g_autoptr (ShimPair) record = (ShimPair *) shim_register_get (reg, SHIM_TYPE_PAIR, pair, error);
  g_autoptr (ShimConverter) converter = NULL;

  if (record == NULL)
    return FALSE;
  items->body = (ShimBody *) shim_register_get (reg, SHIM_TYPE_BODY, record->body, error);
  if (items->body == NULL)
    return FALSE;
  items->lens = (ShimLens *) shim_register_get (reg, SHIM_TYPE_LENS, record->lens, error);
  if (items->lens == NULL)
    return FALSE;
  if (record->converter != NULL)
    {
      converter = (ShimConverter *) shim_register_get (reg, SHIM_TYPE_CONVERTER, record->converter, error);
      if (converter == NULL)
        return FALSE;
    }
  items->factor = converter != NULL && isfinite (converter->factor) ? converter->factor : 1.0;
  items->min = items->body->range_min != SHIM_NO_INT ? (int) items->body->range_min : -20;
  items->max = items->body->range_max != SHIM_NO_INT ? (int) items->body->range_max : 20;
  return TRUE;
}

static ShimZoomReading *
readings_of (GPtrArray *points)
{
  ShimZoomReading *readings = g_new0 (ShimZoomReading, points->len + 1);

  for (guint i = 0; i < points->len; i++)
    readings[i] = ((ShimZoomPoint *) g_ptr_array_index (points, i))->reading;
  return readings;
}

static void
fill_table (ShimZoomView *self, const Items *items, const ShimZoomReading *readings)
{
  g_autofree double *distances_mm = g_new0 (double, self->distances_m->len + 1);
  ShimTableGrid grid = {
    .focals_mm = (const double *) self->focals_mm->data,
    .n_focals = self->focals_mm->len,
    .distances_mm = distances_mm,
    .n_distances = self->distances_m->len,
    .min = items->min,
    .max = items->max,
  };

  for (guint i = 0; i < self->distances_m->len; i++)
    distances_mm[i] = g_array_index (self->distances_m, double, i) * 1000.0;
  if (grid.n_focals == 0 || grid.n_distances == 0 || self->points->len == 0)
    return;
  g_array_set_size (self->cells, grid.n_focals * grid.n_distances);
  if (!shim_own_table_fill (&grid, readings, self->points->len, (ShimTableCell *) self->cells->data, NULL))
    g_array_set_size (self->cells, 0);
}

static void
work_out (ShimZoomView *self, const Items *items)
{
  const double wide_mm = items->lens->focal_min_mm * items->factor,
               tele_mm = shim_lens_longest_mm (items->lens) * items->factor;
  g_autofree ShimZoomReading *readings = readings_of (self->points);

  self->middle_mm = wide_mm < tele_mm ? shim_zoom_middle_mm (wide_mm, tele_mm) : wide_mm;
  self->has_one =
      self->points->len > 0 && shim_zoom_one (readings, self->points->len, items->min, items->max, &self->one, NULL);
  self->has_two =
      items->body->zoom_values == 2 && wide_mm < tele_mm && self->points->len > 1
      && shim_zoom_two (readings, self->points->len, wide_mm, tele_mm, items->min, items->max, &self->two, NULL);
  if (!items->lens->own_table)
    return;
  g_array_unref (self->focals_mm);
  g_array_unref (self->distances_m);
  shim_ops_zoom_parse (items->lens->table_focals_mm, &self->focals_mm);
  shim_ops_zoom_parse (items->lens->table_distances_m, &self->distances_m);
  fill_table (self, items, readings);
}

static char *
sentence_for (const ShimZoomView *self, const Items *items)
{
  const char *lens = shim_ops_kit_item_name (SHIM_RECORD (items->lens));

  if (!self->has_one)
    {
      g_autofree char *middle = shim_format_focal (round (self->middle_mm), round (self->middle_mm));

      return g_strdup_printf (
          _ ("No test of this pair makes a line yet. When there is to be one test alone, take it at %s."), middle);
    }
  if (self->has_two)
    {
      g_autofree char *wide = shim_format_setting (self->two.wide);
      g_autofree char *tele = shim_format_setting (self->two.tele);

      return g_strdup_printf (_ ("Key in %s for the wide end and %s for the long end of %s: the worst place is then "
                                 "%.1f tolerances off."),
                              wide, tele, lens, self->two.worst);
    }
  if (self->points->len > 1)
    {
      g_autofree char *one = shim_format_setting (self->one.setting);
      g_autofree char *worst = shim_format_focal (self->one.worst_focal_mm, self->one.worst_focal_mm);

      return g_strdup_printf (_ ("Key in %s for %s: the worst place, %s, is then %.1f tolerances off."), one, lens,
                              worst, self->one.worst);
    }
  return g_strdup (_ ("One place of the range was tested; its value stands for all of it."));
}

/**
 * shim_ops_zoom:
 * @reg: a register
 * @pair: id
 * @error: a #ShimStoreError
 *
 * Takes the newest test at each focal length and distance.
 *
 * Returns: (transfer full) (nullable): which value or values suit the whole range
 */
ShimZoomView *
shim_ops_zoom (ShimRegister *reg, const char *pair, GError **error)
{
  g_auto (Items) items = { NULL, };
  g_autoptr (ShimZoomView) self = NULL;

  g_return_val_if_fail (reg != NULL && pair != NULL, NULL);

  self = g_new0 (ShimZoomView, 1);
  self->points = g_ptr_array_new_with_free_func ((GDestroyNotify) zoom_point_free);
  self->focals_mm = g_array_new (FALSE, FALSE, sizeof (double));
  self->distances_m = g_array_new (FALSE, FALSE, sizeof (double));
  self->cells = g_array_new (FALSE, TRUE, sizeof (ShimTableCell));
  if (!get_items (reg, pair, &items, error) || !collect_points (reg, pair, self->points, error))
    return NULL;
  work_out (self, &items);
  self->sentence = sentence_for (self, &items);
  return g_steal_pointer (&self);
}

/**
 * shim_ops_zoom_func:
 *
 * shim_ops_zoom() for shim_workspace_call_async(); @pair is the id, the result a #ShimZoomView.
 */
gpointer
shim_ops_zoom_func (ShimRegister *reg, gpointer pair, GCancellable *cancellable, GError **error)
{
  return shim_ops_zoom (reg, pair, error);
}
