/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "shim-frame-check.h"
#include "shim-frame-doubts.h"
#include "shim-measurement-json.h"
#include "shim-ops-fields.h"
#include "shim-ops-frames-private.h"
#include "shim-register-reads.h"
#include "shim-workspace-error.h"

/**
 * shim_added_frame_free:
 * @self: (nullable): what became of a file
 */
void
shim_added_frame_free (ShimAddedFrame *self)
{
  if (self == NULL)
    return;
  g_free (self->path);
  g_clear_object (&self->frame);
  g_clear_object (&self->reading);
  g_clear_error (&self->error);
  g_strfreev (self->remarks);
  g_free (self);
}

/* --- storing --- */

ShimReading *
_shim_ops_new_reading (ShimRegister *reg, const char *frame, const char *method, const ShimMeasurement *measurement)
{
  g_autofree char *now = shim_register_now (reg);
  g_autofree char *warnings = measurement->warnings != NULL ? g_strjoinv ("\n", measurement->warnings) : NULL;
  g_autofree char *details = shim_measurement_to_details (measurement);
  ShimReading *reading = shim_reading_new ();

  g_object_set (reading, "frame", frame, "read-at", now, "method", method,
                "refusal", shim_refusal_to_name (measurement->refusal), "reason", measurement->reason,
                "warnings", warnings, "details", details, NULL);
  if (measurement->refusal == SHIM_REFUSAL_NONE)
    _shim_ops_set_reals (reading, "offset_mm", measurement->offset_mm, "offset_se_mm", measurement->offset_se_mm,
                         "common_se_mm", measurement->common_se_mm, "ruler_mm", measurement->ruler_mm, NULL);
  _shim_ops_set_reals (reading, "depth_of_field_mm", measurement->depth_of_field_mm, "coc_mm", measurement->coc_mm,
                       "angle_deg", measurement->angle_deg, "distance_mm", measurement->distance_mm,
                       "mm_per_px", measurement->mm_per_px, NULL);
  return reading;
}

static gint64
whole_or_unknown (double value)
{
  return isfinite (value) ? (gint64) round (value) : SHIM_NO_INT;
}

static ShimFrame *
new_frame (ShimRegister *reg, const char *round_id, const ShimLook *look, const ShimMarks *marks)
{
  const ShimMetadata *metadata = look->metadata;
  g_autofree char *now = shim_register_now (reg);
  ShimFrame *frame = shim_frame_new ();

  g_object_set (frame, "round", round_id, "added-at", now, "path", look->path, "sha256", look->sha256,
                "taken", metadata->taken, "make", metadata->make, "model", metadata->model,
                "body-serial", metadata->body_serial, "lens-model", metadata->lens_model,
                "lens-serial", metadata->lens_serial, NULL);
  _shim_ops_set_reals (frame, "focal_mm", metadata->focal_length_mm, "f_number", metadata->f_number, "exposure_s",
                       metadata->exposure_s, "iso", metadata->iso, "distance_m", metadata->distance_m, NULL);
  g_object_set (frame, "adjustment", whole_or_unknown (metadata->adjustment),
                "width-px", metadata->width_px > 0 ? (gint64) metadata->width_px : SHIM_NO_INT,
                "height-px", metadata->height_px > 0 ? (gint64) metadata->height_px : SHIM_NO_INT,
                "approach", marks != NULL && marks->approach != NULL ? marks->approach : "unknown",
                "evidence", look->evidence, NULL);
  return frame;
}

static gboolean
store_both (ShimRegister *reg, ShimAddedFrame *added, const ShimLook *look)
{
  if (!shim_register_insert (reg, SHIM_RECORD (added->frame), &added->error))
    return FALSE;
  added->reading =
      _shim_ops_new_reading (reg, shim_record_get_id (SHIM_RECORD (added->frame)), "program", look->measurement);
  return shim_register_insert (reg, SHIM_RECORD (added->reading), &added->error);
}

static void
store_frame (ShimRegister *reg, ShimAddedFrame *added, const ShimLook *look)
{
  g_autofree char *name = g_path_get_basename (look->path);
  g_autofree char *summary = g_strdup_printf (_ ("Add frame %s"), name);

  if (shim_register_begin (reg, summary, &added->error))
    {
      if (!store_both (reg, added, look))
        shim_register_rollback (reg);
      else if (shim_register_commit (reg, &added->error))
        return;
    }
  g_clear_object (&added->frame);
  g_clear_object (&added->reading);
}

