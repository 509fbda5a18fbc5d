/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
 * ShimNextRowFunc:
 * @owner: the page
 *
 * Adds one more row to a page.
 *
 * Returns: whether there was one more
 */
typedef gboolean (*ShimNextRowFunc) (gpointer owner);

/**
 * ShimLaterRows:
 *
 * Rows of a page that is no list of GTK's: those that a screen shows are added at once, the others while the window has nothing else to
 * do. A part of the page's own structure, all zero to begin with; to be stopped before the page goes.
 */
typedef struct
{
  /*< private >*/
  ShimNextRowFunc next;
  gpointer owner;
  guint idle;
} ShimLaterRows;

void     shim_later_rows_start        (ShimLaterRows *self, ShimNextRowFunc next, gpointer owner, guint n_first, gboolean at_once);
void     shim_later_rows_stop         (ShimLaterRows *self);
gboolean shim_later_rows_are_complete (const ShimLaterRows *self);

G_END_DECLS
