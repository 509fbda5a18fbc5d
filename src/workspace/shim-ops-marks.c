/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-measurement-json.h"
#include "shim-ops-frames-private.h"
#include "shim-register-reads.h"

/* How to look at a frame: what is given, what was marked on it before, or which frame's marks are carried over. */

static ShimMeasurement *
measurement_of (ShimReading *reading)
{
  g_autoptr (ShimMeasurement) measurement = NULL;

  if (reading == NULL || reading->details == NULL)
    return NULL;
  measurement = shim_measurement_from_details (reading->details, NULL);
  return measurement != NULL && isfinite (measurement->strip_a_px.x) ? g_steal_pointer (&measurement) : NULL;
}

/* (transfer full) (nullable): the newer of a frame's readings that tells where the ruler lies. Ids sort by the time of
 * entry, also within a second. */
static ShimMeasurement *
marks_of_frame (const ShimTestFrame *frame)
{
  ShimReading *newer = frame->eye, *older = frame->program;
  ShimMeasurement *measurement;

  if (newer == NULL
      || (older != NULL
          && g_strcmp0 (shim_record_get_id (SHIM_RECORD (older)), shim_record_get_id (SHIM_RECORD (newer))) > 0))
    {
      newer = frame->program;
      older = frame->eye;
    }
  measurement = measurement_of (newer);
  return measurement != NULL ? measurement : measurement_of (older);
}

static const ShimTestFrame *
find_frame (const ShimTestTree *tree, const char *id)
{
  for (guint i = 0; i < tree->rounds->len; i++)
    {
      const ShimTestRound *round = g_ptr_array_index (tree->rounds, i);

      for (guint k = 0; k < round->frames->len; k++)
        {
          const ShimTestFrame *frame = g_ptr_array_index (round->frames, k);

          if (g_strcmp0 (shim_record_get_id (SHIM_RECORD (frame->frame)), id) == 0)
            return frame;
        }
    }
  return NULL;
}

/* Whether a reading tells where target line and strip lie. */
gboolean
_shim_ops_has_marks (ShimReading *reading)
{
  g_autoptr (ShimMeasurement) measurement = measurement_of (reading);

  return measurement != NULL && isfinite (measurement->target_px.x);
}

/* Marks that were themselves carried over would hand on their errors, and a strip without a target line is half of
 * what is wanted. */
static int
worth (const ShimMeasurement *marks)
{
  if (!isfinite (marks->target_px.x))
    return 1;
  return marks->marks == SHIM_MARKS_OWN ? 3 : 2;
}

typedef struct
{
  const ShimTestFrame *frame;
  ShimMeasurement *marks;
} Anchor;

static void
consider (Anchor *best, const ShimTestFrame *frame, gboolean is_later)
{
  ShimMeasurement *marks = marks_of_frame (frame);

  /* The printed target is found anew in each frame: nothing has to stay where it was. */
  if (marks != NULL && marks->own_target)
    g_clear_pointer (&marks, shim_measurement_free);
  if (marks == NULL)
    return;
  if (best->marks == NULL || worth (marks) > worth (best->marks)
      || (worth (marks) == worth (best->marks) && !is_later))
    {
      g_clear_pointer (&best->marks, shim_measurement_free);
      *best = (Anchor) { frame, marks };
    }
  else
    shim_measurement_free (marks);
}

/* The frame whose marks go for @frame (%NULL: for the next one): marks hold until another frame is marked, and for
 * the frames before the first marked one too. */
static Anchor
find_anchor (const ShimTestTree *tree, const char *frame)
{
  Anchor best = { NULL, NULL };
  gboolean is_later = FALSE;

  for (guint i = 0; i < tree->rounds->len; i++)
    {
      const ShimTestRound *round = g_ptr_array_index (tree->rounds, i);

      for (guint k = 0; k < round->frames->len; k++)
        {
          const ShimTestFrame *candidate = g_ptr_array_index (round->frames, k);

          if (g_strcmp0 (shim_record_get_id (SHIM_RECORD (candidate->frame)), frame) == 0)
            is_later = TRUE;
          else
            consider (&best, candidate, is_later);
        }
    }
  return best;
}

