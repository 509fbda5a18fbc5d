/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-measurement-json.h"
#include "shim-report-error.h"

/* One table for both directions: what a number is called and where it stands. */
typedef struct
{
  const char *name;
  gsize offset;
} Number;

#define NUMBER(member) { #member, G_STRUCT_OFFSET (ShimMeasurement, member) }

static const Number numbers[] = {
  NUMBER (ruler_mm), NUMBER (offset_mm), NUMBER (offset_se_mm), NUMBER (common_se_mm), NUMBER (offset_bound_mm),
  NUMBER (depth_of_field_mm), NUMBER (coc_mm), NUMBER (mm_per_px), NUMBER (distance_mm), NUMBER (angle_deg),
  NUMBER (focal_mm), NUMBER (f_number), NUMBER (tick_mm), NUMBER (target_reading_mm), NUMBER (sharp_reading_mm),
  NUMBER (first_reading_mm), NUMBER (last_reading_mm), NUMBER (strip_width_px), NUMBER (map_residual_mm),
  NUMBER (softness_px), NUMBER (blur_factor),
};

/* Of how the marks were carried over; measurements stored before that was done do not have them. */
static const Number shift_numbers[] = {
  NUMBER (shift_x_px), NUMBER (shift_y_px), NUMBER (shift_se_px), NUMBER (shift_turn_deg), NUMBER (shift_growth),
};

static const Number points[] = {
  NUMBER (target_px), NUMBER (sharp_px), NUMBER (strip_a_px), NUMBER (strip_b_px),
};

static const Number curve_numbers[] = {
  { "reading_mm", G_STRUCT_OFFSET (ShimBlurPoint, reading_mm) },
  { "along_px", G_STRUCT_OFFSET (ShimBlurPoint, along_px) },
  { "contrast", G_STRUCT_OFFSET (ShimBlurPoint, contrast) },
  { "contrast_se", G_STRUCT_OFFSET (ShimBlurPoint, contrast_se) },
  { "model", G_STRUCT_OFFSET (ShimBlurPoint, model) },
};

static JsonNode *
number_node (double value)
{
  JsonNode *node = json_node_new (isfinite (value) ? JSON_NODE_VALUE : JSON_NODE_NULL);

  if (isfinite (value))
    json_node_set_double (node, value);
  return node;
}

static JsonNode *
point_node (ShimPoint point)
{
  JsonNode *node;
  JsonArray *array;

  if (!isfinite (point.x) || !isfinite (point.y))
    return json_node_new (JSON_NODE_NULL);
  node = json_node_new (JSON_NODE_ARRAY);
  array = json_array_new ();
  json_array_add_double_element (array, point.x);
  json_array_add_double_element (array, point.y);
  json_node_take_array (node, array);
  return node;
}

static JsonObject *
curve_to_json (const ShimMeasurement *self)
{
  JsonObject *object = json_object_new ();
  JsonArray *used = json_array_new ();

  for (guint k = 0; k < G_N_ELEMENTS (curve_numbers); k++)
    {
      JsonArray *column = json_array_new ();

      for (guint i = 0; i < self->n_curve; i++)
        json_array_add_element (column,
                                number_node (G_STRUCT_MEMBER (double, &self->curve[i], curve_numbers[k].offset)));
      json_object_set_array_member (object, curve_numbers[k].name, column);
    }
  for (guint i = 0; i < self->n_curve; i++)
    json_array_add_boolean_element (used, self->curve[i].used);
  json_object_set_array_member (object, "used", used);
  return object;
}

/* A NULL text becomes null, not a missing member. */
static void
set_text (JsonObject *object, const char *name, const char *text)
{
  if (text != NULL)
    json_object_set_string_member (object, name, text);
  else
    json_object_set_null_member (object, name);
}

static void
set_warnings (JsonObject *object, char **warnings)
{
  JsonArray *array = json_array_new ();

  for (char **warning = warnings; warning != NULL && *warning != NULL; warning++)
    json_array_add_string_element (array, *warning);
  json_object_set_array_member (object, "warnings", array);
}