static gboolean
is_there_already (ShimRegister *reg, ShimTestSummary *test, const ShimLook *look, GError **error)
{
  g_autoptr (ShimRecord) there =
      shim_register_find_frame (reg, shim_record_get_id (SHIM_RECORD (test->test)), look->sha256, error);
  g_autofree char *name = g_path_get_basename (look->path);

  if (there == NULL)
    return *error != NULL;
  g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE,
               _ ("The photograph “%s” is in this test already. To have it measured anew, mark it where it is."), name);
  return TRUE;
}

/* The frame that came in last before this one, for the time between them. */
static ShimFrame *
last_frame_of (const ShimTestSummary *test, const char *round)
{
  for (guint i = 0; i < test->rounds->len; i++)
    {
      const ShimRoundSummary *candidate = g_ptr_array_index (test->rounds, i);

      if (g_strcmp0 (shim_record_get_id (SHIM_RECORD (candidate->round)), round) == 0 && candidate->frames->len > 0)
        return ((const ShimFrameSummary *) g_ptr_array_index (candidate->frames, candidate->frames->len - 1))->frame;
    }
  return NULL;
}

/* Whether the frame shows the test's pair, or is to be stored in spite of it. */
static gboolean
belongs (ShimFrame *frame, const ShimTestSummary *test, const ShimMarks *marks, GError **error)
{
  g_autoptr (GError) contradiction = NULL;

  if (shim_frame_check_serials (frame, test->body, test->lens, &contradiction))
    return TRUE;
  if (marks != NULL && marks->override)
    {
      g_object_set (frame, "override", TRUE, NULL);
      return TRUE;
    }
  g_set_error_literal (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION, contradiction->message);
  return FALSE;
}

/**
 * shim_ops_frames_store:
 * @reg: a register
 * @round: id of a round
 * @look: a look at a photograph
 * @marks: (nullable): how it is taken in
 *
 * The frame and its reading, measured or refused, in one change.
 *
 * Returns: (transfer full): what became of it; its error says why nothing was stored: #ShimWorkspaceError
 * CONTRADICTION when its serials are those of another pair and no override was given, DUPLICATE when it is in the
 * test already
 */
ShimAddedFrame *
shim_ops_frames_store (ShimRegister *reg, const char *round, const ShimLook *look, const ShimMarks *marks)
{
  ShimAddedFrame *added;
  g_autoptr (ShimRound) round_record = NULL;
  g_autoptr (ShimTestSummary) test = NULL;
  g_autoptr (ShimFrame) frame = NULL;

  g_return_val_if_fail (reg != NULL && round != NULL && look != NULL, NULL);

  added = g_new0 (ShimAddedFrame, 1);
  added->path = g_strdup (look->path);
  round_record = (ShimRound *) shim_register_get (reg, SHIM_TYPE_ROUND, round, &added->error);
  if (round_record == NULL)
    return added;
  test = shim_ops_test_summary (reg, NULL, round_record->test, &added->error);
  if (test == NULL || is_there_already (reg, test, look, &added->error))
    return added;
  frame = new_frame (reg, round, look, marks);
  if (!belongs (frame, test, marks, &added->error))
    return added;
  added->remarks = _shim_frame_doubts (frame, last_frame_of (test, round), test, round_record->setting);
  added->frame = g_steal_pointer (&frame);
  store_frame (reg, added, look);
  return added;
}

/* --- adding --- */

typedef struct
{
  const char *round;
  const ShimMarks *marks;
  const ShimMeasureRequest *given;
  ShimLookPlan plan;
  const ShimLook *look;
} RegisterWork;

static gpointer
plan_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  RegisterWork *work = data;
  g_autoptr (ShimRound) round = (ShimRound *) shim_register_get (reg, SHIM_TYPE_ROUND, work->round, error);

  if (round == NULL)
    return NULL;
  return GINT_TO_POINTER (_shim_ops_make_plan (reg, round->test, NULL, work->given, &work->plan, error));
}

static gpointer
store_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  RegisterWork *work = data;

  return shim_ops_frames_store (reg, work->round, work->look, work->marks);
}

typedef struct
{
  ShimOnRegister run;
  gpointer run_data;
  RegisterWork work;
  const char *const *paths;
  guint n_paths;
  GPtrArray *added;
  ShimAddedFunc progress;
  gpointer progress_data;
} Adding;

