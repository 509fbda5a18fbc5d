/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record-form.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimRecordDialog:
 *
 * A form in a window of its own. It stays until what was filled in is stored: what stands in the way is said in it, and leaving it
 * with something filled in is asked about first.
 *
 * Signal "stored" (ShimRecord *record): it was stored, as it stands now.
 */
#define SHIM_TYPE_RECORD_DIALOG (shim_record_dialog_get_type ())
G_DECLARE_FINAL_TYPE (ShimRecordDialog, shim_record_dialog, SHIM, RECORD_DIALOG, AdwWindow)

/**
 * ShimStoreFunc:
 * @workspace: where it is stored
 * @before: the record as the form first showed it
 * @after: as it was filled in
 * @callback: its result is read with shim_workspace_call_finish() and is a #ShimRecord
 * @user_data: for @callback
 */
typedef void (*ShimStoreFunc) (ShimWorkspace *workspace, ShimRecord *before, ShimRecord *after, GAsyncReadyCallback callback,
                               gpointer user_data);

ShimRecordDialog *shim_record_dialog_new       (GtkWidget *widget, ShimWorkspace *workspace, const char *title, const char *verb,
                                                ShimRecord *record);
ShimRecordForm   *shim_record_dialog_get_form  (ShimRecordDialog *self);
void              shim_record_dialog_set_intro (ShimRecordDialog *self, const char *sentence);
void              shim_record_dialog_set_store (ShimRecordDialog *self, ShimStoreFunc store);
void              shim_record_dialog_show      (ShimRecordDialog *self);

G_END_DECLS