static void
set_map (JsonObject *object, const double map[3])
{
  JsonArray *array = json_array_new ();

  for (guint i = 0; i < 3; i++)
    json_array_add_element (array, number_node (map[i]));
  json_object_set_array_member (object, "map", array);
}

/**
 * shim_measurement_to_json:
 * @self: a measurement
 * @file: (nullable): the file it was made of, as the user named it; %NULL leaves the member out
 *
 * Places are [x, y] in pixels of the upright picture. "status" is "measured" or "refused", "refusal" the name of the
 * refusal, "marks" where strip and target line come from. The blur curve stands in columns of equal length.
 *
 * Returns: (transfer full): the object
 */
JsonObject *
shim_measurement_to_json (const ShimMeasurement *self, const char *file)
{
  JsonObject *object;

  g_return_val_if_fail (self != NULL, NULL);

  object = json_object_new ();
  if (file != NULL)
    json_object_set_string_member (object, "file", file);
  json_object_set_string_member (object, "status", self->refusal == SHIM_REFUSAL_NONE ? "measured" : "refused");
  json_object_set_string_member (object, "refusal", shim_refusal_to_name (self->refusal));
  set_text (object, "reason", self->reason);
  set_warnings (object, self->warnings);
  for (guint i = 0; i < G_N_ELEMENTS (points); i++)
    json_object_set_member (object, points[i].name, point_node (G_STRUCT_MEMBER (ShimPoint, self, points[i].offset)));
  for (guint i = 0; i < G_N_ELEMENTS (numbers); i++)
    json_object_set_member (object, numbers[i].name, number_node (G_STRUCT_MEMBER (double, self, numbers[i].offset)));
  json_object_set_string_member (object, "marks", shim_marks_origin_to_name (self->marks));
  for (guint i = 0; i < G_N_ELEMENTS (shift_numbers); i++)
    json_object_set_member (object, shift_numbers[i].name,
                            number_node (G_STRUCT_MEMBER (double, self, shift_numbers[i].offset)));
  json_object_set_boolean_member (object, "own_target", self->own_target);
  json_object_set_boolean_member (object, "angle_measured", self->angle_measured);
  json_object_set_boolean_member (object, "distance_measured", self->distance_measured);
  json_object_set_string_member (object, "far_side", shim_far_side_to_name (self->far_side));
  set_map (object, self->map);
  json_object_set_object_member (object, "curve", curve_to_json (self));
  return object;
}

static gboolean
fail (GError **error, const char *name)
{
  g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_READ,
               _ ("The stored measurement is damaged: “%s” is missing or is not what it should be."), name);
  return FALSE;
}

static gboolean
number_from_node (JsonNode *node, double *value)
{
  if (node == NULL || JSON_NODE_HOLDS_NULL (node))
    {
      *value = NAN;
      return node != NULL;
    }
  if (!JSON_NODE_HOLDS_VALUE (node)
      || (json_node_get_value_type (node) != G_TYPE_DOUBLE && json_node_get_value_type (node) != G_TYPE_INT64))
    return FALSE;
  *value = json_node_get_double (node);
  return TRUE;
}

static gboolean
numbers_from_array (JsonNode *node, double *values, guint n)
{
  JsonArray *array;

  if (node == NULL || !JSON_NODE_HOLDS_ARRAY (node))
    return FALSE;
  array = json_node_get_array (node);
  if (json_array_get_length (array) != n)
    return FALSE;
  for (guint i = 0; i < n; i++)
    if (!number_from_node (json_array_get_element (array, i), &values[i]))
      return FALSE;
  return TRUE;
}

static gboolean
point_from_node (JsonNode *node, ShimPoint *point)
{
  double xy[2] = { NAN, NAN };

  if (node == NULL)
    return FALSE;
  if (!JSON_NODE_HOLDS_NULL (node) && !numbers_from_array (node, xy, 2))
    return FALSE;
  point->x = xy[0];
  point->y = xy[1];
  return TRUE;
}

