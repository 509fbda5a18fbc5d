/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-format.h"
#include "shim-ops-kit.h"
#include "shim-ops-model-private.h"
#include "shim-ops-summary.h"
#include "shim-optics.h"

struct _ShimModel
{
  ShimKitModel *model;       /* NULL while nothing was measured */
  GHashTable *bodies;        /* id → index + 1 */
  GHashTable *lenses;        /* id, or id + converter's id → index + 1 */
  GPtrArray *body_ids;       /* owned by bodies */
  GPtrArray *lens_keys;      /* owned by lenses */
  GPtrArray *pairs;          /* of ShimModelPair */
  GPtrArray *items;          /* of ShimModelItem */
};

static void
model_pair_free (ShimModelPair *self)
{
  g_free (self->pair);
  g_free (self->decision);
  g_free (self);
}

static void
model_item_free (ShimModelItem *self)
{
  g_free (self->item);
  g_free (self->converter);
  g_free (self->sentence);
  g_free (self);
}

static void
model_clear (gpointer data)
{
  ShimModel *self = data;

  g_clear_pointer (&self->model, shim_kit_model_free);
  g_clear_pointer (&self->bodies, g_hash_table_unref);
  g_clear_pointer (&self->lenses, g_hash_table_unref);
  g_clear_pointer (&self->body_ids, g_ptr_array_unref);
  g_clear_pointer (&self->lens_keys, g_ptr_array_unref);
  g_clear_pointer (&self->pairs, g_ptr_array_unref);
  g_clear_pointer (&self->items, g_ptr_array_unref);
}

/**
 * shim_model_ref:
 * @self: a model
 *
 * Returns: (transfer full): @self
 */
ShimModel *
shim_model_ref (ShimModel *self)
{
  return g_atomic_rc_box_acquire (self);
}

/**
 * shim_model_unref:
 * @self: (transfer full): a model
 */
void
shim_model_unref (ShimModel *self)
{
  g_atomic_rc_box_release_full (self, model_clear);
}

/**
 * shim_pair_prediction_free:
 * @self: (nullable): a prediction
 */
void
shim_pair_prediction_free (ShimPairPrediction *self)
{
  if (self == NULL)
    return;
  g_free (self->sentence);
  g_free (self);
}

/* --- making it --- */

/* Ids have no '+'. */
static char *
lens_key (const char *lens, const char *converter)
{
  return converter != NULL ? g_strconcat (lens, "+", converter, NULL) : g_strdup (lens);
}

/* Takes @key. */
static guint
index_of (GHashTable *table, GPtrArray *order, char *key)
{
  gpointer found = g_hash_table_lookup (table, key);

  if (found != NULL)
    {
      g_free (key);
      return GPOINTER_TO_UINT (found) - 1;
    }
  g_hash_table_insert (table, key, GUINT_TO_POINTER (order->len + 1));
  g_ptr_array_add (order, key);
  return order->len - 1;
}

static void
add_pair (ShimModel *self, const char *pair, const char *decision, const ShimKitReading *reading)
{
  ShimModelPair *added = g_new0 (ShimModelPair, 1);

  added->pair = g_strdup (pair);
  added->decision = g_strdup (decision);
  added->reading = *reading;
  g_ptr_array_add (self->pairs, added);
}

static void
add_measurement (ShimModel *self, const ShimPairMeasurement *measured, GArray *readings)
{
  ShimKitReading reading;

  if (!shim_pair_measurement_to_reading (measured, &reading))
    return;
  reading.body = index_of (self->bodies, self->body_ids, g_strdup (measured->body));
  reading.lens = index_of (self->lenses, self->lens_keys, lens_key (measured->lens, measured->converter));
  g_array_append_val (readings, reading);
  add_pair (self, measured->pair, measured->decision, &reading);
}

