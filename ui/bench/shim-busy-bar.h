/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define SHIM_TYPE_BUSY_BAR (shim_busy_bar_get_type ())
G_DECLARE_FINAL_TYPE (ShimBusyBar, shim_busy_bar, SHIM, BUSY_BAR, GtkWidget)

/**
 * ShimBusyBar:
 *
 * Says that work is under way, how far it is, and lets the person end it. It shows itself only when the work takes
 * long enough to be noticed.
 *
 * Signal: "cancelled".
 */

GtkWidget *shim_busy_bar_new  (void);
void       shim_busy_bar_show (ShimBusyBar *self, const char *text, double fraction);
void       shim_busy_bar_hide (ShimBusyBar *self);

G_END_DECLS
