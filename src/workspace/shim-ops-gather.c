/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-ops-gather.h"

/* From many photographs to the items that took them, each of them once. */

static void
gathered_free (ShimGathered *self)
{
  g_object_unref (self->record);
  g_free (self);
}

/**
 * shim_gathering_new:
 *
 * Returns: (transfer full): nothing yet
 */
ShimGathering *
shim_gathering_new (void)
{
  ShimGathering *self = g_new0 (ShimGathering, 1);

  self->items = g_ptr_array_new_with_free_func ((GDestroyNotify) gathered_free);
  self->unread = g_ptr_array_new_with_free_func (g_free);
  return self;
}

/**
 * shim_gathering_free:
 * @self: (transfer full) (nullable): a gathering
 */
void
shim_gathering_free (ShimGathering *self)
{
  if (self == NULL)
    return;
  g_ptr_array_unref (self->items);
  g_ptr_array_unref (self->unread);
  g_free (self);
}

static char *
text_of (ShimRecord *record, const char *name)
{
  char *text = NULL;

  g_object_get (record, name, &text, NULL);
  return text;
}

static gboolean
same_field (ShimRecord *a, ShimRecord *b, const char *name)
{
  g_autofree char *left = text_of (a, name), *right = text_of (b, name);

  return g_strcmp0 (left, right) == 0;
}

/* Without a serial two photographs of one model are taken for the same item: who has two copies adds the other by hand. */
static gboolean
is_same (const ShimGathered *item, ShimRecord *record)
{
  if (G_OBJECT_TYPE (item->record) != G_OBJECT_TYPE (record))
    return FALSE;
  if (item->record->id != NULL || record->id != NULL)
    return g_strcmp0 (item->record->id, record->id) == 0;
  return same_field (item->record, record, "serial") && same_field (item->record, record, "model");
}

/**
 * shim_gathered_lacks_mount:
 * @self: an item
 *
 * Returns: whether a person has to say which mount it has before it can be stored
 */
gboolean
shim_gathered_lacks_mount (const ShimGathered *self)
{
  g_autofree char *mount = NULL;

  g_return_val_if_fail (self != NULL, FALSE);

  mount = text_of (self->record, "mount");
  return !self->is_known && mount == NULL;
}

/**
 * shim_gathered_dup_new:
 * @self: an item that is not in the register
 * @mount: (nullable): its mount where the photographs do not say
 *
 * Returns: (transfer full): the record to store
 */
ShimRecord *
shim_gathered_dup_new (const ShimGathered *self, const char *mount)
{
  ShimRecord *record;

  g_return_val_if_fail (self != NULL && !self->is_known, NULL);

  record = shim_record_copy (self->record);
  if (shim_gathered_lacks_mount (self))
    g_object_set (record, "mount", mount, NULL);
  return record;
}

/* A lens learns its mount from the first body on which it is seen whose mount is known. */
static void
learn_mount (ShimGathered *item, ShimRecord *record)
{
  g_autofree char *known = text_of (item->record, "mount"), *said = text_of (record, "mount");

  if (!item->is_known && known == NULL && said != NULL)
    g_object_set (item->record, "mount", said, NULL);
}

/* All of the one system belong to the other; the greatest number takes the place that is left, so that none is missing. */
static void
join_systems (ShimGathering *self, guint one, guint other)
{
  const guint gone = MAX (one, other), kept = MIN (one, other);

  if (one == other)
    return;
  self->n_systems--;
  for (guint i = 0; i < self->items->len; i++)
    {
      ShimGathered *item = self->items->pdata[i];

      if (item->system == gone)
        item->system = kept;
      else if (item->system == self->n_systems)
        item->system = gone;
    }
}

/* Bodies of one model have one mount. */
static void
join_model (ShimGathering *self, ShimGathered *body)
{
  g_autofree char *model = text_of (body->record, "model");

  for (guint i = 0; SHIM_IS_BODY (body->record) && model != NULL && i < self->items->len; i++)
    {
      const ShimGathered *item = self->items->pdata[i];

      if (SHIM_IS_BODY (item->record) && same_field (item->record, body->record, "model")
          && same_field (item->record, body->record, "maker"))
        join_systems (self, item->system, body->system);
    }
}

static ShimGathered *
add (ShimGathering *self, ShimRecord *record, gboolean is_known)
{
  ShimGathered *item;

  for (guint i = 0; i < self->items->len; i++)
    if (is_same (self->items->pdata[i], record))
      {
        item = self->items->pdata[i];
        learn_mount (item, record);
        item->n_photos++;
        return item;
      }
  item = g_new0 (ShimGathered, 1);
  item->record = g_object_ref (record);
  item->is_known = is_known;
  item->n_photos = 1;
  item->system = self->n_systems++;
  g_ptr_array_add (self->items, item);
  join_model (self, item);
  return item;
}

/**
 * shim_ops_gather_add:
 * @self: what was gathered so far
 * @reg: a register
 * @metadata: what one more photograph says about itself
 * @error: a #ShimStoreError
 *
 * Returns: whether the register could be asked
 */
gboolean
shim_ops_gather_add (ShimGathering *self, ShimRegister *reg, const ShimMetadata *metadata, GError **error)
{
  g_autoptr (ShimProposal) proposal = NULL;
  ShimGathered *body = NULL, *lens = NULL;

  g_return_val_if_fail (self != NULL, FALSE);

  proposal = shim_ops_kit_propose (reg, metadata, error);
  if (proposal == NULL)
    return FALSE;
  self->n_photos++;
  if (proposal->body == NULL && proposal->lens == NULL)
    self->n_silent++;
  if (proposal->body != NULL)
    body = add (self, SHIM_RECORD (proposal->body), proposal->body_is_known);
  if (proposal->lens != NULL)
    lens = add (self, SHIM_RECORD (proposal->lens), proposal->lens_is_known);
  if (body != NULL && lens != NULL)
    join_systems (self, body->system, lens->system);
  return TRUE;
}

static int
by_kind (gconstpointer a, gconstpointer b)
{
  const ShimGathered *left = *(const ShimGathered *const *) a, *right = *(const ShimGathered *const *) b;

  return SHIM_IS_LENS (left->record) - SHIM_IS_LENS (right->record);
}

/**
 * shim_ops_gather:
 * @reg: a register
 * @paths: (array zero-terminated=1): photographs
 * @cancellable: (nullable): looked at between two of them
 * @error: a #ShimStoreError, or %G_IO_ERROR_CANCELLED
 *
 * Nothing is stored.
 *
 * Returns: (transfer full) (nullable): what they say
 */
ShimGathering *
shim_ops_gather (ShimRegister *reg, const char *const *paths, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimGathering) self = shim_gathering_new ();

  g_return_val_if_fail (reg != NULL && paths != NULL, NULL);

  for (guint i = 0; paths[i] != NULL; i++)
    {
      g_autoptr (GError) problem = NULL;
      g_autoptr (ShimMetadata) metadata = NULL;

      if (g_cancellable_set_error_if_cancelled (cancellable, error))
        return NULL;
      metadata = shim_metadata_read (paths[i], &problem);
      if (metadata == NULL)
        g_ptr_array_add (self->unread, g_strdup (problem->message));
      else if (!shim_ops_gather_add (self, reg, metadata, error))
        return NULL;
    }
  /* Stable, so that the order of the photographs stays. */
  g_ptr_array_sort (self->items, by_kind);
  return g_steal_pointer (&self);
}