/* Where the numbers say service, it says service. */
static char *
sentence_for_item (ShimRegister *reg, const ShimModelItem *item)
{
  g_autoptr (ShimRecord) record = NULL;
  g_autofree char *off = NULL;

  if (!item->term.is_off)
    return NULL;
  record = shim_ops_kit_get_item (reg, item->is_body ? "body" : "lens", item->item, NULL);
  off = shim_format_signed (item->term.off_by_um, 0);
  return g_strdup_printf (
      item->is_body
          ? _ ("%s is off by itself, by %s µm at the sensor, with every lens: that is a matter for a qualified "
               "technician.")
          : _ ("%s is off by itself, by %s µm at the sensor, on every body: that is a matter for a qualified "
               "technician."),
      record != NULL ? shim_ops_kit_item_name (record) : item->item, off);
}

static void
add_item (ShimRegister *reg, ShimModel *self, gboolean is_body, guint index)
{
  ShimModelItem *item = g_new0 (ShimModelItem, 1);

  item->is_body = is_body;
  if (is_body)
    {
      item->item = g_strdup (g_ptr_array_index (self->body_ids, index));
      item->term = *shim_kit_model_get_body (self->model, index);
    }
  else
    {
      g_auto (GStrv) parts = g_strsplit (g_ptr_array_index (self->lens_keys, index), "+", 2);

      item->item = g_strdup (parts[0]);
      item->converter = g_strdup (parts[1]);
      item->term = *shim_kit_model_get_lens (self->model, index);
    }
  item->sentence = sentence_for_item (reg, item);
  g_ptr_array_add (self->items, item);
}

static gboolean
solve (ShimModel *self, GArray *readings, GError **error)
{
  if (readings->len == 0)
    return TRUE;
  self->model = shim_kit_model_new ((const ShimKitReading *) readings->data, readings->len, self->body_ids->len + 1,
                                    self->lens_keys->len + 1, NULL, error);
  if (self->model == NULL)
    return FALSE;
  for (guint i = 0; i < self->pairs->len; i++)
    ((ShimModelPair *) g_ptr_array_index (self->pairs, i))->fit = *shim_kit_model_get_fit (self->model, i);
  return TRUE;
}

static void
add_items (ShimRegister *reg, ShimModel *self)
{
  if (self->model == NULL)
    return;
  for (guint i = 0; i < self->body_ids->len; i++)
    add_item (reg, self, TRUE, i);
  for (guint i = 0; i < self->lens_keys->len; i++)
    add_item (reg, self, FALSE, i);
}

static ShimModel *
model_from (ShimRegister *reg, GPtrArray *measurements, GError **error)
{
  g_autoptr (ShimModel) self = g_atomic_rc_box_new0 (ShimModel);
  g_autoptr (GArray) readings = g_array_new (FALSE, FALSE, sizeof (ShimKitReading));

  self->bodies = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  self->lenses = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  self->body_ids = g_ptr_array_new ();
  self->lens_keys = g_ptr_array_new ();
  self->pairs = g_ptr_array_new_with_free_func ((GDestroyNotify) model_pair_free);
  self->items = g_ptr_array_new_with_free_func ((GDestroyNotify) model_item_free);
  for (guint i = 0; i < measurements->len; i++)
    add_measurement (self, g_ptr_array_index (measurements, i), readings);
  if (!solve (self, readings, error))
    return NULL;
  add_items (reg, self);
  return g_steal_pointer (&self);
}

/**
 * shim_ops_model:
 * @reg: a register
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): the kit model over all measured pairs; one without readings when nothing was
 * measured
 */
ShimModel *
shim_ops_model (ShimRegister *reg, GError **error)
{
  g_autoptr (GPtrArray) measurements = NULL;

  g_return_val_if_fail (reg != NULL, NULL);

  measurements = shim_register_measurements (reg, NULL, error);
  return measurements != NULL ? model_from (reg, measurements, error) : NULL;
}

/**
 * shim_ops_model_around:
 * @reg: a register
 * @body: id
 * @lens: (nullable): id of a lens that may not have been measured on it yet
 * @is_whole: (out) (optional): whether it is the same as shim_ops_model()
 * @error: a #ShimStoreError
 *
 * What there is to say of one body and its lenses, see shim_register_measurements_around().
 *
 * Returns: (transfer full) (nullable): the kit model
 */
