/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-pair-item-private.h"

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

/* id → record of all @type that @ids name. */
static GHashTable *
read_records (ShimRegister *reader, GType type, GHashTable *ids)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autofree const char **values = (const char **) g_hash_table_get_keys_as_array (ids, NULL);
  g_autoptr (GPtrArray) records = NULL;
  GHashTable *table = g_hash_table_new_full (g_str_hash, g_str_equal, NULL, g_object_unref);

  shim_query_add_filter_in (query, "id", values);
  shim_query_set_include_archived (query, TRUE);
  records = shim_register_list (reader, type, query, NULL);
  for (guint i = 0; records != NULL && i < records->len; i++)
    {
      ShimRecord *record = g_ptr_array_index (records, i);

      g_hash_table_insert (table, (gpointer) shim_record_get_id (record), g_object_ref (record));
    }
  return table;
}

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

static void
add_items (GPtrArray *items, ShimRegister *reader, GPtrArray *pairs)
{
  const GType types[] = { SHIM_TYPE_BODY, SHIM_TYPE_LENS, SHIM_TYPE_CONVERTER };
  GHashTable *ids[3], *records[3];

  for (guint k = 0; k < G_N_ELEMENTS (types); k++)
    ids[k] = g_hash_table_new (g_str_hash, g_str_equal);
  for (guint i = 0; i < pairs->len; i++)
    {
      const ShimPairNow *now = g_ptr_array_index (pairs, i);

      g_hash_table_add (ids[0], now->body);
      g_hash_table_add (ids[1], now->lens);
      if (now->converter != NULL)
        g_hash_table_add (ids[2], now->converter);
    }
  for (guint k = 0; k < G_N_ELEMENTS (types); k++)
    records[k] = read_records (reader, types[k], ids[k]);
  for (guint i = 0; i < pairs->len; i++)
    {
      ShimPairItem *item = g_object_new (SHIM_TYPE_PAIR_ITEM, NULL);

      item->now = g_ptr_array_index (pairs, i);
      item->body = take_record (records[0], SHIM_TYPE_BODY, item->now->body);
      item->lens = take_record (records[1], SHIM_TYPE_LENS, item->now->lens);
      item->converter = take_record (records[2], SHIM_TYPE_CONVERTER, item->now->converter);
      g_ptr_array_index (pairs, i) = NULL;
      g_ptr_array_add (items, item);
    }
  for (guint k = 0; k < G_N_ELEMENTS (types); k++)
    {
      g_hash_table_unref (ids[k]);
      g_hash_table_unref (records[k]);
    }
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

/* Any thread that has @reader to itself. (transfer full): #ShimPairItem of the rows of one window; @n of them, also when some are gone. */
GPtrArray *
_shim_pair_items_read (ShimRegister *reader, const ShimPairFilter *filter, guint n)
{
  g_autoptr (GPtrArray) pairs = reader != NULL ? shim_register_pairs (reader, filter, NULL) : NULL;
  GPtrArray *items = g_ptr_array_new_with_free_func (g_object_unref);

  if (pairs != NULL)
    add_items (items, reader, pairs);
  add_nothing (items, n);
  return items;
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
