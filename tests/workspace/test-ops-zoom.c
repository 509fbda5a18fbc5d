/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-ops-slots-view.h"
#include "shim-ops-write-down.h"
#include "shim-ops.h"
#include "workspace-fixture.h"

/* Tests whose readings are written down by hand: no pictures, so that what they should lead to is known exactly. */

typedef struct
{
  WorkspaceFixture base;
  ShimRegister *reg;
  char *body;
  char *lens;
  guint n_frames;
} Fixture;

static void
set_up (Fixture *self, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimBody) body = test_body_new ("School body", "0012345");
  g_autoptr (ShimLens) lens = test_lens_new ("Velle 24–70", "3377");

  workspace_fixture_set_up (&self->base, data);
  g_clear_object (&self->base.workspace);
  self->reg = shim_register_open (self->base.path, SHIM_REGISTER_DEFAULT, &error);
  g_assert_no_error (error);
  g_object_set (body, "zoom-values", (gint64) 2, NULL);
  g_object_set (lens, "focal-min-mm", 24.0, "focal-max-mm", 70.0, "aperture-wide", 2.8, "aperture-long", 2.8,
                "own-table", TRUE, "table-focals-mm", "24, 40, 70", "table-distances-m", "1.2; 3.5; inf", NULL);
  self->body = test_add (self->reg, body);
  self->lens = test_add (self->reg, lens);
}

static void
tear_down (Fixture *self, gconstpointer data)
{
  g_clear_pointer (&self->reg, shim_register_free);
  g_free (self->body);
  g_free (self->lens);
  workspace_fixture_tear_down (&self->base, data);
}

static void
add_frame (Fixture *self, const char *round, double offset_mm)
{
  g_autofree char *sha256 = g_strdup_printf ("%064x", ++self->n_frames);
  g_autofree char *now = shim_register_now (self->reg);
  g_autoptr (ShimFrame) frame = shim_frame_new ();
  g_autoptr (ShimReading) reading = shim_reading_new ();
  g_autofree char *frame_id = NULL;
  g_autofree char *reading_id = NULL;

  g_object_set (frame, "round", round, "added-at", now, "path", "/nowhere.jpg", "sha256", sha256, "approach",
                "unknown", NULL);
  frame_id = test_add (self->reg, frame);
  g_object_set (reading, "frame", frame_id, "read-at", now, "method", "program", "refusal", "none", "offset-mm",
                offset_mm, "offset-se-mm", 0.3, "common-se-mm", 0.1, NULL);
  reading_id = test_add (self->reg, reading);
  g_assert_nonnull (reading_id);
}

/* A test at @focal_mm whose line crosses zero at @wanted, 10 mm a step. */
static char *
add_test (Fixture *self, double focal_mm, double wanted)
{
  const int settings[] = { -10, 0, 10 };
  const double scatter_mm[] = { -0.5, 0.0, 0.5 };
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimTest) test = NULL;
  ShimOpenTest request;

  shim_open_test_init (&request);
  request.body = self->body;
  request.lens = self->lens;
  request.focal_mm = focal_mm;
  test = shim_ops_test_open (self->reg, &request, &error);
  g_assert_no_error (error);
  for (guint i = 0; i < G_N_ELEMENTS (settings); i++)
    {
      g_autoptr (ShimRound) round =
          shim_ops_test_add_round (self->reg, shim_record_get_id (SHIM_RECORD (test)), settings[i], &error);

      g_assert_no_error (error);
      for (guint k = 0; k < G_N_ELEMENTS (scatter_mm); k++)
        add_frame (self, shim_record_get_id (SHIM_RECORD (round)), 10.0 * (settings[i] - wanted) + scatter_mm[k]);
    }
  return g_strdup (test->pair);
}