static const char *
text_member (JsonObject *object, const char *name)
{
  JsonNode *node = json_object_get_member (object, name);

  if (node == NULL || !JSON_NODE_HOLDS_VALUE (node) || json_node_get_value_type (node) != G_TYPE_STRING)
    return NULL;
  return json_node_get_string (node);
}

static gboolean
flag_member (JsonObject *object, const char *name, gboolean *flag)
{
  JsonNode *node = json_object_get_member (object, name);

  if (node == NULL || !JSON_NODE_HOLDS_VALUE (node) || json_node_get_value_type (node) != G_TYPE_BOOLEAN)
    return FALSE;
  *flag = json_node_get_boolean (node);
  return TRUE;
}

/* A curve with more points than a strip can have rows is not ours. */
#define MAX_CURVE 100000

static gboolean
used_from_array (JsonNode *node, ShimBlurPoint *curve, guint n)
{
  JsonArray *array;

  if (node == NULL || !JSON_NODE_HOLDS_ARRAY (node))
    return FALSE;
  array = json_node_get_array (node);
  if (json_array_get_length (array) != n)
    return FALSE;
  for (guint i = 0; i < n; i++)
    {
      JsonNode *element = json_array_get_element (array, i);

      if (!JSON_NODE_HOLDS_VALUE (element) || json_node_get_value_type (element) != G_TYPE_BOOLEAN)
        return FALSE;
      curve[i].used = json_node_get_boolean (element);
    }
  return TRUE;
}

static gboolean
curve_from_json (ShimMeasurement *self, JsonNode *node)
{
  JsonObject *object;
  JsonNode *first;
  guint n;
  g_autofree double *column = NULL;

  if (node == NULL || !JSON_NODE_HOLDS_OBJECT (node))
    return FALSE;
  object = json_node_get_object (node);
  first = json_object_get_member (object, curve_numbers[0].name);
  if (first == NULL || !JSON_NODE_HOLDS_ARRAY (first))
    return FALSE;
  n = json_array_get_length (json_node_get_array (first));
  if (n > MAX_CURVE)
    return FALSE;
  self->curve = n > 0 ? g_new0 (ShimBlurPoint, n) : NULL;
  self->n_curve = n;
  column = g_new (double, n + 1);
  for (guint k = 0; k < G_N_ELEMENTS (curve_numbers); k++)
    {
      if (!numbers_from_array (json_object_get_member (object, curve_numbers[k].name), column, n))
        return FALSE;
      for (guint i = 0; i < n; i++)
        G_STRUCT_MEMBER (double, &self->curve[i], curve_numbers[k].offset) = column[i];
    }
  return used_from_array (json_object_get_member (object, "used"), self->curve, n);
}

static gboolean
warnings_from_json (ShimMeasurement *self, JsonNode *node)
{
  JsonArray *array;

  if (node == NULL || !JSON_NODE_HOLDS_ARRAY (node))
    return FALSE;
  array = json_node_get_array (node);
  for (guint i = 0; i < json_array_get_length (array); i++)
    {
      JsonNode *element = json_array_get_element (array, i);

      if (!JSON_NODE_HOLDS_VALUE (element) || json_node_get_value_type (element) != G_TYPE_STRING)
        return FALSE;
      shim_measurement_warn (self, "%s", json_node_get_string (element));
    }
  return TRUE;
}

