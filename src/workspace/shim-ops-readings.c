/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-ops-frames-private.h"
#include "shim-workspace-error.h"

/* --- measuring again --- */

typedef struct
{
  const char *frame;
  const ShimMeasureRequest *given;
  ShimFrame *record;
  ShimLookPlan plan;
  ShimMeasurement *measurement;
} Again;

static gpointer
plan_again_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  Again *again = data;
  g_autoptr (ShimRound) round = NULL;

  again->record = (ShimFrame *) shim_register_get (reg, SHIM_TYPE_FRAME, again->frame, error);
  if (again->record == NULL)
    return NULL;
  round = (ShimRound *) shim_register_get (reg, SHIM_TYPE_ROUND, again->record->round, error);
  if (round == NULL)
    return NULL;
  return GINT_TO_POINTER (_shim_ops_make_plan (reg, round->test, again->frame, again->given, &again->plan, error));
}

/* Stores one record as a change of its own. */
static gboolean
store_one (ShimRegister *reg, ShimRecord *record, const char *summary, GError **error)
{
  if (!shim_register_begin (reg, summary, error))
    return FALSE;
  if (shim_register_insert (reg, record, error))
    return shim_register_commit (reg, error);
  shim_register_rollback (reg);
  return FALSE;
}

static gpointer
store_again_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  Again *again = data;
  g_autoptr (ShimReading) reading = _shim_ops_new_reading (reg, again->frame, "program", again->measurement);

  if (!store_one (reg, SHIM_RECORD (reading), _ ("Measure a frame again"), error))
    return NULL;
  return g_steal_pointer (&reading);
}

static gboolean
is_the_same_file (const Again *again, const ShimLook *look, GError **error)
{
  if (g_strcmp0 (again->record->sha256, look->sha256) == 0)
    return TRUE;
  g_set_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION,
               _ ("The file “%s” is not the photograph it was when it came in, so it is not measured again."),
               look->path);
  return FALSE;
}

ShimReading *
_shim_ops_frames_remeasure (ShimOnRegister run, gpointer run_data, const char *frame, const ShimMeasureRequest *given,
                            GCancellable *cancellable, GError **error)
{
  Again again = { .frame = frame, .given = given };
  g_autoptr (ShimFrame) record = NULL;
  g_autoptr (ShimLook) look = NULL;
  const gboolean planned = run (plan_again_func, &again, cancellable, error, run_data) != NULL;

  record = again.record;
  if (planned)
    look = shim_look_take (record->path, &again.plan, cancellable, error);
  shim_look_plan_clear (&again.plan);
  if (look == NULL || !is_the_same_file (&again, look, error))
    return NULL;
  again.measurement = look->measurement;
  return run (store_again_func, &again, cancellable, error, run_data);
}

/**
 * shim_ops_frames_remeasure:
 * @reg: a register
 * @frame: id of a frame
 * @given: (nullable): new marks; what it leaves out comes from the frame's newest reading, or is carried over anew where that came from
 *   another frame
 * @cancellable: (nullable): ends it early
 * @error: a #ShimPhotoError when the photograph is gone, #ShimWorkspaceError CONTRADICTION when it is another one
 * now, a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): the new reading; older ones stay
 */
ShimReading *
shim_ops_frames_remeasure (ShimRegister *reg, const char *frame, const ShimMeasureRequest *given,
                           GCancellable *cancellable, GError **error)
{
  g_return_val_if_fail (reg != NULL && frame != NULL, NULL);

  return _shim_ops_frames_remeasure (_shim_ops_run_here, reg, frame, given, cancellable, error);
}

/* --- by eye --- */

static ShimMeasurement *
base_for_eye (ShimRegister *reg, const char *frame, GError **error)
{
  g_autoptr (ShimFrame) record = (ShimFrame *) shim_register_get (reg, SHIM_TYPE_FRAME, frame, error);
  g_autoptr (ShimRound) round = NULL;
  g_autoptr (ShimTestTree) tree = NULL;
  g_autoptr (ShimMeasurement) base = NULL;

  if (record == NULL)
    return NULL;
  round = (ShimRound *) shim_register_get (reg, SHIM_TYPE_ROUND, record->round, error);
  if (round == NULL)
    return NULL;
  tree = shim_register_test_tree (reg, round->test, error);
  if (tree == NULL)
    return NULL;
  base = _shim_ops_find_marks (tree, frame);
  if (base != NULL && isfinite (base->map[0]) && isfinite (base->map[1]) && isfinite (base->map[2]))
    return g_steal_pointer (&base);
  g_set_error_literal (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_STATE,
                       _ ("The ruler's scale is not known yet. Draw the strip along the ruler's tick edge and "
                          "measure once, then mark by "
                          "eye."));
  return NULL;
}

