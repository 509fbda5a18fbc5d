/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-kit-model.h"
#include "shim-ops-slots.h"
#include "shim-register-pairs.h"
#include "shim-slot-plan.h"

G_BEGIN_DECLS

/**
 * ShimModel:
 *
 * The kit model over all measured pairs of a register, with the items it speaks of. Never changes once made; any thread may read it.
 */
typedef struct _ShimModel ShimModel;

/**
 * ShimPairPrediction:
 * @setting: the whole setting to start from, inside the body's range
 * @wanted: the same, not rounded, not cut
 * @se_steps: its standard error, in steps (the pair's own peculiarity included)
 * @offset_mm: the offset expected at setting 0
 * @offset_se_mm: its standard error
 * @step_mm: change of offset by one step that was used
 * @basis: what it rests on
 * @sentence: the same as one sentence
 */
typedef struct
{
  int setting;
  double wanted;
  double se_steps;
  double offset_mm;
  double offset_se_mm;
  double step_mm;
  ShimPredictionBasis basis;
  char *sentence;
} ShimPairPrediction;

/**
 * ShimModelItem:
 * @is_body: whether it is a body, else a lens (with its converter)
 * @item: id of body or lens
 * @converter: (nullable): id
 * @term: what the model says
 * @sentence: (nullable): when it is off by itself
 */
typedef struct
{
  gboolean is_body;
  char *item;
  char *converter;
  ShimKitTerm term;
  char *sentence;
} ShimModelItem;

/**
 * ShimModelPair:
 * @pair: id
 * @decision: id of the decision the reading comes from
 * @reading: what went into the model
 * @fit: how it fits
 */
typedef struct
{
  char *pair;
  char *decision;
  ShimKitReading reading;
  ShimKitFit fit;
} ShimModelPair;

/**
 * ShimPlannedSlot:
 * @lens: id
 * @label: of the lens
 * @converter: (nullable): id
 * @pair: (nullable): id, where there is one
 * @known: whether there is a value, decided or predicted, to plan with; when not, the lens is listed but takes no part
 * @predicted: whether the value is a prediction
 * @decided: whether the value is the pair's own, and not only what the model expects
 * @value: that value, %SHIM_NO_INT when there is none
 * @long_end: the other value of a zoom that has two decided, %SHIM_NO_INT otherwise
 * @in_lens: whether the lens keeps its own values and needs no slot
 * @choice: what it gets
 * @number: the slot it has now, %SHIM_SLOT_NONE when none
 */
typedef struct
{
  char *lens;
  char *label;
  char *converter;
  char *pair;
  gboolean known;
  gboolean predicted;
  gboolean decided;
  gint64 value;
  gint64 long_end;
  gboolean in_lens;
  ShimSlotChoice choice;
  gint64 number;
} ShimPlannedSlot;

/**
 * ShimBodyPlan:
 * @body: id
 * @plan: the plan
 * @lenses: (element-type ShimPlannedSlot): in the order asked
 * @sentence: one sentence about it
 */
typedef struct
{
  char *body;
  ShimSlotPlan plan;
  GPtrArray *lenses;
  char *sentence;
} ShimBodyPlan;

ShimModel          *shim_ops_model              (ShimRegister *reg, GError **error);
ShimModel          *shim_model_without          (const ShimModel *self, const char *pair, GError **error);
ShimModel          *shim_ops_model_around       (ShimRegister *reg, const char *body, const char *lens, gboolean *is_whole,
                                                 GError **error);
ShimModel          *shim_model_ref              (ShimModel *self);
void                shim_model_unref            (ShimModel *self);
guint               shim_model_get_n_readings   (const ShimModel *self);
GPtrArray          *shim_model_get_items        (const ShimModel *self);
GPtrArray          *shim_model_get_pairs        (const ShimModel *self);
ShimPairPrediction *shim_ops_model_predict      (ShimRegister *reg, const ShimModel *model, const char *body, const char *lens,
                                                 const char *converter, double focal_mm, double distance_mm, GError **error);
ShimBodyPlan       *shim_ops_model_plan_slots   (ShimRegister *reg, const ShimModel *model, const char *body,
                                                 const char *const *lenses, GError **error);
void                shim_pair_prediction_free   (ShimPairPrediction *self);
void                shim_body_plan_free         (ShimBodyPlan *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimModel, shim_model_unref)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPairPrediction, shim_pair_prediction_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimBodyPlan, shim_body_plan_free)

G_END_DECLS
