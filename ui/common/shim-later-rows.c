/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-later-rows.h"

/* A share of a frame, so that the window goes on meanwhile. */
#define IDLE_US 8000

static gboolean
idle_cb (gpointer user_data)
{
  ShimLaterRows *self = user_data;
  const gint64 until_us = g_get_monotonic_time () + IDLE_US;

  while (g_get_monotonic_time () < until_us)
    if (!self->next (self->owner))
      {
        self->idle = 0;
        return G_SOURCE_REMOVE;
      }
  return G_SOURCE_CONTINUE;
}

/**
 * shim_later_rows_start:
 * @self: rows to be added, none of them yet
 * @next: adds one more
 * @owner: the page
 * @n_first: more than a screen shows of them
 * @at_once: whether all of them are wanted now: by whoever stands in them, or has scrolled down already
 */
void
shim_later_rows_start (ShimLaterRows *self, ShimNextRowFunc next, gpointer owner, guint n_first, gboolean at_once)
{
  g_return_if_fail (self != NULL && next != NULL);

  shim_later_rows_stop (self);
  self->next = next;
  self->owner = owner;
  for (guint i = 0; at_once || i < n_first; i++)
    if (!next (owner))
      return;
  self->idle = g_idle_add (idle_cb, self);
}

/**
 * shim_later_rows_are_complete:
 * @self: rows
 *
 * Returns: whether none is still to come
 */
gboolean
shim_later_rows_are_complete (const ShimLaterRows *self)
{
  g_return_val_if_fail (self != NULL, TRUE);

  return self->idle == 0;
}

/**
 * shim_later_rows_stop:
 * @self: rows
 *
 * No more are added.
 */
void
shim_later_rows_stop (ShimLaterRows *self)
{
  g_return_if_fail (self != NULL);

  g_clear_handle_id (&self->idle, g_source_remove);
}
