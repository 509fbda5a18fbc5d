/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-job-kit.h"

G_BEGIN_DECLS

/**
 * ShimReadinessKind:
 * @SHIM_NOT_READY_UNTESTED: a pair that fits was never tested
 * @SHIM_NOT_READY_IN_TEST: its test is not finished
 * @SHIM_NOT_READY_DUE: it is due
 * @SHIM_NOT_READY_OUT_OF_REACH: its best setting lies beyond the range: an item for the service bench
 * @SHIM_NOT_READY_NOT_KEYED_IN: decided, but no slot holds it
 * @SHIM_NOT_READY_NO_SLOT: the body has no slot left for it
 * @SHIM_NOT_READY_CONFLICT: two copies of one model that the body cannot tell apart need different values
 * @SHIM_NOT_READY_HELD: somebody else has the item
 * @SHIM_NOT_READY_SERVICE: the item is at service
 * @SHIM_NOT_READY_NO_BODY: no body of the job takes this lens
 * @SHIM_NOT_READY_NO_LENS: no lens of the job fits this body
 */
typedef enum
{
  SHIM_NOT_READY_UNTESTED,
  SHIM_NOT_READY_IN_TEST,
  SHIM_NOT_READY_DUE,
  SHIM_NOT_READY_OUT_OF_REACH,
  SHIM_NOT_READY_NOT_KEYED_IN,
  SHIM_NOT_READY_NO_SLOT,
  SHIM_NOT_READY_CONFLICT,
  SHIM_NOT_READY_HELD,
  SHIM_NOT_READY_SERVICE,
  SHIM_NOT_READY_NO_BODY,
  SHIM_NOT_READY_NO_LENS,
} ShimReadinessKind;

/**
 * ShimNotReady:
 * @kind: what is wrong
 * @body: (nullable): id of the body it is about
 * @lens: (nullable): id of the lens it is about
 * @item: (nullable): id of the converter or other item it is about, or the other copy of a conflict
 * @pair: (nullable): id of the pair, when there is one already
 * @sentence: what is wrong and the way to mend it, for people
 *
 * One line of the readiness list of a job.
 */
typedef struct
{
  ShimReadinessKind kind;
  char *body;
  char *lens;
  char *item;
  char *pair;
  char *sentence;
} ShimNotReady;

void        shim_not_ready_free           (ShimNotReady *self);
const char *shim_readiness_kind_to_name   (ShimReadinessKind kind);

/**
 * shim_job_kit_readiness:
 * @kit: what a job takes along
 *
 * A lens with no body in the kit that takes it, pairs in every state but tuned, values without a slot, conflicts, items that are
 * elsewhere. Pairs marked as not needed and bodies without fine adjustment (no slots and no own table) are not asked for.
 *
 * Returns: (transfer full) (element-type ShimNotReady): what is not ready, the gravest first; empty when all is
 */
GPtrArray  *shim_job_kit_readiness        (const ShimJobKit *kit);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimNotReady, shim_not_ready_free)

G_END_DECLS
