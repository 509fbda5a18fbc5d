/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <json-glib/json-glib.h>

#include "shim-record.h"

G_BEGIN_DECLS

void      shim_json_add_text    (JsonBuilder *builder, const char *name, const char *value);
void      shim_json_add_real    (JsonBuilder *builder, const char *name, double value);
void      shim_json_add_int     (JsonBuilder *builder, const char *name, gint64 value);
void      shim_json_add_bool    (JsonBuilder *builder, const char *name, gboolean value);
void      shim_json_add_record  (JsonBuilder *builder, ShimRecord *record);
JsonNode *shim_json_from_record (ShimRecord *record);
char     *shim_json_to_text     (JsonBuilder *builder);

G_END_DECLS
