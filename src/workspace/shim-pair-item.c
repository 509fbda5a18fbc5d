/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-pair-item-private.h"
#include "shim-record-answer.h"

struct _ShimPairItem
{
  GObject parent_instance;

  ShimPairNow *now;
  ShimBody *body;
  ShimLens *lens;
  ShimConverter *converter;
};

G_DEFINE_FINAL_TYPE (ShimPairItem, shim_pair_item, G_TYPE_OBJECT)

static void
shim_pair_item_finalize (GObject *object)
{
  ShimPairItem *self = SHIM_PAIR_ITEM (object);

  shim_pair_now_free (self->now);
  g_clear_object (&self->body);
  g_clear_object (&self->lens);
  g_clear_object (&self->converter);
  G_OBJECT_CLASS (shim_pair_item_parent_class)->finalize (object);
}

static void
shim_pair_item_class_init (ShimPairItemClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = shim_pair_item_finalize;
}

static void
shim_pair_item_init (ShimPairItem *self)
{
}

/* --- reading --- */

static gpointer
take_record (GHashTable *records, GType type, const char *id)
{
  ShimRecord *record = id != NULL ? g_hash_table_lookup (records, id) : NULL;

  if (record != NULL)
    return g_object_ref (record);
  if (id == NULL)
    return NULL;
  record = g_object_new (type, NULL);
  shim_record_set_id (record, id);
  return record;
}

/* The body, the lens or the converter of all @pairs, by id. */
static GHashTable *
read_parts (ShimRegister *reader, GType type, GPtrArray *pairs, glong offset, GError **error)
{
  g_autoptr (GHashTable) ids = g_hash_table_new (g_str_hash, g_str_equal);
  g_autofree const char **values = NULL;

  for (guint i = 0; i < pairs->len; i++)
    {
      char *id = G_STRUCT_MEMBER (char *, pairs->pdata[i], offset);

      if (id != NULL)
        g_hash_table_add (ids, id);
    }
  values = (const char **) g_hash_table_get_keys_as_array (ids, NULL);
  return shim_records_by_ids (reader, type, values, error);
}

static gboolean
add_items (GPtrArray *items, ShimRegister *reader, GPtrArray *pairs, GError **error)
{
  g_autoptr (GHashTable) bodies = NULL, lenses = NULL, converters = NULL;

  if ((bodies = read_parts (reader, SHIM_TYPE_BODY, pairs, G_STRUCT_OFFSET (ShimPairNow, body), error)) == NULL
      || (lenses = read_parts (reader, SHIM_TYPE_LENS, pairs, G_STRUCT_OFFSET (ShimPairNow, lens), error)) == NULL
      || (converters = read_parts (reader, SHIM_TYPE_CONVERTER, pairs, G_STRUCT_OFFSET (ShimPairNow, converter), error)) == NULL)
    return FALSE;
  for (guint i = 0; i < pairs->len; i++)
    {
      ShimPairItem *item = g_object_new (SHIM_TYPE_PAIR_ITEM, NULL);

      item->now = g_steal_pointer (&pairs->pdata[i]);
      item->body = take_record (bodies, SHIM_TYPE_BODY, item->now->body);
      item->lens = take_record (lenses, SHIM_TYPE_LENS, item->now->lens);
      item->converter = take_record (converters, SHIM_TYPE_CONVERTER, item->now->converter);
      g_ptr_array_add (items, item);
    }
  return TRUE;
}

/* Rows that another program took away a moment ago are pairs of nothing, until the list is told. */
static void
add_nothing (GPtrArray *items, guint n)
{
  while (items->len < n)
    {
      ShimPairItem *item = g_object_new (SHIM_TYPE_PAIR_ITEM, NULL);

      item->now = shim_pair_now_new ("", "");
      item->body = shim_body_new ();
      item->lens = shim_lens_new ();
      g_ptr_array_add (items, item);
    }
}

/* (transfer full): @n #ShimPairItem of nothing, for rows that cannot be read. */
GPtrArray *
_shim_pair_items_nothing (guint n)
{
  GPtrArray *items = g_ptr_array_new_with_free_func (g_object_unref);

  add_nothing (items, n);
  return items;
}

/* Any thread that has @reader to itself. (transfer full) (nullable): #ShimPairItem of the rows of one window; @n of them, also when some
 * are gone. */
GPtrArray *
_shim_pair_items_read (ShimRegister *reader, const ShimPairFilter *filter, guint n, GError **error)
{
  g_autoptr (GPtrArray) pairs = shim_register_pairs (reader, filter, error);
  g_autoptr (GPtrArray) items = g_ptr_array_new_with_free_func (g_object_unref);

  if (pairs == NULL || !add_items (items, reader, pairs, error))
    return NULL;
  add_nothing (items, n);
  return g_steal_pointer (&items);
}

static gboolean
same_real (double a, double b)
{
  return a == b || (isnan (a) && isnan (b));
}

static gboolean
same_now (const ShimPairNow *a, const ShimPairNow *b)
{
  return g_strcmp0 (a->pair, b->pair) == 0 && a->state == b->state && a->reasons == b->reasons && a->value == b->value
         && a->value_long == b->value_long && a->n_table_cells == b->n_table_cells && g_strcmp0 (a->decision, b->decision) == 0
         && g_strcmp0 (a->tested_at, b->tested_at) == 0 && same_real (floor (a->age_days), floor (b->age_days))
         && same_real (a->residual_mm, b->residual_mm) && same_real (a->error_tolerances, b->error_tolerances)
         && a->slot == b->slot && a->slot_state == b->slot_state && a->slot_value == b->slot_value
         && a->slot_value_long == b->slot_value_long && a->conflict == b->conflict;
}

/* Whether a row that shows the one would look the same with the other. */
gboolean
_shim_pair_item_looks_like (ShimPairItem *self, ShimPairItem *other)
{
  return same_now (self->now, other->now) && g_strcmp0 (self->body->label, other->body->label) == 0
         && g_strcmp0 (self->lens->label, other->lens->label) == 0
         && g_strcmp0 (self->converter != NULL ? self->converter->label : NULL,
                       other->converter != NULL ? other->converter->label : NULL) == 0;
}

/* --- public --- */

/**
 * shim_pair_item_get_now:
 * @self: a pair
 *
 * Returns: (transfer none): what is true of it
 */
const ShimPairNow *
shim_pair_item_get_now (ShimPairItem *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_ITEM (self), NULL);

  return self->now;
}

/**
 * shim_pair_item_get_body:
 * @self: a pair
 *
 * Returns: (transfer none): its body
 */
ShimBody *
shim_pair_item_get_body (ShimPairItem *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_ITEM (self), NULL);

  return self->body;
}

/**
 * shim_pair_item_get_lens:
 * @self: a pair
 *
 * Returns: (transfer none): its lens
 */
ShimLens *
shim_pair_item_get_lens (ShimPairItem *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_ITEM (self), NULL);

  return self->lens;
}

/**
 * shim_pair_item_get_converter:
 * @self: a pair
 *
 * Returns: (transfer none) (nullable): its converter
 */
ShimConverter *
shim_pair_item_get_converter (ShimPairItem *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_ITEM (self), NULL);

  return self->converter;
}