static void
test_zoom (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *pair = add_test (fixture, 24.0, 4.0);
  g_autofree char *same = add_test (fixture, 70.0, -2.0);
  g_autoptr (ShimZoomView) view = shim_ops_zoom (fixture->reg, pair, &error);
  const ShimZoomPoint *wide, *tele;

  g_assert_no_error (error);
  g_assert_cmpstr (same, ==, pair);
  g_assert_cmpuint (view->points->len, ==, 2);
  wide = g_ptr_array_index (view->points, 0);
  tele = g_ptr_array_index (view->points, 1);
  g_assert_cmpfloat_with_epsilon (wide->reading.wanted, 4.0, 0.01);
  g_assert_cmpfloat_with_epsilon (tele->reading.wanted, -2.0, 0.01);
  /* The geometric middle of 24 and 70. */
  g_assert_cmpfloat_with_epsilon (view->middle_mm, sqrt (24.0 * 70.0), 1e-9);
  g_assert_true (view->has_one);
  /* Both tolerances are a tenth of the depth of field, which at 50 f hardly depends on the focal length: the middle
   * of 4 and -2. */
  g_assert_cmpint (view->one.setting, ==, 1);
  g_assert_true (view->has_two);
  g_assert_cmpint (view->two.wide, ==, 4);
  g_assert_cmpint (view->two.tele, ==, -2);
  g_assert_cmpuint (view->cells->len, ==, 9);
  g_assert_cmpint (g_array_index (view->cells, ShimTableCell, 0).setting, ==, 4);
  g_assert_cmpint (g_array_index (view->cells, ShimTableCell, 0).source, ==, SHIM_CELL_MEASURED);
  g_assert_nonnull (view->sentence);
}

/* The newer test of a place counts; a place without a line does not. */
static void
test_newest (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *pair = add_test (fixture, 24.0, 4.0);
  g_autofree char *again = NULL;
  g_autoptr (ShimZoomView) view = NULL;
  g_autoptr (ShimTest) empty = NULL;
  ShimOpenTest request;

  shim_register_set_clock (fixture->reg, g_get_real_time () / G_USEC_PER_SEC + 3600);
  again = add_test (fixture, 24.2, 7.0);
  shim_open_test_init (&request);
  request.body = fixture->body;
  request.lens = fixture->lens;
  request.focal_mm = 70.0;
  empty = shim_ops_test_open (fixture->reg, &request, &error);
  g_assert_no_error (error);
  view = shim_ops_zoom (fixture->reg, pair, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (view->points->len, ==, 1);
  g_assert_cmpfloat_with_epsilon (((ShimZoomPoint *) g_ptr_array_index (view->points, 0))->reading.wanted, 7.0, 0.01);
  g_assert_false (view->has_two);
}

static void
test_parse (void)
{
  const struct { const char *list; gboolean good; guint n; double last; } cases[] = {
    { NULL, TRUE, 0, 0.0 },
    { "", TRUE, 0, 0.0 },
    { "24, 35, 50, 70", TRUE, 4, 70.0 },
    { "0.4; 1; 3; inf", TRUE, 4, INFINITY },
    { "50", TRUE, 1, 50.0 },
    { "50, 35", FALSE, 0, 0.0 },
    { "24, many", FALSE, 0, 0.0 },
    { "24,, 35", FALSE, 0, 0.0 },
    { "-1; 2", FALSE, 0, 0.0 },
    { "nan", FALSE, 0, 0.0 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GArray) numbers = NULL;

      g_assert_true (shim_ops_zoom_parse (cases[i].list, &numbers) == cases[i].good);
      g_assert_cmpuint (numbers->len, ==, cases[i].n);
      if (cases[i].n > 0)
        g_assert_cmpfloat (g_array_index (numbers, double, numbers->len - 1), ==, cases[i].last);
    }
}

/* --- the plan of slots --- */

static char *
add_valued_lens (Fixture *self, const char *label, gint64 value)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimLens) lens = test_lens_new (label, NULL);
  char *id = test_add (self->reg, lens);
  g_autoptr (ShimPair) pair = shim_ops_test_find_pair (self->reg, self->body, id, NULL, TRUE, &error);
  g_autoptr (ShimDecision) decision = NULL;
  ShimAccept accept;

  shim_accept_init (&accept);
  accept.pair = shim_record_get_id (SHIM_RECORD (pair));
  accept.value = value;
  accept.origin = "copied";
  accept.slot = SHIM_SLOT_NONE;
  decision = shim_ops_accept (self->reg, &accept, NULL, &error);
  g_assert_no_error (error);
  return id;
}

