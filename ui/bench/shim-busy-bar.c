/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-busy-bar.h"

/* Work that is done sooner than this would only make the window flicker. */
#define PATIENCE_MS 400

struct _ShimBusyBar
{
  GtkWidget parent_instance;

  guint patience; /* source that shows the bar */

  /* template widgets */
  GtkWidget *box;
  GtkLabel *label;
  GtkProgressBar *progress_bar;
  GtkSpinner *spinner;
};

G_DEFINE_FINAL_TYPE (ShimBusyBar, shim_busy_bar, GTK_TYPE_WIDGET)

enum
{
  CANCELLED,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

static void
cancel_clicked_cb (GtkButton *button, ShimBusyBar *self)
{
  g_signal_emit (self, signals[CANCELLED], 0);
}

static gboolean
patience_cb (gpointer user_data)
{
  ShimBusyBar *self = user_data;

  self->patience = 0;
  gtk_widget_set_visible (GTK_WIDGET (self), TRUE);
  gtk_spinner_start (self->spinner);
  return G_SOURCE_REMOVE;
}

static void
shim_busy_bar_dispose (GObject *object)
{
  g_clear_handle_id (&SHIM_BUSY_BAR (object)->patience, g_source_remove);
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_BUSY_BAR);
  G_OBJECT_CLASS (shim_busy_bar_parent_class)->dispose (object);
}

static void
shim_busy_bar_class_init (ShimBusyBarClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_busy_bar_dispose;
  signals[CANCELLED] =
      g_signal_new ("cancelled", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-busy-bar.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimBusyBar, box);
  gtk_widget_class_bind_template_child (widget_class, ShimBusyBar, label);
  gtk_widget_class_bind_template_child (widget_class, ShimBusyBar, progress_bar);
  gtk_widget_class_bind_template_child (widget_class, ShimBusyBar, spinner);
  gtk_widget_class_bind_template_callback (widget_class, cancel_clicked_cb);
}

static void
shim_busy_bar_init (ShimBusyBar *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * shim_busy_bar_new:
 *
 * Returns: a bar that is not shown
 */
GtkWidget *
shim_busy_bar_new (void)
{
  return g_object_new (SHIM_TYPE_BUSY_BAR, NULL);
}

/**
 * shim_busy_bar_show:
 * @self: a bar
 * @text: what is being done
 * @fraction: how much of it is done, 0 to 1; NAN = not known
 */
void
shim_busy_bar_show (ShimBusyBar *self, const char *text, double fraction)
{
  g_return_if_fail (SHIM_IS_BUSY_BAR (self));

  gtk_label_set_label (self->label, text);
  gtk_widget_set_visible (GTK_WIDGET (self->progress_bar), !isnan (fraction));
  if (!isnan (fraction))
    gtk_progress_bar_set_fraction (self->progress_bar, fraction);
  if (self->patience == 0 && !gtk_widget_get_visible (GTK_WIDGET (self)))
    self->patience = g_timeout_add (PATIENCE_MS, patience_cb, self);
}

/**
 * shim_busy_bar_hide:
 * @self: a bar
 *
 * The work is done.
 */
void
shim_busy_bar_hide (ShimBusyBar *self)
{
  g_return_if_fail (SHIM_IS_BUSY_BAR (self));

  g_clear_handle_id (&self->patience, g_source_remove);
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
  gtk_spinner_stop (self->spinner);
}
