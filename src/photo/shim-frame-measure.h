/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-luma.h"
#include "shim-measurement.h"
#include "shim-photo.h"

G_BEGIN_DECLS

/**
 * ShimFrameResult:
 * @measurement: (nullable): what came out (a refusal is a measurement too), places in the upright picture
 * @metadata: (nullable): what the photograph says about itself
 * @error: (nullable): set when the file could not be read at all; then @measurement is a refusal "unreadable" with
 *   the same sentence
 *
 * One file of shim_frame_measure_many().
 */
typedef struct
{
  ShimMeasurement *measurement;
  ShimMetadata *metadata;
  GError *error;
} ShimFrameResult;

/**
 * ShimFrameProgressFunc:
 * @index: which of the files is done
 * @n_done: how many are done, this one included
 * @n_files: of how many
 * @result: its result; do not keep
 * @user_data: as given
 *
 * Called from worker threads, one call at a time, in the order the files get done.
 */
typedef void (*ShimFrameProgressFunc) (guint index, guint n_done, guint n_files, const ShimFrameResult *result,
                                       gpointer user_data);

ShimMeasurement *shim_frame_measure       (const char *path, const ShimMeasureRequest *request,
                                           ShimMetadata **metadata, GCancellable *cancellable, GError **error);
ShimMeasurement *shim_frame_measure_photo (ShimPhoto *photo, const ShimMeasureRequest *request,
                                           GCancellable *cancellable, GError **error);
GPtrArray       *shim_frame_measure_many  (const char *const *paths, const ShimMeasureRequest *request,
                                           ShimFrameProgressFunc progress, gpointer user_data,
                                           GCancellable *cancellable);
GPtrArray       *shim_frame_measure_series (const char *const *paths, const ShimMeasureRequest *request,
                                            ShimFrameProgressFunc progress, gpointer user_data,
                                            GCancellable *cancellable);
gboolean         shim_frame_measure_channels (ShimPhoto *photo, const ShimMeasureRequest *request,
                                              const ShimMeasurement *measurement, ShimMeasurement *channels[3],
                                              GCancellable *cancellable, GError **error);
void             shim_frame_result_free   (ShimFrameResult *self);
GBytes          *shim_frame_evidence      (const char *path, const ShimMeasurement *measurement,
                                           GCancellable *cancellable, GError **error);
gboolean         shim_frame_evidence_rect (GBytes *evidence, ShimRect *upright, int *picture_width,
                                           int *picture_height);
char            *shim_frame_checksum      (const char *path, GCancellable *cancellable, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimFrameResult, shim_frame_result_free)

G_END_DECLS