/* With a slot for each lens nothing speaks for another value for all lenses, which would work on those that are not tested too. */
static void
assert_kept_all_value (Fixture *fixture, const char *const *lenses)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) body = shim_register_get (fixture->reg, SHIM_TYPE_BODY, fixture->body, &error);
  g_autoptr (ShimBodyPlan) plan = NULL;

  g_object_set (body, "slot-count", (gint64) 5, "all-lens-value", (gint64) 1, NULL);
  g_assert_true (shim_register_update (fixture->reg, body, &error));
  plan = shim_ops_model_plan_slots (fixture->reg, NULL, fixture->body, lenses, &error);
  g_assert_no_error (error);
  g_assert_cmpint (plan->plan.all_value, ==, 1);
  g_assert_cmpuint (plan->plan.n_used, ==, 4);
  g_assert_false (((ShimPlannedSlot *) plan->lenses->pdata[0])->choice.gets_slot);
}

/* A zoom that is right without a slot at its wide end, but not at the long one, needs one; both values go into it. */
static void
test_plan_two_values (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimLens) zoom = test_lens_new ("Quast 24–70", NULL);
  g_autofree char *id = test_add (fixture->reg, zoom);
  g_autoptr (ShimPair) pair = shim_ops_test_find_pair (fixture->reg, fixture->body, id, NULL, TRUE, &error);
  g_autoptr (ShimWriteDown) request = shim_write_down_new (shim_record_get_id (SHIM_RECORD (pair)), "copied");
  g_autoptr (ShimDecision) decision = NULL;
  g_autoptr (ShimSlotsView) view = NULL;
  const ShimPlanLine *line;

  request->setting = 0;
  request->setting_long = 7;
  decision = shim_ops_write_down (fixture->reg, request, &error);
  g_assert_no_error (error);
  view = shim_ops_slots_view (fixture->reg, fixture->body, &error);
  g_assert_no_error (error);
  line = view->lines->pdata[0];
  g_assert_true (line->planned->choice.gets_slot);
  g_assert_cmpint (line->planned->choice.setting, ==, 0);
  g_assert_true (line->lacks_slot);
  g_assert_nonnull (strstr (line->sentence, "0 / +7"));
  g_assert_true (shim_register_undo (fixture->reg, NULL, &error));
  g_clear_pointer (&view, shim_slots_view_free);
  view = shim_ops_slots_view (fixture->reg, fixture->body, &error);
  g_assert_false (((const ShimPlanLine *) view->lines->pdata[0])->lacks_slot);
}

/* Three slots and no value for all lenses: those that are furthest from 0 get them. */
static void
test_plan (Fixture *fixture, gconstpointer data)
{
  const gint64 values[] = { 1, -12, 15, 0, 9 };
  const gboolean slotted[] = { FALSE, TRUE, TRUE, FALSE, TRUE };
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) ids = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (ShimBodyPlan) plan = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (values); i++)
    {
      g_autofree char *label = g_strdup_printf ("Quast %u", i);

      g_ptr_array_add (ids, add_valued_lens (fixture, label, values[i]));
    }
  /* One that keeps its values itself, and one that nobody knows anything of. */
  g_ptr_array_add (ids, g_strdup (fixture->lens));
  g_ptr_array_add (ids, NULL);
  plan = shim_ops_model_plan_slots (fixture->reg, NULL, fixture->body, (const char *const *) ids->pdata, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (plan->lenses->len, ==, 6);
  g_assert_cmpuint (plan->plan.n_used, ==, 3);
  for (guint i = 0; i < G_N_ELEMENTS (values); i++)
    {
      const ShimPlannedSlot *planned = g_ptr_array_index (plan->lenses, i);

      g_assert_true (planned->known);
      g_assert_cmpint (planned->choice.gets_slot, ==, slotted[i]);
      if (slotted[i])
        g_assert_cmpint (planned->choice.setting, ==, values[i]);
    }
  g_assert_true (((ShimPlannedSlot *) g_ptr_array_index (plan->lenses, 5))->in_lens);
  g_assert_false (((ShimPlannedSlot *) g_ptr_array_index (plan->lenses, 5))->known);
  g_assert_nonnull (plan->sentence);
  assert_kept_all_value (fixture, (const char *const *) ids->pdata);
}

