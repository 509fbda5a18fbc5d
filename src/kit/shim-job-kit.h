/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-pair-now.h"

G_BEGIN_DECLS

/**
 * ShimJobKit:
 * @job: (nullable): the job; %NULL for the whole register
 * @bodies: (element-type ShimBody): taken along, in the order of their names
 * @lenses: (element-type ShimLens): taken along
 * @converters: (element-type ShimConverter): taken along
 * @adapters: (element-type ShimAdapter): taken along
 * @pairs: (element-type ShimPairNow): the pairs among them that the register knows, with or without a converter
 * @slots: (element-type ShimSlotCount): one for each of @bodies
 * @away: (element-type ShimEvent): the newest "loan" or "service" of an item that has not come back since
 *
 * All that is needed to say whether a job is ready and to write its kit sheet.
 */
typedef struct
{
  ShimJob *job;
  GPtrArray *bodies;
  GPtrArray *lenses;
  GPtrArray *converters;
  GPtrArray *adapters;
  GPtrArray *pairs;
  GArray *slots;
  GPtrArray *away;

  /*< private >*/
  GHashTable *index;
  guint n_indexed;
} ShimJobKit;

ShimJobKit        *shim_job_kit_new          (void);
void               shim_job_kit_free         (ShimJobKit *self);

/**
 * shim_job_kit_find_pair:
 * @self: a kit
 * @body: id
 * @lens: id
 * @converter: (nullable): id; %NULL = without one
 *
 * Returns: (transfer none) (nullable): what is known of the pair
 */
const ShimPairNow *shim_job_kit_find_pair    (const ShimJobKit *self, const char *body, const char *lens,
                                              const char *converter);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimJobKit, shim_job_kit_free)

G_END_DECLS
