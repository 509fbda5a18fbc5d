/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-json.h"

/* What is not known is null, never a guess and never NaN, which JSON does not have. */

/**
 * shim_json_add_text:
 * @builder: inside an object
 * @name: key
 * @value: (nullable): text, %NULL becomes null
 */
void
shim_json_add_text (JsonBuilder *builder, const char *name, const char *value)
{
  json_builder_set_member_name (builder, name);
  if (value != NULL)
    json_builder_add_string_value (builder, value);
  else
    json_builder_add_null_value (builder);
}

/**
 * shim_json_add_real:
 * @builder: inside an object
 * @name: key
 * @value: a number; NAN and infinity become null
 */
void
shim_json_add_real (JsonBuilder *builder, const char *name, double value)
{
  json_builder_set_member_name (builder, name);
  if (isfinite (value))
    json_builder_add_double_value (builder, value);
  else
    json_builder_add_null_value (builder);
}

/**
 * shim_json_add_int:
 * @builder: inside an object
 * @name: key
 * @value: a number; %SHIM_NO_INT becomes null
 */
void
shim_json_add_int (JsonBuilder *builder, const char *name, gint64 value)
{
  json_builder_set_member_name (builder, name);
  if (value != SHIM_NO_INT)
    json_builder_add_int_value (builder, value);
  else
    json_builder_add_null_value (builder);
}

/**
 * shim_json_add_bool:
 * @builder: inside an object
 * @name: key
 * @value: yes or no
 */
void
shim_json_add_bool (JsonBuilder *builder, const char *name, gboolean value)
{
  json_builder_set_member_name (builder, name);
  json_builder_add_boolean_value (builder, value);
}

static void
add_field (JsonBuilder *builder, ShimRecord *record, const ShimField *field)
{
  switch (field->type)
    {
    case SHIM_FIELD_REAL:
      shim_json_add_real (builder, field->name, shim_record_get_real (record, field));
      break;
    case SHIM_FIELD_INT:
      shim_json_add_int (builder, field->name, shim_record_get_int (record, field));
      break;
    case SHIM_FIELD_BOOL:
      shim_json_add_bool (builder, field->name, shim_record_get_int (record, field) != 0);
      break;
    case SHIM_FIELD_BLOB:
      break;
    case SHIM_FIELD_TEXT:
    case SHIM_FIELD_CHOICE:
    case SHIM_FIELD_DATE:
    case SHIM_FIELD_TIME:
    case SHIM_FIELD_REF:
    default:
      shim_json_add_text (builder, field->name, shim_record_get_text (record, field));
      break;
    }
}

/**
 * shim_json_add_record:
 * @builder: where a value is expected
 * @record: a record
 *
 * Adds an object: "kind", "id", then the fields by their names; pictures are left out.
 */
void
shim_json_add_record (JsonBuilder *builder, ShimRecord *record)
{
  const ShimKind *kind;

  g_return_if_fail (SHIM_IS_RECORD (record));

  kind = shim_record_get_kind (record);
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "kind", kind->name);
  shim_json_add_text (builder, "id", record->id);
  for (guint i = 0; i < kind->n_fields; i++)
    /* A record may have a field that is called kind itself (an event's): the record's kind came first, so the field takes its
     * kind's name with it. */
    if (g_str_equal (kind->fields[i].name, "kind"))
      {
        g_autofree char *name = g_strdup_printf ("%s_kind", kind->name);

        shim_json_add_text (builder, name, shim_record_get_text (record, &kind->fields[i]));
      }
    else
      add_field (builder, record, &kind->fields[i]);
  json_builder_end_object (builder);
}

/**
 * shim_json_from_record:
 * @record: a record
 *
 * Returns: (transfer full): it as a JSON object, as by shim_json_add_record()
 */
JsonNode *
shim_json_from_record (ShimRecord *record)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  shim_json_add_record (builder, record);
  return json_builder_get_root (builder);
}

/**
 * shim_json_to_text:
 * @builder: with a finished value
 *
 * Returns: (transfer full): it as text for people and programs: indented, with a newline at the end
 */
char *
shim_json_to_text (JsonBuilder *builder)
{
  g_autoptr (JsonGenerator) generator = json_generator_new ();
  g_autoptr (JsonNode) root = json_builder_get_root (builder);
  g_autofree char *text = NULL;

  json_generator_set_pretty (generator, TRUE);
  json_generator_set_indent (generator, 2);
  json_generator_set_root (generator, root);
  text = json_generator_to_data (generator, NULL);
  return g_strconcat (text, "\n", NULL);
}