/* A pair measured at 85 mm from 4.25 m, where a step is 16 mm; without a value when @value is not known. */
static void
add_measured_lens (Fixture *self, const char *label, gint64 value)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimLens) lens = test_lens_new (label, NULL);
  g_autofree char *id = test_add (self->reg, lens);
  g_autofree char *now = shim_register_now (self->reg);
  g_autoptr (ShimPair) pair = shim_ops_test_find_pair (self->reg, self->body, id, NULL, TRUE, &error);
  g_autoptr (ShimDecision) decision = shim_decision_new ();

  g_assert_no_error (error);
  if (value == SHIM_NO_INT)
    return;
  g_object_set (decision, "pair", shim_record_get_id (SHIM_RECORD (pair)), "decided-at", now, "end", "all", "value", value, "origin",
                "measured", "residual-mm", 0.5, "residual-se-mm", 0.3, "slope-mm-per-step", 16.0, "focal-mm", 85.0, "distance-mm", 4250.0,
                NULL);
  shim_register_insert (self->reg, SHIM_RECORD (decision), &error);
  g_assert_no_error (error);
}

/* What a lens without a value is expected to want comes from those that were measured on the body. */
static void
test_slots_view (Fixture *fixture, gconstpointer data)
{
  const gint64 values[] = { 3, 4, 5, 4, SHIM_NO_INT };
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimSlotsView) view = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (values); i++)
    {
      g_autofree char *label = g_strdup_printf ("Quast %u", i);

      add_measured_lens (fixture, label, values[i]);
    }
  view = shim_ops_slots_view (fixture->reg, fixture->body, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (view->lines->len, ==, G_N_ELEMENTS (values));
  for (guint i = 0; i < G_N_ELEMENTS (values); i++)
    {
      const ShimPlanLine *line = g_ptr_array_index (view->lines, i);
      g_autofree char *label = g_strdup_printf ("Quast %u", i);

      g_assert_cmpstr (line->lens, ==, label);
      g_assert_true (line->planned->known);
      g_assert_true (line->planned->predicted == (values[i] == SHIM_NO_INT));
    }
}

/* A value out of an old notebook is in its slot, but nothing tells how far off the lens would be without it. */
static void
test_slots_view_copied (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimLens) lens = shim_lens_new ();
  g_autofree char *id = NULL;
  g_autoptr (ShimPair) pair = NULL;
  g_autoptr (ShimDecision) decision = NULL;
  g_autoptr (ShimSlotsView) view = NULL;
  const ShimPlanLine *line;
  ShimAccept request;

  g_object_set (lens, "label", "Quast 9", "mount", "F", "focal-min-mm", 50.0, NULL);
  id = test_add (fixture->reg, lens);
  pair = shim_ops_test_find_pair (fixture->reg, fixture->body, id, NULL, TRUE, &error);
  g_assert_no_error (error);
  shim_accept_init (&request);
  request.pair = shim_record_get_id (SHIM_RECORD (pair));
  request.value = 3;
  request.origin = "copied";
  request.slot = SHIM_SLOT_NEXT;
  decision = shim_ops_accept (fixture->reg, &request, NULL, &error);
  g_assert_no_error (error);
  view = shim_ops_slots_view (fixture->reg, fixture->body, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (view->lines->len, ==, 1);
  line = g_ptr_array_index (view->lines, 0);
  g_assert_false (line->planned->known);
  g_assert_nonnull (strstr (line->sentence, "not tested"));
}

#define ADD(name, func) g_test_add ("/workspace/ops/" name, Fixture, NULL, set_up, func, tear_down)

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  ADD ("zoom/two-values", test_zoom);
  ADD ("zoom/newest", test_newest);
  g_test_add_func ("/workspace/ops/zoom/parse", test_parse);
  ADD ("plan", test_plan);
  ADD ("plan-two-values", test_plan_two_values);
  ADD ("slots-view", test_slots_view);
  ADD ("slots-view-copied", test_slots_view_copied);
  return g_test_run ();
}
