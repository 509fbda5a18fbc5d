/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_RECORD_LIST (shim_record_list_get_type ())
G_DECLARE_FINAL_TYPE (ShimRecordList, shim_record_list, SHIM, RECORD_LIST, GObject)

/**
 * ShimRecordList:
 *
 * A #GListModel of the records of one kind: those a query finds, in its order. Only the ids are held, those of the first rows at once
 * and the rest behind them; records are read from the register page by page when they are looked at, and forgotten when nobody
 * holds them. It follows the workspace: after a change
 * "items-changed" names the smallest span that differs, and records that somebody holds get their new values (and notify).
 *
 * Properties: "workspace" (construct only), "search" (string, read and write, never %NULL), "loading" (boolean: the answer to the
 * newest question is on its way), "n-items" (uint, notified).
 */
ShimRecordList *shim_record_list_new          (ShimWorkspace *workspace, GType type, const ShimQuery *query);
void            shim_record_list_set_query    (ShimRecordList *self, const ShimQuery *query);
void            shim_record_list_set_search   (ShimRecordList *self, const char *search);
const char     *shim_record_list_get_search   (ShimRecordList *self);
gboolean        shim_record_list_is_loading   (ShimRecordList *self);
const char     *shim_record_list_get_id       (ShimRecordList *self, guint position);
gboolean        shim_record_list_find         (ShimRecordList *self, const char *id, guint *position);

G_END_DECLS
