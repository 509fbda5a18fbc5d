/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-model.h"
#include "shim-register-reads.h"

G_BEGIN_DECLS

/**
 * ShimPlanLine:
 * @planned: what the plan says of the lens
 * @lens: name of the lens
 * @in_order: whether what is keyed in is what the plan says
 * @lacks_slot: whether its setting is decided and it should have a slot, but has none
 * @sentence: what to do, or that nothing is to be done
 *
 * One lens in the plan of a body, beside what is keyed in.
 */
typedef struct
{
  const ShimPlannedSlot *planned;
  char *lens;
  gboolean in_order;
  gboolean lacks_slot;
  char *sentence;
} ShimPlanLine;

/**
 * ShimSlotsView:
 * @body: the body
 * @counts: used, free and lost slots
 * @slots: (element-type ShimSlot): slot by slot
 * @plan: (nullable): the plan over all lenses that are known on the body; %NULL when nothing is known of any
 * @conflicts: (element-type utf8): ids of pairs whose lens the body takes for another copy of its model that needs another value
 * @lines: (element-type ShimPlanLine): the plan lens by lens
 *
 * All that the place Slots shows of one body.
 */
typedef struct
{
  ShimBody *body;
  ShimSlotCount counts;
  GPtrArray *slots;
  GPtrArray *conflicts;
  ShimBodyPlan *plan;
  GPtrArray *lines;
} ShimSlotsView;

ShimSlotsView *shim_ops_slots_view  (ShimRegister *reg, const char *body, GError **error);
void           shim_slots_view_free (ShimSlotsView *self);
gboolean       shim_slots_view_is_in_conflict (const ShimSlotsView *self, const char *pair);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimSlotsView, shim_slots_view_free)

G_END_DECLS