/* (transfer full) (nullable): the marks to go by: those of @frame itself, else those that go for the others. */
ShimMeasurement *
_shim_ops_find_marks (const ShimTestTree *tree, const char *frame)
{
  const ShimTestFrame *own = find_frame (tree, frame);
  ShimMeasurement *marks = own != NULL ? marks_of_frame (own) : NULL;

  return marks != NULL ? marks : find_anchor (tree, frame).marks;
}

static void
take_own_marks (const ShimMeasurement *marks, ShimMeasureRequest *request)
{
  request->has_strip = TRUE;
  request->strip_a_px = marks->strip_a_px;
  request->strip_b_px = marks->strip_b_px;
  request->strip_width_px = marks->strip_width_px;
  request->far_side = marks->far_side;
  request->has_target = isfinite (marks->target_px.x);
  request->target_px = marks->target_px;
}

gboolean
_shim_ops_gives_marks (const ShimMeasureRequest *given)
{
  return given != NULL && (given->has_strip || given->has_target || given->has_click);
}

static void
put_given (const ShimMeasureRequest *given, ShimMeasureRequest *request)
{
  const gsize numbers[] = {
    G_STRUCT_OFFSET (ShimMeasureRequest, tick_mm), G_STRUCT_OFFSET (ShimMeasureRequest, angle_deg),
    G_STRUCT_OFFSET (ShimMeasureRequest, focal_mm), G_STRUCT_OFFSET (ShimMeasureRequest, f_number),
    G_STRUCT_OFFSET (ShimMeasureRequest, distance_mm), G_STRUCT_OFFSET (ShimMeasureRequest, pixel_pitch_mm),
    G_STRUCT_OFFSET (ShimMeasureRequest, coc_mm), G_STRUCT_OFFSET (ShimMeasureRequest, strip_width_px),
  };

  if (given->has_strip)
    {
      request->has_strip = TRUE;
      request->strip_a_px = given->strip_a_px;
      request->strip_b_px = given->strip_b_px;
    }
  if (given->has_target)
    {
      request->has_target = TRUE;
      request->target_px = given->target_px;
    }
  if (given->has_click)
    {
      request->has_strip = given->has_strip;
      request->has_click = TRUE;
      request->click_px = given->click_px;
    }
  if (given->far_side != SHIM_FAR_UNKNOWN)
    request->far_side = given->far_side;
  for (guint i = 0; i < G_N_ELEMENTS (numbers); i++)
    if (!isnan (G_STRUCT_MEMBER (double, given, numbers[i])))
      G_STRUCT_MEMBER (double, request, numbers[i]) = G_STRUCT_MEMBER (double, given, numbers[i]);
}

/* Own marks go first where somebody set them, or corrects them now. What was carried over is carried over anew, so that
 * it follows a correction on the frame it came from. */
static gboolean
plan_marks (ShimRegister *reg, const ShimTestTree *tree, const char *frame, const ShimMeasureRequest *given,
            ShimLookPlan *plan, GError **error)
{
  const ShimTestFrame *self = frame != NULL ? find_frame (tree, frame) : NULL;
  g_autoptr (ShimMeasurement) own = self != NULL ? marks_of_frame (self) : NULL;
  g_autoptr (ShimMeasurement) others = NULL;
  g_autoptr (ShimFrame) whole = NULL;
  Anchor anchor = find_anchor (tree, frame);

  others = anchor.marks;
  if (own != NULL && own->own_target)
    return TRUE;
  if (own != NULL && (_shim_ops_gives_marks (given) || worth (own) == 3 || others == NULL))
    {
      take_own_marks (own, &plan->request);
      return TRUE;
    }
  if (others == NULL)
    return TRUE;
  whole = (ShimFrame *) shim_register_get (reg, SHIM_TYPE_FRAME, shim_record_get_id (SHIM_RECORD (anchor.frame->frame)),
                                           error);
  if (whole == NULL)
    return FALSE;
  plan->marks = g_steal_pointer (&others);
  plan->marked_path = g_strdup (whole->path);
  plan->marked_evidence = whole->evidence != NULL ? g_bytes_ref (whole->evidence) : NULL;
  return TRUE;
}

