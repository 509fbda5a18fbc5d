/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-ops-item.h"

/* More pairs than these are for the place Pairs, which scrolls through any number. */
#define PAIRS_SHOWN 200

static void
item_pair_free (ShimItemPair *self)
{
  shim_pair_now_free (self->now);
  g_free (self->other);
  g_free (self);
}

static char *
label_of (ShimRegister *reg, GType type, const char *id)
{
  g_autoptr (ShimRecord) record = id != NULL ? shim_register_get (reg, type, id, NULL) : NULL;
  char *label = NULL;

  if (record != NULL)
    g_object_get (record, "label", &label, NULL);
  return label;
}

static char *
other_name (ShimRegister *reg, const char *kind, const ShimPairNow *now)
{
  gboolean is_body = g_str_equal (kind, "body");
  g_autofree char *body = is_body ? NULL : label_of (reg, SHIM_TYPE_BODY, now->body);
  g_autofree char *lens = g_str_equal (kind, "lens") ? NULL : label_of (reg, SHIM_TYPE_LENS, now->lens);
  g_autofree char *converter = label_of (reg, SHIM_TYPE_CONVERTER, now->converter);
  GString *name = g_string_new (is_body ? lens : body);

  if (!is_body && lens != NULL)
    g_string_append_printf (name, " · %s", lens);
  if (converter != NULL)
    g_string_append_printf (name, " + %s", converter);
  return g_string_free (name, FALSE);
}

static gboolean
add_pairs (ShimRegister *reg, const char *kind, const char *id, ShimItemView *self, GError **error)
{
  ShimPairFilter filter = { .order = SHIM_PAIR_ORDER_WORST, .limit = PAIRS_SHOWN };
  g_autoptr (GPtrArray) pairs = NULL;

  if (g_str_equal (kind, "body"))
    filter.body = id;
  else if (g_str_equal (kind, "lens"))
    filter.lens = id;
  else if (g_str_equal (kind, "converter"))
    filter.converter = id;
  else
    return TRUE;
  self->n_pairs = shim_register_count_pairs (reg, &filter, 0, error);
  pairs = self->n_pairs >= 0 ? shim_register_pairs (reg, &filter, error) : NULL;
  if (pairs == NULL)
    return FALSE;
  g_ptr_array_set_free_func (pairs, NULL);
  for (guint i = 0; i < pairs->len; i++)
    {
      ShimItemPair *pair = g_new0 (ShimItemPair, 1);

      pair->now = pairs->pdata[i];
      pair->other = other_name (reg, kind, pair->now);
      g_ptr_array_add (self->pairs, pair);
    }
  return TRUE;
}

/**
 * shim_ops_item_view:
 * @reg: a register
 * @kind: "body", "lens", "converter" or "adapter"
 * @id: of the item
 * @error: return location for an error of the store
 *
 * Returns: (transfer full) (nullable): what there is to know of it
 */
ShimItemView *
shim_ops_item_view (ShimRegister *reg, const char *kind, const char *id, GError **error)
{
  g_autoptr (ShimItemView) self = g_new0 (ShimItemView, 1);

  self->item = shim_register_get (reg, shim_kind_type_from_name (kind), id, error);
  if (self->item == NULL)
    return NULL;
  self->events = shim_register_events (reg, id, error);
  if (self->events == NULL)
    return NULL;
  self->pairs = g_ptr_array_new_with_free_func ((GDestroyNotify) item_pair_free);
  if (!add_pairs (reg, kind, id, self, error))
    return NULL;
  if (g_str_equal (kind, "body") && !shim_register_slot_counts (reg, &id, 1, &self->slots, error))
    return NULL;
  return g_steal_pointer (&self);
}

/**
 * shim_item_view_free:
 * @self: (transfer full) (nullable): a view
 */
void
shim_item_view_free (ShimItemView *self)
{
  if (self == NULL)
    return;
  g_clear_object (&self->item);
  g_clear_pointer (&self->events, g_ptr_array_unref);
  g_clear_pointer (&self->pairs, g_ptr_array_unref);
  g_free (self);
}