ShimModel *
shim_ops_model_around (ShimRegister *reg, const char *body, const char *lens, gboolean *is_whole, GError **error)
{
  g_autoptr (GPtrArray) measurements = NULL;
  gboolean is_all = FALSE;

  g_return_val_if_fail (reg != NULL && body != NULL, NULL);

  measurements = shim_register_measurements_around (reg, body, lens, &is_all, error);
  if (is_whole != NULL)
    *is_whole = is_all;
  return measurements != NULL ? model_from (reg, measurements, error) : NULL;
}

/**
 * shim_model_without:
 * @self: a model
 * @pair: id of a pair
 * @error: a #ShimCoreError
 *
 * What all the others say, so that a pair is never compared with itself.
 *
 * Returns: (transfer full) (nullable): the model without the readings of @pair, and without items
 */
ShimModel *
shim_model_without (const ShimModel *self, const char *pair, GError **error)
{
  g_autoptr (ShimModel) rest = NULL;
  g_autoptr (GArray) readings = NULL;

  g_return_val_if_fail (self != NULL && pair != NULL, NULL);

  rest = g_atomic_rc_box_new0 (ShimModel);
  rest->bodies = g_hash_table_ref (self->bodies);
  rest->lenses = g_hash_table_ref (self->lenses);
  rest->body_ids = g_ptr_array_ref (self->body_ids);
  rest->lens_keys = g_ptr_array_ref (self->lens_keys);
  rest->pairs = g_ptr_array_new_with_free_func ((GDestroyNotify) model_pair_free);
  rest->items = g_ptr_array_new_with_free_func ((GDestroyNotify) model_item_free);
  readings = g_array_new (FALSE, FALSE, sizeof (ShimKitReading));
  for (guint i = 0; i < self->pairs->len; i++)
    {
      const ShimModelPair *other = g_ptr_array_index (self->pairs, i);

      if (g_str_equal (other->pair, pair))
        continue;
      add_pair (rest, other->pair, other->decision, &other->reading);
      g_array_append_val (readings, other->reading);
    }
  if (!solve (rest, readings, error))
    return NULL;
  return g_steal_pointer (&rest);
}

/**
 * shim_model_get_n_readings:
 * @self: a model
 *
 * Returns: how many measured pairs it rests on
 */
guint
shim_model_get_n_readings (const ShimModel *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->pairs->len;
}

/**
 * shim_model_get_items:
 * @self: a model
 *
 * Returns: (transfer none) (element-type ShimModelItem): bodies, then lenses
 */
GPtrArray *
shim_model_get_items (const ShimModel *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return self->items;
}

/**
 * shim_model_get_pairs:
 * @self: a model
 *
 * Returns: (transfer none) (element-type ShimModelPair): the pairs it rests on, and how well it explains them
 */
GPtrArray *
shim_model_get_pairs (const ShimModel *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return self->pairs;
}

/* --- predicting --- */

/* All items that were never measured share the index after those that were. */
static guint
known_or_new (GHashTable *table, const GPtrArray *order, const char *key)
{
  gpointer found = g_hash_table_lookup (table, key);

  return found != NULL ? GPOINTER_TO_UINT (found) - 1 : order->len;
}

static gboolean
predict_um (const ShimModel *self, const char *body, const char *lens, const char *converter,
            ShimKitPrediction *prediction)
{
  g_autofree char *key = lens_key (lens, converter);

  return self->model != NULL
         && shim_kit_model_predict (self->model, known_or_new (self->bodies, self->body_ids, body),
                                    known_or_new (self->lenses, self->lens_keys, key), prediction);
}

static gboolean
find_step_um (ShimRegister *reg, ShimBody *body, ShimLens *lens, double *step_um, GError **error)
{
  g_autoptr (GError) local_error = NULL;

  *step_um = shim_ops_step_um (reg, shim_record_get_id (SHIM_RECORD (body)), &local_error);
  if (local_error != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&local_error));
      return FALSE;
    }
  if (isnan (*step_um))
    *step_um = shim_ops_common_step_um (body, lens);
  return TRUE;
}

