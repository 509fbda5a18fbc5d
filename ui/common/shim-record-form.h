/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-record.h"

G_BEGIN_DECLS

/**
 * ShimRecordForm:
 *
 * Rows to fill in a record, made from its field table. What somebody types is checked as it is typed; a row with a mistake says
 * what is wrong below itself, and the form is not "valid" until it is mended.
 *
 * Properties, read-only: "valid" (boolean: whether the record can be stored), "problem" (string, %NULL = none: what stands in the way).
 */
#define SHIM_TYPE_RECORD_FORM (shim_record_form_get_type ())
G_DECLARE_FINAL_TYPE (ShimRecordForm, shim_record_form, SHIM, RECORD_FORM, GtkBox)

GtkWidget  *shim_record_form_new         (ShimRecord *record);
void        shim_record_form_add_group   (ShimRecordForm *self, const char *title, const char *const *field_names);
void        shim_record_form_set_choices (ShimRecordForm *self, const char *field_name, const char *const *values,
                                               const char *hint);
ShimRecord *shim_record_form_get_record  (ShimRecordForm *self);
gboolean    shim_record_form_get_valid   (ShimRecordForm *self);
const char *shim_record_form_get_problem (ShimRecordForm *self);
gboolean    shim_record_form_has_mistakes (ShimRecordForm *self);

G_END_DECLS