gboolean
_shim_ops_make_plan (ShimRegister *reg, const char *test, const char *frame, const ShimMeasureRequest *given,
                     ShimLookPlan *plan, GError **error)
{
  g_autoptr (ShimTestTree) tree = shim_register_test_tree (reg, test, error);

  *plan = (ShimLookPlan) { 0 };
  if (tree == NULL)
    return FALSE;
  shim_measure_request_init (&plan->request);
  plan->request.angle_deg = tree->test->angle_deg;
  plan->request.tick_mm = tree->test->tick_mm;
  plan->request.coc_mm = tree->test->coc_mm;
  plan->focal_mm = tree->test->focal_mm;
  plan->f_number = tree->test->f_number;
  plan->distance_mm = tree->test->distance_mm;
  if (!plan_marks (reg, tree, frame, given, plan, error))
    return FALSE;
  if (given != NULL)
    put_given (given, &plan->request);
  return TRUE;
}

/**
 * shim_ops_frames_plan:
 * @reg: a register
 * @test: id of a test
 * @given: (nullable): what is known beyond that
 * @plan: (out): how to look at the test's next frame: what @given says, then the marks of the last marked frame,
 *   carried over, then the test; free it by shim_look_plan_clear()
 * @error: a #ShimStoreError
 *
 * Returns: whether there is a plan
 */
gboolean
shim_ops_frames_plan (ShimRegister *reg, const char *test, const ShimMeasureRequest *given, ShimLookPlan *plan,
                      GError **error)
{
  g_return_val_if_fail (reg != NULL && test != NULL && plan != NULL, FALSE);

  return _shim_ops_make_plan (reg, test, NULL, given, plan, error);
}

/* Whether the marks of other frames go for this one: it has none, or they were carried over. */
static gboolean
is_follower (const ShimTestFrame *frame)
{
  g_autoptr (ShimMeasurement) measurement = NULL;

  if (frame->program == NULL || frame->program->details == NULL)
    return TRUE;
  measurement = shim_measurement_from_details (frame->program->details, NULL);
  return measurement == NULL || measurement->marks != SHIM_MARKS_OWN || measurement->refusal == SHIM_REFUSAL_NO_TARGET
         || measurement->refusal == SHIM_REFUSAL_NO_RULER;
}

static gboolean
follows (const ShimTestTree *tree, const ShimTestFrame *frame, const char *marked)
{
  const char *id = shim_record_get_id (SHIM_RECORD (frame->frame));
  g_autoptr (ShimMeasurement) marks = NULL;
  Anchor anchor;

  if (g_strcmp0 (id, marked) == 0 || !is_follower (frame))
    return FALSE;
  anchor = find_anchor (tree, id);
  marks = anchor.marks;
  return marks != NULL && g_strcmp0 (shim_record_get_id (SHIM_RECORD (anchor.frame->frame)), marked) == 0;
}

/* (transfer full) (element-type ShimFrame): the frames of a test for which the marks of @marked go. */
GPtrArray *
_shim_ops_find_followers (const ShimTestTree *tree, const char *marked)
{
  GPtrArray *frames = g_ptr_array_new_with_free_func (g_object_unref);

  for (guint i = 0; i < tree->rounds->len; i++)
    {
      const ShimTestRound *round = g_ptr_array_index (tree->rounds, i);

      for (guint k = 0; k < round->frames->len; k++)
        {
          const ShimTestFrame *frame = g_ptr_array_index (round->frames, k);

          if (follows (tree, frame, marked))
            g_ptr_array_add (frames, g_object_ref (frame->frame));
        }
    }
  return frames;
}
