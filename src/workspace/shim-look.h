/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-measurement.h"
#include "shim-metadata.h"

G_BEGIN_DECLS

/**
 * ShimLook:
 * @path: absolute path of the photograph
 * @sha256: of the file, lower-case hex
 * @metadata: what it says about itself
 * @measurement: what came out, measured or refused
 * @evidence: (nullable): JPEG of the strip, where one was found
 *
 * One look at a photograph.
 */
typedef struct
{
  char *path;
  char *sha256;
  ShimMetadata *metadata;
  ShimMeasurement *measurement;
  GBytes *evidence;
} ShimLook;

/**
 * ShimLookPlan:
 * @request: what is known for sure, or was marked: it goes before what the photograph says
 * @focal_mm: taken where the photograph does not say
 * @f_number: taken where the photograph does not say
 * @distance_mm: taken where the picture does not show it
 * @marks: (nullable) (owned): of another frame of the test: where strip and target line lie there, to be carried over
 * @marked_path: (nullable) (owned): that frame's photograph
 * @marked_evidence: (nullable) (owned): its evidence; where there is none it is cut from the photograph
 *
 * How a photograph is looked at.
 */
typedef struct
{
  ShimMeasureRequest request;
  double focal_mm;
  double f_number;
  double distance_mm;
  ShimMeasurement *marks;
  char *marked_path;
  GBytes *marked_evidence;
} ShimLookPlan;

/**
 * ShimLookFunc:
 * @index: which of the photographs
 * @look: (nullable): the look
 * @error: (nullable): why there is none
 * @user_data: as given
 *
 * Called in the thread that asked, in the order of the photographs.
 */
typedef void (*ShimLookFunc) (guint index, ShimLook *look, const GError *error, gpointer user_data);

ShimLook *shim_look_take      (const char *path, const ShimLookPlan *plan, GCancellable *cancellable, GError **error);
void      shim_look_take_many (const char *const *paths, const ShimLookPlan *plan, ShimLookFunc func, gpointer user_data,
                               GCancellable *cancellable);
void      shim_look_free      (ShimLook *self);
void      shim_look_plan_clear (ShimLookPlan *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimLook, shim_look_free)
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (ShimLookPlan, shim_look_plan_clear)

G_END_DECLS
