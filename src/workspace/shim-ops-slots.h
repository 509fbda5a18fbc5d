/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-register-reads.h"

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

/* What a body's slots hold now: shim_register_slots(). */
GPtrArray        *shim_ops_slots_lost       (ShimRegister *reg, const char *body, GError **error);
ShimSlotProposal *shim_ops_slots_propose    (ShimRegister *reg, const char *pair, gint64 wanted, GError **error);
ShimSlotEntry    *shim_ops_slots_key_in     (ShimRegister *reg, const char *pair, gint64 number, gboolean overwrite, GError **error);
gboolean          shim_ops_slots_clear      (ShimRegister *reg, const char *body, gint64 number, const char *note, GError **error);
GPtrArray        *shim_ops_slots_reset_body (ShimRegister *reg, const char *body, const char *happened_on, const char *note,
                                             GError **error);
void              shim_slot_proposal_free   (ShimSlotProposal *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimSlotProposal, shim_slot_proposal_free)

G_END_DECLS