static const char *
ground_for (ShimPredictionBasis basis)
{
  switch (basis)
    {
    case SHIM_PREDICTION_BOTH:
      return _ ("from other pairs of this body and this lens");
    case SHIM_PREDICTION_BODY_ONLY:
      return _ ("from other lenses on this body");
    case SHIM_PREDICTION_LENS_ONLY:
      return _ ("from this lens on other bodies");
    case SHIM_PREDICTION_NONE:
    default:
      return _ ("from nothing");
    }
}

static void
fill_prediction (ShimPairPrediction *self, const ShimKitPrediction *model, ShimBody *body, double step_um,
                 double focal_mm, double distance_mm)
{
  const int low = body->range_min != SHIM_NO_INT ? (int) body->range_min : -20;
  const int high = body->range_max != SHIM_NO_INT ? (int) body->range_max : 20;
  g_autofree char *setting = NULL;

  self->basis = model->basis;
  self->wanted = -model->defocus_um / step_um;
  self->setting = (int) CLAMP (round (self->wanted), low, high);
  self->se_steps = model->single_se_um / fabs (step_um);
  self->offset_mm = shim_optics_offset_mm (focal_mm, distance_mm, model->defocus_um);
  self->offset_se_mm = fabs (shim_optics_offset_mm (focal_mm, distance_mm, model->single_se_um));
  self->step_mm = shim_optics_offset_mm (focal_mm, distance_mm, step_um);
  setting = shim_format_setting (self->setting);
  self->sentence = g_strdup_printf (_ ("About %s ± %.0f is expected, %s."), setting, ceil (self->se_steps),
                                    ground_for (model->basis));
}

/**
 * shim_ops_model_predict:
 * @reg: a register
 * @model: its kit model
 * @body: id
 * @lens: id
 * @converter: (nullable): id
 * @focal_mm: focal length the pair would be tested at
 * @distance_mm: distance it would be tested at
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): what is to be expected of the pair; %NULL without @error when the model says
 * nothing of it
 */
ShimPairPrediction *
shim_ops_model_predict (ShimRegister *reg, const ShimModel *model, const char *body, const char *lens,
                        const char *converter, double focal_mm, double distance_mm, GError **error)
{
  g_autoptr (ShimBody) body_record = NULL;
  g_autoptr (ShimLens) lens_record = NULL;
  ShimPairPrediction *result;
  ShimKitPrediction prediction;
  double step_um;

  g_return_val_if_fail (reg != NULL && model != NULL && body != NULL && lens != NULL, NULL);

  if (!predict_um (model, body, lens, converter, &prediction))
    return NULL;
  body_record = (ShimBody *) shim_register_get (reg, SHIM_TYPE_BODY, body, error);
  if (body_record == NULL)
    return NULL;
  lens_record = (ShimLens *) shim_register_get (reg, SHIM_TYPE_LENS, lens, error);
  if (lens_record == NULL || !find_step_um (reg, body_record, lens_record, &step_um, error))
    return NULL;
  result = g_new0 (ShimPairPrediction, 1);
  fill_prediction (result, &prediction, body_record, step_um, focal_mm, distance_mm);
  return result;
}

/* For the slot plan: expected wanted setting of a pair that may not be measured, with steps of @step_um. FALSE when the model says
 * nothing. */
gboolean
_shim_model_wanted (const ShimModel *model, ShimBody *body, ShimLens *lens, double step_um, double *wanted)
{
  ShimKitPrediction prediction;

  *wanted = NAN;
  if (model == NULL
      || !predict_um (model, shim_record_get_id (SHIM_RECORD (body)), shim_record_get_id (SHIM_RECORD (lens)), NULL,
                      &prediction))
    return FALSE;
  *wanted = -prediction.defocus_um / step_um;
  return TRUE;
}
