/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-register.h"

G_BEGIN_DECLS

/**
 * ShimMend:
 *
 * What puts an unready point of a job right.
 */
typedef enum
{
  SHIM_MEND_OPEN_TEST,   /* open a test of the pair */
  SHIM_MEND_KEY_IN,      /* key the value in again, or into a slot */
  SHIM_MEND_OPEN_SLOTS,  /* see the slots of the body */
  SHIM_MEND_OPEN_PAIR,   /* see the pair */
  SHIM_MEND_OPEN_ITEM,   /* see the item: holder, service, archived */
  SHIM_MEND_ADD_ITEM,    /* take another item along */
} ShimMend;

/**
 * ShimUnreadyKind:
 *
 * What is not ready.
 */
typedef enum
{
  SHIM_UNREADY_EMPTY,        /* the job has no body or no lens */
  SHIM_UNREADY_NO_FIT,       /* a lens fits no body of the job, or a body no lens */
  SHIM_UNREADY_UNTESTED,     /* a pair without a value */
  SHIM_UNREADY_IN_TEST,      /* a test without a decision */
  SHIM_UNREADY_DUE,          /* a value not to be trusted any more */
  SHIM_UNREADY_OUT_OF_REACH, /* the pair is beyond the body's range */
  SHIM_UNREADY_CONFLICT,     /* two copies of one model with different values on a body that tells them apart by model only */
  SHIM_UNREADY_NO_SLOT,      /* decided, but in no slot and none free */
  SHIM_UNREADY_NOT_KEYED,    /* decided, not keyed in (or lost by a reset), a slot is there */
  SHIM_UNREADY_HELD,         /* an item is with somebody else */
  SHIM_UNREADY_AT_SERVICE,   /* an item is at service */
  SHIM_UNREADY_ARCHIVED,     /* an item is archived */
} ShimUnreadyKind;

/**
 * ShimUnready:
 * @kind: what
 * @sentence: the same for a person
 * @mend: what puts it right
 * @body: (nullable): id of the body concerned
 * @lens: (nullable): id of the lens
 * @converter: (nullable): id of the converter
 * @pair: (nullable): id of the pair
 */
typedef struct
{
  ShimUnreadyKind kind;
  char *sentence;
  ShimMend mend;
  char *body;
  char *lens;
  char *converter;
  char *pair;
} ShimUnready;

/**
 * ShimPickResult:
 * @n_added: items that the job did not have
 * @n_there: items it had already
 * @not_found: %NULL-terminated: lines that are the serial of nothing in the register
 * @ambiguous: %NULL-terminated: serials that several items share
 */
typedef struct
{
  guint n_added;
  guint n_there;
  char **not_found;
  char **ambiguous;
} ShimPickResult;

ShimJob        *shim_ops_jobs_create      (ShimRegister *reg, const char *name, const char *on_date, GError **error);
gboolean        shim_ops_jobs_add_item    (ShimRegister *reg, const char *job, const char *kind, const char *item, GError **error);
gboolean        shim_ops_jobs_remove_item (ShimRegister *reg, const char *job, const char *item, GError **error);
gboolean        shim_ops_jobs_copy_items  (ShimRegister *reg, const char *job, const char *from_job, guint *n_added, GError **error);
ShimPickResult *shim_ops_jobs_add_serials (ShimRegister *reg, const char *job, const char *lines, GError **error);
GPtrArray      *shim_ops_jobs_items       (ShimRegister *reg, const char *job, const char *kind, GError **error);
GPtrArray      *shim_ops_jobs_readiness   (ShimRegister *reg, const char *job, GError **error);
void            shim_pick_result_free     (ShimPickResult *self);
void            shim_unready_free         (ShimUnready *self);
const char     *shim_unready_kind_to_name (ShimUnreadyKind kind);
const char     *shim_mend_to_name         (ShimMend mend);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPickResult, shim_pick_result_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimUnready, shim_unready_free)

G_END_DECLS
