/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kit-model.h"
#include "shim-pair-now.h"
#include "shim-register.h"

G_BEGIN_DECLS

/**
 * shim_register_pair_cells:
 * @self: a register
 * @bodies: (array length=n_bodies): ids
 * @n_bodies: how many
 * @lenses: (array length=n_lenses): ids
 * @n_lenses: how many
 *
 * What the matrix shows in one window. Without converters; a lens with a converter is in shim_register_pairs_of_lens ().
 *
 * Returns: (transfer full) (element-type ShimPairNow) (nullable): the pairs that the register knows, in no order; all other
 *   combinations are untested or do not fit
 */
GPtrArray   *shim_register_pair_cells       (ShimRegister *self, const char *const *bodies, guint n_bodies,
                                             const char *const *lenses, guint n_lenses, GError **error);

/**
 * ShimPairOrder:
 * @SHIM_PAIR_ORDER_ENTRY: as they were entered
 * @SHIM_PAIR_ORDER_OLDEST: oldest test first; never tested before all others
 * @SHIM_PAIR_ORDER_WORST: greatest error in tolerances first; not known last
 * @SHIM_PAIR_ORDER_NEWEST: newest test first
 * @SHIM_PAIR_ORDER_LENS: by the name of the lens, then of the body
 * @SHIM_PAIR_ORDER_BODY: by the name of the body, then of the lens
 */
typedef enum
{
  SHIM_PAIR_ORDER_ENTRY,
  SHIM_PAIR_ORDER_OLDEST,
  SHIM_PAIR_ORDER_WORST,
  SHIM_PAIR_ORDER_NEWEST,
  SHIM_PAIR_ORDER_LENS,
  SHIM_PAIR_ORDER_BODY,
} ShimPairOrder;

/**
 * ShimPairFilter:
 * @body: (nullable): id: only pairs of this body
 * @lens: (nullable): id: only pairs of this lens, with any converter
 * @converter: (nullable): id: only pairs with this converter
 * @body_mount: (nullable): name: only bodies with this mount
 * @lens_mount: (nullable): name: only lenses with this mount
 * @job: (nullable): id: only pairs whose body and lens the job takes along
 * @states: bits 1 << #ShimPairState; 0 = all
 * @reasons: #ShimDueReasons: only pairs that are due for one of them; 0 = all. What time alone brings (age, clock) is not among them
 * @conflict: only pairs whose body takes the lens for another copy of its model that needs another value
 * @lens_words: (nullable): what somebody typed: the lens or the converter must have every word, as in shim_query_set_search()
 * @body_words: (nullable): the same of the body
 * @order: how sorted
 * @offset: how many to skip
 * @limit: how many at most; 0 = all
 *
 * Zero it, then set what is wanted.
 */
typedef struct
{
  const char *body;
  const char *lens;
  const char *converter;
  const char *body_mount;
  const char *lens_mount;
  const char *job;
  guint states;
  ShimDueReasons reasons;
  gboolean conflict;
  const char *lens_words;
  const char *body_words;
  ShimPairOrder order;
  guint offset;
  guint limit;
} ShimPairFilter;

/**
 * shim_register_pairs:
 *
 * Returns: (transfer full) (element-type ShimPairNow) (nullable): the pairs that the register knows
 */
GPtrArray   *shim_register_pairs            (ShimRegister *self, const ShimPairFilter *filter, GError **error);

/**
 * shim_register_count_pairs:
 * @self: a register
 * @filter: which; its window does not count
 * @most: where to stop counting; 0 = never
 * @error: return location
 *
 * Returns: how many there are, up to @most; -1 with @error set
 */
gint64       shim_register_count_pairs      (ShimRegister *self, const ShimPairFilter *filter, gint64 most, GError **error);

/**
 * shim_register_pair_now:
 * @self: a register
 * @pair: id of a pair
 *
 * Returns: (transfer full) (nullable): what is true of it now
 */
ShimPairNow *shim_register_pair_now         (ShimRegister *self, const char *pair, GError **error);

/**
 * shim_register_find_pair:
 * @self: a register
 * @body: id
 * @lens: id
 * @converter: (nullable): id
 *
 * Returns: (transfer full) (nullable): the pair's record; %NULL without @error when there is none yet
 */
ShimRecord  *shim_register_find_pair        (ShimRegister *self, const char *body, const char *lens, const char *converter,
                                             GError **error);

/**
 * shim_register_decisions:
 *
 * Returns: (transfer full) (element-type ShimDecision) (nullable): all decisions of a pair, newest first
 */
GPtrArray   *shim_register_decisions        (ShimRegister *self, const char *pair, GError **error);

/**
 * shim_register_doubts:
 *
 * Returns: (transfer full) (element-type ShimEvent) (nullable): what happened to the body, lens or converter of a pair since its
 *   newest test and casts doubt on its value, newest first
 */
GPtrArray   *shim_register_doubts           (ShimRegister *self, const char *pair, GError **error);

/**
 * shim_register_events:
 *
 * Returns: (transfer full) (element-type ShimEvent) (nullable): events of an item, newest first, those taken back included
 */
GPtrArray   *shim_register_events           (ShimRegister *self, const char *item, GError **error);

/**
 * ShimPairMeasurement:
 * @pair: id
 * @body: id
 * @lens: id
 * @converter: (nullable): id
 * @decision: id of the decision it comes from
 * @value: setting decided
 * @residual_mm: offset expected at @value
 * @residual_se_mm: its standard error
 * @focal_mm: of the test
 * @distance_mm: of the test
 * @slope_mm_per_step: change of offset per step of the setting; NAN when not recorded
 *
 * One measured pair, for the kit model.
 */
typedef struct
{
  char *pair;
  char *body;
  char *lens;
  char *converter;
  char *decision;
  gint64 value;
  double residual_mm;
  double residual_se_mm;
  double focal_mm;
  double distance_mm;
  double slope_mm_per_step;
} ShimPairMeasurement;

void         shim_pair_measurement_free     (ShimPairMeasurement *self);
gboolean     shim_pair_measurement_to_reading (const ShimPairMeasurement *self, ShimKitReading *reading);

/**
 * shim_register_measurements:
 * @self: a register
 * @body: (nullable): id: only pairs whose body or lens is linked to this body directly; %NULL = all
 *
 * Returns: (transfer full) (element-type ShimPairMeasurement) (nullable): the newest measured decision of every pair
 */
GPtrArray   *shim_register_measurements     (ShimRegister *self, const char *body, GError **error);

/**
 * shim_register_measurements_of:
 * @self: a register
 * @body: id
 *
 * Returns: (transfer full) (element-type ShimPairMeasurement) (nullable): those of this body's own pairs
 */
GPtrArray   *shim_register_measurements_of  (ShimRegister *self, const char *body, GError **error);

/**
 * shim_register_measurements_around:
 * @self: a register
 * @body: id
 * @lens: (nullable): id of a lens that may not have been measured on it yet
 * @is_all: (out): whether these are all that there are
 * @error: return location
 *
 * What says something of a body and its lenses: everything in a bag's register; in a store-room's, where that would take seconds, only
 * what shares a lens with the body, and the lens on other bodies.
 *
 * Returns: (transfer full) (element-type ShimPairMeasurement) (nullable): as shim_register_measurements() does
 */
GPtrArray   *shim_register_measurements_around (ShimRegister *self, const char *body, const char *lens, gboolean *is_all,
                                                GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPairMeasurement, shim_pair_measurement_free)

G_END_DECLS
