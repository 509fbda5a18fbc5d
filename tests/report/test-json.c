/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "report-fixture.h"
#include "shim-json.h"

/* Read back by json-glib from the text, as another program would. */
static JsonNode *
through_text (ShimRecord *record)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autofree char *text = NULL;
  g_autoptr (GError) error = NULL;
  JsonNode *node;

  shim_json_add_record (builder, record);
  text = shim_json_to_text (builder);
  g_assert_true (g_str_has_suffix (text, "}\n"));
  node = json_from_string (text, &error);
  g_assert_no_error (error);
  return node;
}

static void
test_record (void)
{
  g_autoptr (ShimLens) lens = report_lens_new ("Velle “50”\n\t\\", "0003377");
  g_autoptr (JsonNode) node = through_text (SHIM_RECORD (lens));
  JsonObject *object = json_node_get_object (node);

  g_assert_cmpstr (json_object_get_string_member (object, "kind"), ==, "lens");
  g_assert_cmpstr (json_object_get_string_member (object, "id"), ==, "lens 0003377");
  g_assert_cmpstr (json_object_get_string_member (object, "label"), ==, "Velle “50”\n\t\\");
  g_assert_cmpstr (json_object_get_string_member (object, "serial"), ==, "0003377");
  g_assert_cmpfloat (json_object_get_double_member (object, "aperture_wide"), ==, 1.8);
  g_assert_false (json_object_get_boolean_member (object, "own_table"));
  /* What is not known is null, not missing and not a number. */
  g_assert_true (json_object_has_member (object, "nearest_mm"));
  g_assert_true (json_object_get_null_member (object, "nearest_mm"));
  g_assert_true (json_object_get_null_member (object, "holder"));
}

static void
test_every_field (void)
{
  const GType *types;
  guint n_types;

  types = shim_kind_list_types (&n_types);
  for (guint t = 0; t < n_types; t++)
    {
      const ShimKind *kind = shim_kind_for_type (types[t]);
      g_autoptr (ShimRecord) record = g_object_new (types[t], NULL);
      g_autoptr (JsonNode) node = NULL;
      JsonObject *object;

      shim_record_set_id (record, "an id");
      node = through_text (record);
      object = json_node_get_object (node);
      g_assert_cmpstr (json_object_get_string_member (object, "kind"), ==, kind->name);
      for (guint i = 0; i < kind->n_fields; i++)
        {
          /* A field called kind makes room for the kind of the record. */
          g_autofree char *name = g_str_equal (kind->fields[i].name, "kind") ? g_strconcat (kind->name, "_kind", NULL)
                                                                             : g_strdup (kind->fields[i].name);

          g_assert_true (json_object_has_member (object, name) == (kind->fields[i].type != SHIM_FIELD_BLOB));
        }
    }
}

static void
test_numbers (void)
{
  const double values[] = { NAN, INFINITY, -INFINITY };
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autofree char *text = NULL;
  g_autoptr (JsonNode) node = NULL;
  JsonObject *object;

  json_builder_begin_object (builder);
  for (guint i = 0; i < G_N_ELEMENTS (values); i++)
    {
      g_autofree char *name = g_strdup_printf ("%u", i);

      shim_json_add_real (builder, name, values[i]);
    }
  shim_json_add_int (builder, "none", SHIM_NO_INT);
  shim_json_add_int (builder, "some", -7);
  shim_json_add_real (builder, "third", 1.0 / 3.0);
  json_builder_end_object (builder);
  text = shim_json_to_text (builder);
  node = json_from_string (text, NULL);
  g_assert_nonnull (node);
  object = json_node_get_object (node);
  g_assert_true (json_object_get_null_member (object, "0"));
  g_assert_true (json_object_get_null_member (object, "1"));
  g_assert_true (json_object_get_null_member (object, "2"));
  g_assert_true (json_object_get_null_member (object, "none"));
  g_assert_cmpint (json_object_get_int_member (object, "some"), ==, -7);
  g_assert_cmpfloat (json_object_get_double_member (object, "third"), ==, 1.0 / 3.0);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/report/json/record", test_record);
  g_test_add_func ("/report/json/every-field", test_every_field);
  g_test_add_func ("/report/json/numbers", test_numbers);
  return g_test_run ();
}
