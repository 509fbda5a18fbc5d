/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-look.h"
#include "shim-ops-summary.h"

G_BEGIN_DECLS

/* A frame comes in three steps: how to look at it (shim_ops_frames_plan(), needs the register), the look itself (shim_look_take(),
 * slow, any thread, no register), and storing it (shim_ops_frames_store()). shim_ops_frames_add() does all three. */

/**
 * ShimMarks:
 * @request: (nullable): where target line and strip lie on the first of the frames, angle, and so on. Missing marks are carried over from
 *   the frame of the test that was marked last, by how far the picture moved since; the rest is filled from the test itself
 * @approach: (nullable): "near", "far" or "unknown"
 * @override: store a frame although its serials contradict the test's pair
 *
 * How frames are taken into a round.
 */
typedef struct
{
  const ShimMeasureRequest *request;
  const char *approach;
  gboolean override;
} ShimMarks;

/**
 * ShimAddedFrame:
 * @path: the file
 * @frame: (nullable): the frame as stored
 * @reading: (nullable): its reading as stored
 * @error: (nullable): why it was not stored: #ShimWorkspaceError CONTRADICTION, a #ShimPhotoError, a #ShimStoreError …
 * @remarks: (nullable): as #ShimFrameSummary.doubts
 */
typedef struct
{
  char *path;
  ShimFrame *frame;
  ShimReading *reading;
  GError *error;
  char **remarks;
} ShimAddedFrame;

/**
 * ShimAddedFunc:
 * @added: the file that is done; do not keep
 * @n_done: how many are done
 * @n_files: of how many
 * @user_data: as given
 */
typedef void (*ShimAddedFunc) (const ShimAddedFrame *added, guint n_done, guint n_files, gpointer user_data);

/**
 * ShimEyeMarks:
 * @target_px: where the person sees the target line, in the upright picture
 * @sharp_px: where the person sees the sharp line
 * @se_mm: how sure, one standard error of the offset; NAN = one tick of the ruler
 */
typedef struct
{
  ShimPoint target_px;
  ShimPoint sharp_px;
  double se_mm;
} ShimEyeMarks;

gboolean        shim_ops_frames_plan           (ShimRegister *reg, const char *test, const ShimMeasureRequest *given, ShimLookPlan *plan,
                                                GError **error);
ShimAddedFrame *shim_ops_frames_store          (ShimRegister *reg, const char *round, const ShimLook *look, const ShimMarks *marks);
GPtrArray      *shim_ops_frames_add            (ShimRegister *reg, const char *round, const char *const *paths, const ShimMarks *marks,
                                                ShimAddedFunc progress, gpointer user_data, GCancellable *cancellable,
                                                GError **error);
ShimReading    *shim_ops_frames_remeasure      (ShimRegister *reg, const char *frame, const ShimMeasureRequest *given,
                                                GCancellable *cancellable, GError **error);
GPtrArray      *shim_ops_frames_carry          (ShimRegister *reg, const char *frame, GCancellable *cancellable, GError **error);
ShimReading    *shim_ops_frames_read_by_eye    (ShimRegister *reg, const char *frame, const ShimEyeMarks *marks, GError **error);
gboolean        shim_ops_frames_set_use        (ShimRegister *reg, const char *frame, gboolean use, const char *reason,
                                                GError **error);
void            shim_added_frame_free          (ShimAddedFrame *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimAddedFrame, shim_added_frame_free)

G_END_DECLS
