/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-format.h"
#include "shim-large-view.h"

struct _ShimLargeView
{
  GtkWidget parent_instance;

  /* template widgets */
  GtkLabel *advice_label;
  GtkWidget *box;
  GtkLabel *error_label;
  GtkLabel *frames_label;
  GtkLabel *offset_label;
  GtkLabel *setting_label;
};

G_DEFINE_FINAL_TYPE (ShimLargeView, shim_large_view, GTK_TYPE_WIDGET)

static void
shim_large_view_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_LARGE_VIEW);
  G_OBJECT_CLASS (shim_large_view_parent_class)->dispose (object);
}

static void
shim_large_view_class_init (ShimLargeViewClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_large_view_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-large-view.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimLargeView, advice_label);
  gtk_widget_class_bind_template_child (widget_class, ShimLargeView, box);
  gtk_widget_class_bind_template_child (widget_class, ShimLargeView, error_label);
  gtk_widget_class_bind_template_child (widget_class, ShimLargeView, frames_label);
  gtk_widget_class_bind_template_child (widget_class, ShimLargeView, offset_label);
  gtk_widget_class_bind_template_child (widget_class, ShimLargeView, setting_label);
}

static void
shim_large_view_init (ShimLargeView *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * shim_large_view_new:
 *
 * Returns: an empty view
 */
GtkWidget *
shim_large_view_new (void)
{
  return g_object_new (SHIM_TYPE_LARGE_VIEW, NULL);
}

static void
show_round (ShimLargeView *self, const ShimRoundSummary *round)
{
  g_autofree char *setting = shim_bench_text_setting (round->round->setting);
  g_autofree char *title =
      round->is_reference ? g_strdup (_ ("Reference")) : g_strdup_printf (_ ("Setting %s"), setting);
  g_autofree char *frames =
      g_strdup_printf (ngettext ("%u frame counts", "%u frames count", round->stats.n_used), round->stats.n_used);
  g_autofree char *offset =
      isnan (round->stats.mean_mm) ? g_strdup ("–") : shim_bench_text_about (round->stats.mean_mm);
  g_autofree char *se = shim_format_number (round->stats.se_mm, 1);
  g_autofree char *error = isnan (round->stats.se_mm) ? g_strdup ("") : g_strdup_printf (_ ("± %s mm"), se);

  gtk_label_set_label (self->setting_label, title);
  gtk_label_set_label (self->offset_label, offset);
  gtk_label_set_label (self->error_label, error);
  gtk_label_set_label (self->frames_label, frames);
}

/**
 * shim_large_view_show:
 * @self: a view
 * @summary: the test in hand
 */
void
shim_large_view_show (ShimLargeView *self, const ShimTestSummary *summary)
{
  g_return_if_fail (SHIM_IS_LARGE_VIEW (self));
  g_return_if_fail (summary != NULL);

  if (summary->rounds->len > 0)
    show_round (self, g_ptr_array_index (summary->rounds, summary->rounds->len - 1));
  else
    {
      gtk_label_set_label (self->setting_label, "");
      gtk_label_set_label (self->offset_label, _ ("No frame yet"));
      gtk_label_set_label (self->error_label, "");
      gtk_label_set_label (self->frames_label, "");
    }
  gtk_label_set_label (self->advice_label, summary->advice_sentence);
}
