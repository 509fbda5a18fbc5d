/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_RECORD_LIST (shim_record_list_get_type ())
G_DECLARE_FINAL_TYPE (ShimRecordList, shim_record_list, SHIM, RECORD_LIST, GObject)

/**
 * ShimRecordList:
 *
 * A #GListModel of the records of one kind: those a query finds, in its order. Only the ids are held; records are read from the
 * register page by page when they are looked at, and forgotten again. It follows the workspace's changes: rows that stay keep their
 * place for whoever shows them (items-changed names the smallest span that differs), and a record that was changed is read anew.
 *
 * Properties: "loading" (boolean: a list of ids is on its way), "search" (string, read and write; the empty string finds all),
 * "n-items" (uint, notified).
 */
ShimRecordList *shim_record_list_new         (ShimWorkspace *workspace, GType type);
void            shim_record_list_set_search  (ShimRecordList *self, const char *search);
const char     *shim_record_list_get_search  (ShimRecordList *self);
void            shim_record_list_set_order   (ShimRecordList *self, const char *field, gboolean descending);
void            shim_record_list_set_archived (ShimRecordList *self, gboolean with_archived);
void            shim_record_list_set_filter  (ShimRecordList *self, const char *field, const char *value);
gboolean        shim_record_list_is_loading  (ShimRecordList *self);
const char     *shim_record_list_get_id      (ShimRecordList *self, guint position);
guint           shim_record_list_find        (ShimRecordList *self, const char *id);
GType           shim_record_list_get_record_type (ShimRecordList *self);

G_END_DECLS
