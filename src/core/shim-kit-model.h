/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * SHIM_KIT_OFF_LIMIT_UM:
 *
 * How far, at the sensor, a body or a lens may differ from its like before it is called off by itself, when
 * nobody said otherwise: two hundredths of a millimetre (a judgement: bodies and lenses are made within
 * hundredths).
 */
#define SHIM_KIT_OFF_LIMIT_UM 20.0

/**
 * ShimKitReading:
 * @body: index of the body, from 0
 * @lens: index of the lens, from 0; a lens with a converter is a lens of its own
 * @defocus_um: error of the pair at setting 0, at the sensor, µm, + = past the target
 * @se_um: its standard error, above 0
 */
typedef struct
{
  guint body;
  guint lens;
  double defocus_um;
  double se_um;
} ShimKitReading;

/**
 * ShimKitModelOptions:
 * @robust: whether readings that contradict the rest are weighed down (Huber, k = 1.5); %FALSE = plain least squares
 * @use_scatter: whether the standard errors come from the residuals alone (textbook two-way layout) instead
 *   of from @se_um widened by them
 * @off_limit_um: a body or lens is called off by itself only when it is off by more than this; 0 =
 *   SHIM_KIT_OFF_LIMIT_UM
 */
typedef struct
{
  gboolean robust;
  gboolean use_scatter;
  double off_limit_um;
} ShimKitModelOptions;

/**
 * ShimKitTerm:
 * @known: whether the item has any reading
 * @component: number of the group of items that are linked by readings; terms of different groups cannot be compared
 * @term_um: the item's term; the terms of all bodies of a group add up to 0, and so do those of its lenses
 * @level_um: group mean + term: the error this item shows with an average partner of its group
 * @se_um: standard error of the term
 * @n_readings: readings it rests on
 * @is_off: whether it is off by itself: more than the limit, more than 3 standard errors, and more than 3
 *   times (with few of them, up to 7.5 times) what its like differ among themselves
 * @off_by_um: by how much: its level against the median of the others in the group where there are three or
 *   more in all, else against 0 (and only with three partners or more; NAN otherwise)
 */
typedef struct
{
  gboolean known;
  guint component;
  double term_um;
  double level_um;
  double se_um;
  guint n_readings;
  gboolean is_off;
  double off_by_um;
} ShimKitTerm;

/**
 * ShimKitFit:
 * @fitted_um: what the model says for this reading
 * @residual_um: reading − fitted
 * @studentized: residual over its standard error, with the reading itself left out; NAN where nothing checks
 *   the reading
 * @weight: 1 = full, below 1 = weighed down by the robust fit
 * @contradicts: whether the rest of the kit contradicts it (Bonferroni at 99 % over the readings that are
 *   checked). In a square of two bodies and two lenses all four contradict one another alike
 */
typedef struct
{
  double fitted_um;
  double residual_um;
  double studentized;
  double weight;
  gboolean contradicts;
} ShimKitFit;

/**
 * ShimPredictionBasis:
 *
 * What a prediction rests on.
 */
typedef enum
{
  SHIM_PREDICTION_NONE,      /* neither is known, or they are not linked */
  SHIM_PREDICTION_BOTH,      /* body and lens, linked by readings */
  SHIM_PREDICTION_BODY_ONLY, /* the body's level; the lens is new: the spread of the lenses is added */
  SHIM_PREDICTION_LENS_ONLY, /* the lens's level; the body is new: the spread of the bodies is added */
} ShimPredictionBasis;

/**
 * ShimKitPrediction:
 * @basis: what it rests on
 * @defocus_um: expected error of the pair at setting 0, µm
 * @se_um: standard error of the expectation
 * @single_se_um: standard error with the pair's own peculiarity (residual scatter) added: what a test of it
 *   should be compared with
 */
typedef struct
{
  ShimPredictionBasis basis;
  double defocus_um;
  double se_um;
  double single_se_um;
} ShimKitPrediction;

typedef struct _ShimKitModel ShimKitModel;

/**
 * shim_kit_model_new:
 * @readings: (array length=n): measured pairs; a pair may occur several times
 * @n: how many, at least one
 * @n_bodies: bodies in the kit; indices run below this
 * @n_lenses: lenses
 * @options: (nullable): %NULL = robust, given errors, usual limit
 * @error: TOO_FEW, INVALID or NO_SOLUTION
 *
 * e(body, lens) = b + l by weighted least squares per group of linked items. The larger side of a group is
 * eliminated, so the work is that of one dense symmetric matrix of the smaller side (hundreds of bodies ×
 * thousands of lenses: well below a second).
 *
 * Returns: (transfer full) (nullable): the model
 */
ShimKitModel *shim_kit_model_new      (const ShimKitReading *readings, gsize n, guint n_bodies, guint n_lenses,
                                       const ShimKitModelOptions *options, GError **error);
void          shim_kit_model_free     (ShimKitModel *self);
guint         shim_kit_model_n_components (const ShimKitModel *self);

/**
 * shim_kit_model_mean_um:
 * @self: a model
 * @component: a group, below shim_kit_model_n_components()
 *
 * Returns: the group's mean error: mean body level and mean lens level alike, µm
 */
double        shim_kit_model_mean_um  (const ShimKitModel *self, guint component);

/**
 * shim_kit_model_scatter_um:
 * @self: a model
 * @component: a group
 * @df: (out) (optional): degrees of freedom
 *
 * Returns: residual standard deviation of the group, µm; NAN without degrees of freedom
 */
double        shim_kit_model_scatter_um (const ShimKitModel *self, guint component, double *df);

/**
 * shim_kit_model_residual_ss:
 * @self: a model
 * @component: a group
 *
 * Returns: Σ of the squared residuals, µm²
 */
double        shim_kit_model_residual_ss (const ShimKitModel *self, guint component);
const ShimKitTerm *shim_kit_model_get_body (const ShimKitModel *self, guint body);
const ShimKitTerm *shim_kit_model_get_lens (const ShimKitModel *self, guint lens);

/**
 * shim_kit_model_get_fit:
 * @self: a model
 * @reading: index of a reading
 *
 * Returns: (transfer none): how it fits
 */
const ShimKitFit *shim_kit_model_get_fit (const ShimKitModel *self, gsize reading);

/**
 * shim_kit_model_predict:
 * @self: a model
 * @body: a body, possibly without readings
 * @lens: a lens, possibly without readings
 * @result: (out): the prediction
 *
 * Returns: whether there is one
 */
gboolean      shim_kit_model_predict  (const ShimKitModel *self, guint body, guint lens, ShimKitPrediction *result);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimKitModel, shim_kit_model_free)

G_END_DECLS