static void
looked (guint index, ShimLook *look, const GError *error, gpointer user_data)
{
  Adding *adding = user_data;
  ShimAddedFrame *added = NULL;
  g_autoptr (GError) local_error = error != NULL ? g_error_copy (error) : NULL;

  adding->work.look = look;
  if (look != NULL)
    added = adding->run (store_func, &adding->work, NULL, &local_error, adding->run_data);
  if (added == NULL)
    {
      added = g_new0 (ShimAddedFrame, 1);
      added->path = g_canonicalize_filename (adding->paths[adding->added->len], NULL);
      added->error = g_steal_pointer (&local_error);
    }
  g_ptr_array_add (adding->added, added);
  if (adding->progress != NULL)
    adding->progress (added, adding->added->len, adding->n_paths, adding->progress_data);
}

/* Looks at the next frames by what the test holds of marks by now. */
static gboolean
add_some (Adding *adding, const char *const *paths, const ShimMeasureRequest *given, GCancellable *cancellable,
          GError **error)
{
  gboolean planned;

  adding->work.given = given;
  planned = adding->run (plan_func, &adding->work, cancellable, error, adding->run_data) != NULL;
  if (planned)
    shim_look_take_many (paths, &adding->work.plan, looked, adding, cancellable);
  shim_look_plan_clear (&adding->work.plan);
  return planned;
}

/* Marks are given as they lie on the first frame. The others get them carried over from the first that took them. */
static gboolean
add_with_marks (Adding *adding, const ShimMeasureRequest *given, GCancellable *cancellable, GError **error)
{
  ShimMeasureRequest others = *given;
  gboolean marked = FALSE;
  guint n = 0;

  for (; n < adding->n_paths && !marked; n++)
    {
      const char *one[] = { adding->paths[n], NULL };
      const ShimAddedFrame *added;

      if (!add_some (adding, one, given, cancellable, error))
        return FALSE;
      added = g_ptr_array_index (adding->added, n);
      marked = added->reading != NULL && _shim_ops_has_marks (added->reading);
    }
  others.has_strip = others.has_target = others.has_click = FALSE;
  return n == adding->n_paths || add_some (adding, adding->paths + n, &others, cancellable, error);
}

GPtrArray *
_shim_ops_frames_add (ShimOnRegister run, gpointer run_data, const char *round, const char *const *paths,
                      const ShimMarks *marks, ShimAddedFunc progress, gpointer progress_data,
                      GCancellable *cancellable, GError **error)
{
  const ShimMeasureRequest *given = marks != NULL ? marks->request : NULL;
  Adding adding = {
    .run = run,
    .run_data = run_data,
    .work = { .round = round, .marks = marks },
    .paths = paths,
    .n_paths = g_strv_length ((char **) paths),
    .progress = progress,
    .progress_data = progress_data,
  };
  gboolean ok;

  adding.added = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_added_frame_free);
  if (_shim_ops_gives_marks (given))
    ok = add_with_marks (&adding, given, cancellable, error);
  else
    ok = add_some (&adding, paths, given, cancellable, error);
  if (!ok)
    g_clear_pointer (&adding.added, g_ptr_array_unref);
  return adding.added;
}

/* #ShimOnRegister for whoever holds the register. */
gpointer
_shim_ops_run_here (ShimRegisterFunc func, gpointer data, GCancellable *cancellable, GError **error, gpointer reg)
{
  return func (reg, data, cancellable, error);
}

/**
 * shim_ops_frames_add:
 * @reg: a register
 * @round: id of a round
 * @paths: (array zero-terminated=1): photographs, in the order they were taken
 * @marks: (nullable): how they are taken in
 * @progress: (nullable): called after each, in their order
 * @user_data: for @progress
 * @cancellable: (nullable): ends it early; what is stored stays stored, the rest fails with %G_IO_ERROR_CANCELLED
 * @error: only when nothing can be added at all: a #ShimStoreError
 *
 * Looks at them on all processors, and stores each as soon as it and those before it are done.
 *
 * Returns: (transfer full) (element-type ShimAddedFrame) (nullable): what became of each
 */
GPtrArray *
shim_ops_frames_add (ShimRegister *reg, const char *round, const char *const *paths, const ShimMarks *marks,
                     ShimAddedFunc progress, gpointer user_data, GCancellable *cancellable, GError **error)
{
  g_return_val_if_fail (reg != NULL && round != NULL && paths != NULL, NULL);

  return _shim_ops_frames_add (_shim_ops_run_here, reg, round, paths, marks, progress, user_data, cancellable, error);
}
