/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-json.h"
#include "shim-kit-sheet.h"

static void
add_item (JsonBuilder *builder, const ShimSheetItem *item)
{
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "kind", item->kind);
  shim_json_add_text (builder, "name", item->name);
  shim_json_add_text (builder, "model", item->model);
  shim_json_add_text (builder, "serial", item->serial);
  shim_json_add_text (builder, "mount", item->mount);
  shim_json_add_text (builder, "detail", item->detail);
  shim_json_add_text (builder, "holder", item->holder);
  shim_json_add_real (builder, "worth", item->worth);
  shim_json_add_text (builder, "currency", item->currency);
  json_builder_end_object (builder);
}

static void
add_pair (JsonBuilder *builder, const ShimSheetPair *pair)
{
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "body", pair->body);
  shim_json_add_text (builder, "body_serial", pair->body_serial);
  shim_json_add_text (builder, "lens", pair->lens);
  shim_json_add_text (builder, "lens_serial", pair->lens_serial);
  shim_json_add_text (builder, "converter", *pair->converter != '\0' ? pair->converter : NULL);
  shim_json_add_text (builder, "state", shim_pair_state_to_name (pair->state));
  shim_json_add_int (builder, "setting", pair->value);
  shim_json_add_int (builder, "setting_long", pair->value_long);
  shim_json_add_int (builder, "slot", pair->slot);
  shim_json_add_text (builder, "kept", *pair->slot_note != '\0' ? pair->slot_note : NULL);
  shim_json_add_text (builder, "decided_on", *pair->decided_on != '\0' ? pair->decided_on : NULL);
  shim_json_add_real (builder, "residual_mm", pair->residual_mm);
  shim_json_add_real (builder, "residual_se_mm", pair->residual_se_mm);
  shim_json_add_bool (builder, "conflict", pair->conflict);
  json_builder_end_object (builder);
}

/**
 * shim_kit_sheet_to_json:
 * @self: a sheet
 *
 * Returns: (transfer full): the sheet as a JSON object
 */
char *
shim_kit_sheet_to_json (const ShimKitSheet *self)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  g_return_val_if_fail (self != NULL, NULL);

  json_builder_begin_object (builder);
  shim_json_add_text (builder, "title", self->title);
  shim_json_add_text (builder, "date", self->date);
  shim_json_add_text (builder, "place", self->place);
  shim_json_add_text (builder, "holder", self->holder);
  shim_json_add_text (builder, "made_at", self->made_at);
  json_builder_set_member_name (builder, "items");
  json_builder_begin_array (builder);
  for (guint i = 0; i < self->items->len; i++)
    add_item (builder, self->items->pdata[i]);
  json_builder_end_array (builder);
  json_builder_set_member_name (builder, "pairs");
  json_builder_begin_array (builder);
  for (guint i = 0; i < self->pairs->len; i++)
    add_pair (builder, self->pairs->pdata[i]);
  json_builder_end_array (builder);
  json_builder_set_member_name (builder, "not_ready");
  json_builder_begin_array (builder);
  for (guint i = 0; self->not_ready[i] != NULL; i++)
    json_builder_add_string_value (builder, self->not_ready[i]);
  json_builder_end_array (builder);
  json_builder_end_object (builder);
  return shim_json_to_text (builder);
}
