/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-readiness.h"
#include "shim-register-reads.h"

G_BEGIN_DECLS

/**
 * ShimMend:
 * @SHIM_MEND_OPEN_TEST: open a test of body and lens (and item, when it is a converter)
 * @SHIM_MEND_KEY_IN: key the pair's value in
 * @SHIM_MEND_OPEN_SLOTS: see the slots of the body
 * @SHIM_MEND_OPEN_PAIR: see the pair
 * @SHIM_MEND_OPEN_ITEM: see the item: who holds it, what happened to it
 * @SHIM_MEND_ADD_ITEM: take another item along
 *
 * What puts a line of the readiness list right.
 */
typedef enum
{
  SHIM_MEND_OPEN_TEST,
  SHIM_MEND_KEY_IN,
  SHIM_MEND_OPEN_SLOTS,
  SHIM_MEND_OPEN_PAIR,
  SHIM_MEND_OPEN_ITEM,
  SHIM_MEND_ADD_ITEM,
} ShimMend;

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
GPtrArray      *shim_ops_jobs_readiness   (ShimRegister *reg, const char *job, GError **error);
ShimMend        shim_ops_jobs_mend        (const ShimNotReady *line);
const char     *shim_mend_to_name         (ShimMend mend);
void            shim_pick_result_free     (ShimPickResult *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPickResult, shim_pick_result_free)

G_END_DECLS