static gboolean
words_from_json (ShimMeasurement *self, JsonObject *object, GError **error)
{
  const char *refusal = text_member (object, "refusal"), *far_side = text_member (object, "far_side");

  if (refusal == NULL || !shim_refusal_from_name (refusal, &self->refusal))
    return fail (error, "refusal");
  if (far_side == NULL || !shim_far_side_from_name (far_side, &self->far_side))
    return fail (error, "far_side");
  /* Not in measurements that were stored before the printed target could be recognised. */
  if (json_object_has_member (object, "own_target") && !flag_member (object, "own_target", &self->own_target))
    return fail (error, "own_target");
  if (!flag_member (object, "angle_measured", &self->angle_measured))
    return fail (error, "angle_measured");
  if (!flag_member (object, "distance_measured", &self->distance_measured))
    return fail (error, "distance_measured");
  g_free (self->reason);
  self->reason = g_strdup (text_member (object, "reason"));
  if (!warnings_from_json (self, json_object_get_member (object, "warnings")))
    return fail (error, "warnings");
  return TRUE;
}

static gboolean
shift_from_json (ShimMeasurement *self, JsonObject *object, GError **error)
{
  if (!json_object_has_member (object, "marks"))
    return TRUE;
  if (!shim_marks_origin_from_name (text_member (object, "marks"), &self->marks))
    return fail (error, "marks");
  for (guint i = 0; i < G_N_ELEMENTS (shift_numbers); i++)
    if (!number_from_node (json_object_get_member (object, shift_numbers[i].name),
                           &G_STRUCT_MEMBER (double, self, shift_numbers[i].offset)))
      return fail (error, shift_numbers[i].name);
  return TRUE;
}

/**
 * shim_measurement_from_json:
 * @object: what shim_measurement_to_json() made
 * @error: #ShimReportError READ when a member is missing or of another type
 *
 * Returns: (transfer full) (nullable): the measurement
 */
ShimMeasurement *
shim_measurement_from_json (JsonObject *object, GError **error)
{
  g_autoptr (ShimMeasurement) self = shim_measurement_new ();

  g_return_val_if_fail (object != NULL, NULL);

  if (!words_from_json (self, object, error) || !shift_from_json (self, object, error))
    return NULL;
  for (guint i = 0; i < G_N_ELEMENTS (points); i++)
    if (!point_from_node (json_object_get_member (object, points[i].name),
                          &G_STRUCT_MEMBER (ShimPoint, self, points[i].offset)))
      {
        fail (error, points[i].name);
        return NULL;
      }
  for (guint i = 0; i < G_N_ELEMENTS (numbers); i++)
    if (!number_from_node (json_object_get_member (object, numbers[i].name),
                           &G_STRUCT_MEMBER (double, self, numbers[i].offset)))
      {
        fail (error, numbers[i].name);
        return NULL;
      }
  if (!numbers_from_array (json_object_get_member (object, "map"), self->map, 3))
    {
      fail (error, "map");
      return NULL;
    }
  if (!curve_from_json (self, json_object_get_member (object, "curve")))
    {
      fail (error, "curve");
      return NULL;
    }
  return g_steal_pointer (&self);
}

/**
 * shim_measurement_to_details:
 * @self: a measurement
 *
 * Returns: (transfer full): its JSON text on one line, for #ShimReading.details
 */
char *
shim_measurement_to_details (const ShimMeasurement *self)
{
  g_autoptr (JsonNode) node = json_node_new (JSON_NODE_OBJECT);

  g_return_val_if_fail (self != NULL, NULL);

  json_node_take_object (node, shim_measurement_to_json (self, NULL));
  return json_to_string (node, FALSE);
}

/**
 * shim_measurement_from_details:
 * @details: text that shim_measurement_to_details() made
 * @error: #ShimReportError READ
 *
 * Returns: (transfer full) (nullable): the measurement
 */
ShimMeasurement *
shim_measurement_from_details (const char *details, GError **error)
{
  g_autoptr (JsonNode) node = NULL;
  g_autoptr (GError) local_error = NULL;

  g_return_val_if_fail (details != NULL, NULL);

  node = json_from_string (details, &local_error);
  if (node == NULL || !JSON_NODE_HOLDS_OBJECT (node))
    {
      g_set_error_literal (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_READ,
                           _ ("The stored measurement is damaged: it is no JSON object."));
      return NULL;
    }
  return shim_measurement_from_json (json_node_get_object (node), error);
}