static void
mark_by_eye (ShimMeasurement *self, const ShimEyeMarks *marks)
{
  self->refusal = SHIM_REFUSAL_NONE;
  self->marks = SHIM_MARKS_OWN;
  self->shift_x_px = self->shift_y_px = self->shift_se_px = self->shift_turn_deg = self->shift_growth = NAN;
  g_clear_pointer (&self->reason, g_free);
  g_clear_pointer (&self->warnings, g_strfreev);
  g_clear_pointer (&self->curve, g_free);
  self->n_curve = 0;
  self->target_reading_mm = shim_measurement_reading_at (self, marks->target_px);
  self->sharp_reading_mm = shim_measurement_reading_at (self, marks->sharp_px);
  self->target_px = shim_measurement_point_at (self, self->target_reading_mm);
  self->sharp_px = shim_measurement_point_at (self, self->sharp_reading_mm);
  self->ruler_mm = fabs (self->sharp_reading_mm - self->target_reading_mm);
  self->offset_mm = shim_measurement_offset_between (self, self->target_reading_mm, self->sharp_reading_mm);
  if (self->offset_mm < 0.0)
    self->ruler_mm = -self->ruler_mm;
  self->offset_se_mm = marks->se_mm;
  if (isnan (self->offset_se_mm))
    self->offset_se_mm =
        fabs (shim_measurement_offset_between (self, self->sharp_reading_mm, self->sharp_reading_mm + self->tick_mm));
  self->common_se_mm = NAN;
  self->offset_bound_mm = self->softness_px = self->blur_factor = NAN;
}

/**
 * shim_ops_frames_read_by_eye:
 * @reg: a register
 * @frame: id of a frame
 * @marks: where the person sees target line and sharp line
 * @error: #ShimWorkspaceError STATE when the ruler's scale is not known from this or another frame of the test; a
 * #ShimStoreError
 *
 * Returns: (transfer full) (nullable): the reading as stored; the program's own reading stays beside it
 */
ShimReading *
shim_ops_frames_read_by_eye (ShimRegister *reg, const char *frame, const ShimEyeMarks *marks, GError **error)
{
  g_autoptr (ShimMeasurement) measurement = NULL;
  g_autoptr (ShimReading) reading = NULL;

  g_return_val_if_fail (reg != NULL && frame != NULL && marks != NULL, NULL);

  measurement = base_for_eye (reg, frame, error);
  if (measurement == NULL)
    return NULL;
  mark_by_eye (measurement, marks);
  if (!isfinite (measurement->offset_mm))
    {
      g_set_error_literal (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_STATE,
                           _ ("The marks do not lie on the ruler: put both beside its ticks."));
      return NULL;
    }
  reading = _shim_ops_new_reading (reg, frame, "eye", measurement);
  if (!store_one (reg, SHIM_RECORD (reading), _ ("Mark a frame by eye"), error))
    return NULL;
  return g_steal_pointer (&reading);
}

/**
 * shim_ops_frames_set_use:
 * @reg: a register
 * @frame: id of a frame
 * @use: whether it counts in its round
 * @reason: (nullable): why, for people
 * @error: a #ShimStoreError
 *
 * Returns: whether it is stored
 */
gboolean
shim_ops_frames_set_use (ShimRegister *reg, const char *frame, gboolean use, const char *reason, GError **error)
{
  g_autoptr (ShimVerdict) verdict = NULL;
  g_autofree char *now = NULL;

  g_return_val_if_fail (reg != NULL && frame != NULL, FALSE);

  now = shim_register_now (reg);
  verdict = shim_verdict_new ();
  g_object_set (verdict, "frame", frame, "decided-at", now, "use", use, "reason", reason, NULL);
  return store_one (reg, SHIM_RECORD (verdict), use ? _ ("Take a frame in again") : _ ("Leave a frame out"), error);
}
