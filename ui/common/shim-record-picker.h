/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-record-list.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimRecordPicker:
 *
 * A search over a list of records of one kind, one of them selected: the left side of a place.
 *
 * Properties: "selected-id" (string, read-only, %NULL = none), "n-items" (uint, read-only: how many the search finds).
 */
#define SHIM_TYPE_RECORD_PICKER (shim_record_picker_get_type ())
G_DECLARE_FINAL_TYPE (ShimRecordPicker, shim_record_picker, SHIM, RECORD_PICKER, GtkBox)

void        shim_record_picker_set_kind         (ShimRecordPicker *self, ShimWorkspace *workspace, const char *kind,
                                                 const char *order_field, gboolean descending);
void        shim_record_picker_set_archived     (ShimRecordPicker *self, gboolean archived);
void        shim_record_picker_leave_out        (ShimRecordPicker *self, const char *id);
const char *shim_record_picker_get_selected_id  (ShimRecordPicker *self);
void        shim_record_picker_select           (ShimRecordPicker *self, const char *id);
void        shim_record_picker_search           (ShimRecordPicker *self);
gboolean    shim_record_picker_is_empty         (ShimRecordPicker *self);

G_END_DECLS
