/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-job-kit.h"

/**
 * shim_job_kit_new:
 *
 * Returns: (transfer full): a kit without anything in it
 */
ShimJobKit *
shim_job_kit_new (void)
{
  ShimJobKit *self = g_new0 (ShimJobKit, 1);

  self->bodies = g_ptr_array_new_with_free_func (g_object_unref);
  self->lenses = g_ptr_array_new_with_free_func (g_object_unref);
  self->converters = g_ptr_array_new_with_free_func (g_object_unref);
  self->adapters = g_ptr_array_new_with_free_func (g_object_unref);
  self->pairs = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_pair_now_free);
  self->slots = g_array_new (FALSE, TRUE, sizeof (ShimSlotCount));
  self->away = g_ptr_array_new_with_free_func (g_object_unref);
  return self;
}

void
shim_job_kit_free (ShimJobKit *self)
{
  if (self == NULL)
    return;
  g_clear_object (&self->job);
  g_ptr_array_unref (self->bodies);
  g_ptr_array_unref (self->lenses);
  g_ptr_array_unref (self->converters);
  g_ptr_array_unref (self->adapters);
  g_ptr_array_unref (self->pairs);
  g_array_unref (self->slots);
  g_ptr_array_unref (self->away);
  g_clear_pointer (&self->index, g_hash_table_unref);
  g_free (self);
}

static char *
key_of (const char *body, const char *lens, const char *converter)
{
  return g_strconcat (body, "/", lens, "/", converter, NULL);
}

static void
build_index (ShimJobKit *self)
{
  g_clear_pointer (&self->index, g_hash_table_unref);
  self->index = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < self->pairs->len; i++)
    {
      const ShimPairNow *now = g_ptr_array_index (self->pairs, i);

      g_hash_table_insert (self->index, key_of (now->body, now->lens, now->converter), (gpointer) now);
    }
  self->n_indexed = self->pairs->len;
}

const ShimPairNow *
shim_job_kit_find_pair (const ShimJobKit *self, const char *body, const char *lens, const char *converter)
{
  g_autofree char *key = NULL;

  g_return_val_if_fail (self != NULL && body != NULL && lens != NULL, NULL);

  /* Looking up a pair does not change the kit; the index is only made when it is first wanted. */
  if (self->index == NULL || self->n_indexed != self->pairs->len)
    build_index ((ShimJobKit *) self);
  key = key_of (body, lens, converter);
  return g_hash_table_lookup (self->index, key);
}
