/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimHistoryChange:
 * @kind: name of the kind: "lens"
 * @row: id of the record
 * @title: its name, for people
 * @action: "added", "changed" or "removed"
 * @field: (nullable): label of the field that changed; %NULL for a record that was added or removed
 * @before: (nullable): the value before, for people
 * @after: (nullable): the value after, for people
 */
typedef struct
{
  char *kind;
  char *row;
  char *title;
  char *action;
  char *field;
  char *before;
  char *after;
} ShimHistoryChange;

/**
 * ShimHistoryEntry:
 * @id: its id
 * @at: when, "YYYY-MM-DDTHH:MM:SSZ"
 * @who: (nullable): who did it
 * @summary: what was done, a phrase
 * @action: "change", "undo", "redo" or "merge"
 * @undone: whether it has been undone
 * @changes: (element-type ShimHistoryChange): in detail
 */
typedef struct
{
  char *id;
  char *at;
  char *who;
  char *summary;
  char *action;
  gboolean undone;
  GPtrArray *changes;
} ShimHistoryEntry;

void shim_history_entry_free (ShimHistoryEntry *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimHistoryEntry, shim_history_entry_free)

G_END_DECLS
