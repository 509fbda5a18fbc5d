/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-register.h"

G_BEGIN_DECLS

/**
 * SHIM_SLOT_IN_LENS:
 *
 * In place of a slot's number: the own table of the lens.
 */
#define SHIM_SLOT_IN_LENS 0

/**
 * SHIM_SLOT_NEXT:
 *
 * In place of a slot's number: the slot the pair has already, else the next free one.
 */
#define SHIM_SLOT_NEXT (-1)

/**
 * SHIM_SLOT_NONE:
 *
 * In place of a slot's number: decided, but not keyed in yet.
 */
#define SHIM_SLOT_NONE (-2)

/**
 * ShimSlotState:
 * @SHIM_SLOT_FREE: nothing in it (never keyed, or cleared)
 * @SHIM_SLOT_HOLDS: holds the pair's value as decided
 * @SHIM_SLOT_OLD: holds a value of the pair, but another one has been decided since
 * @SHIM_SLOT_LOST: held a value that a reset took; to be keyed in again
 */
typedef enum
{
  SHIM_SLOT_FREE,
  SHIM_SLOT_HOLDS,
  SHIM_SLOT_OLD,
  SHIM_SLOT_LOST,
} ShimSlotState;

/**
 * ShimSlotView:
 * @number: 1 … slot count; %SHIM_SLOT_IN_LENS for the own table of a lens
 * @state: what is in it
 * @entry: (nullable): the newest entry of this slot (for a lost one: the entry that said so)
 * @pair: (nullable): the pair it holds or held
 * @lens: (nullable): its lens
 * @converter: (nullable): its converter
 * @decision: (nullable): the newest decision of the pair for the whole range or the wide end
 * @decision_long: (nullable): ... for the long end, where the body takes two values
 * @conflict: whether a lens with the same model and another value is on this body, which tells lenses apart by model only
 *
 * One slot of a body as it is now.
 */
typedef struct
{
  gint64 number;
  ShimSlotState state;
  ShimSlotEntry *entry;
  ShimPair *pair;
  ShimLens *lens;
  ShimConverter *converter;
  ShimDecision *decision;
  ShimDecision *decision_long;
  gboolean conflict;
} ShimSlotView;

/**
 * ShimSlotProposal:
 * @number: the slot proposed: the pair's own, else the next free one, else (nothing free) %SHIM_SLOT_NONE; %SHIM_SLOT_IN_LENS where the lens
 *   keeps its own values
 * @n_free: free slots of the body, -1 = no limit
 * @n_slots: its slots, -1 = no limit
 * @overwrites: (nullable): sentence when the slot asked for holds another pair
 * @sentence: what is proposed and why, one sentence
 */
typedef struct
{
  gint64 number;
  gint64 n_free;
  gint64 n_slots;
  char *overwrites;
  char *sentence;
} ShimSlotProposal;

GPtrArray        *shim_ops_slots_list        (ShimRegister *reg, const char *body, GError **error);
GPtrArray        *shim_ops_slots_lost        (ShimRegister *reg, const char *body, GError **error);
ShimSlotProposal *shim_ops_slots_propose     (ShimRegister *reg, const char *pair, gint64 wanted, GError **error);
gboolean          shim_ops_slots_key_in      (ShimRegister *reg, const char *pair, gint64 number, gboolean overwrite,
                                              GError **error);
gboolean          shim_ops_slots_clear       (ShimRegister *reg, const char *body, gint64 number, const char *note, GError **error);
GPtrArray        *shim_ops_slots_reset_body  (ShimRegister *reg, const char *body, const char *happened_on, const char *note,
                                              GError **error);
void              shim_slot_view_free        (ShimSlotView *self);
void              shim_slot_proposal_free    (ShimSlotProposal *self);
const char       *shim_slot_state_to_name    (ShimSlotState state);
char             *shim_slot_view_to_sentence (const ShimSlotView *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimSlotView, shim_slot_view_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimSlotProposal, shim_slot_proposal_free)

G_END_DECLS
