/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-kinds.h"
#include "shim-register.h"

G_BEGIN_DECLS

/* Operations on the kit. All of them take the register itself: shimbookctl calls them directly, the window through
 * #ShimWorkspace. Each is one change: stored whole or not at all, and undone by one undo. */

/**
 * ShimImportFlags:
 * @SHIM_IMPORT_DRY_RUN: look for problems and count, store nothing
 * @SHIM_IMPORT_UPDATE_KNOWN: a record whose serial (mounts: whose name) is known changes that item; without this it is a problem.
 *   Only what the new record knows is taken over
 * @SHIM_IMPORT_ADD_MOUNTS: mounts that the register does not know are added to it; without this each is a problem
 */
typedef enum
{
  SHIM_IMPORT_DEFAULT = 0,
  SHIM_IMPORT_DRY_RUN = 1 << 0,
  SHIM_IMPORT_UPDATE_KNOWN = 1 << 1,
  SHIM_IMPORT_ADD_MOUNTS = 1 << 2,
} ShimImportFlags;

/**
 * ShimImportProblem:
 * @index: which of the records, from 0
 * @sentence: what is wrong with it
 */
typedef struct
{
  guint index;
  char *sentence;
} ShimImportProblem;

/**
 * ShimImportResult:
 * @n_added: records that are new (would be, for a dry run or when there are problems)
 * @n_changed: known items that change
 * @n_unchanged: known items of which nothing changes
 * @n_known: how many of @problems are items that are known and were not to be changed
 * @n_missing: lines that could not be read; when there is one, nothing was stored
 * @n_mounts_added: mounts that were not known before
 * @problems: (element-type ShimImportProblem): in the order of the records; when there is one, nothing was stored
 * @stored: whether the records are in the register now
 */
typedef struct
{
  guint n_added;
  guint n_changed;
  guint n_unchanged;
  guint n_known;
  guint n_missing;
  guint n_mounts_added;
  GPtrArray *problems;
  gboolean stored;
} ShimImportResult;

gboolean          shim_ops_kit_save            (ShimRegister *reg, ShimRecord *record, GError **error);
ShimRecord       *shim_ops_kit_save_changes    (ShimRegister *reg, ShimRecord *before, ShimRecord *after, GError **error);
gboolean          shim_ops_kit_set_archived    (ShimRegister *reg, const char *kind, const char *id, gboolean archived,
                                                GError **error);
ShimImportResult *shim_ops_kit_import          (ShimRegister *reg, GPtrArray *records, ShimImportFlags flags, GError **error);
void              shim_import_result_free      (ShimImportResult *self);
gboolean          shim_ops_kit_note_event      (ShimRegister *reg, ShimEvent *event, GError **error);
gboolean          shim_ops_kit_casts_doubt     (const char *event_kind);
gboolean          shim_ops_kit_take_back_event (ShimRegister *reg, const char *event, GError **error);
const char       *shim_ops_kit_item_name       (ShimRecord *item);
ShimRecord       *shim_ops_kit_get_item        (ShimRegister *reg, const char *kind, const char *id, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimImportResult, shim_import_result_free)

G_END_DECLS
