/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-bench-reading.h"
#include "shim-bench-text.h"
#include "shim-pair-evidence.h"
#include "shim-strip-thumb.h"
#include "shim-workspace-ops.h"

typedef struct
{
  ShimStripThumb *thumb; /* a reference */
  ShimMeasurement *measurement;
} Loading;

static void
loaded_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  Loading *loading = user_data;
  g_autoptr (ShimFrame) frame = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, NULL);

  if (frame != NULL)
    shim_strip_thumb_show (loading->thumb, frame->evidence, loading->measurement);
  g_object_unref (loading->thumb);
  g_clear_pointer (&loading->measurement, shim_measurement_free);
  g_free (loading);
}

static GtkWidget *
frame_new (const ShimRoundSummary *round, const ShimFrameSummary *frame, ShimWorkspace *workspace)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 3), *thumb = shim_strip_thumb_new ();
  g_autofree char *setting =
      round->is_reference ? g_strdup (_ ("Reference")) : shim_bench_text_setting (round->round->setting);
  g_autofree char *offset =
      frame->counted != NULL ? shim_bench_text_about (frame->counted->offset_mm) : g_strdup ("–");
  g_autofree char *text = g_strdup_printf (_ ("%s: %s"), setting, offset);
  GtkWidget *label = gtk_label_new (text);
  Loading *loading = g_new0 (Loading, 1);

  gtk_widget_set_halign (thumb, GTK_ALIGN_CENTER);
  gtk_widget_add_css_class (label, "caption");
  gtk_widget_add_css_class (label, "numeric");
  gtk_box_append (GTK_BOX (box), thumb);
  gtk_box_append (GTK_BOX (box), label);
  loading->thumb = g_object_ref (SHIM_STRIP_THUMB (thumb));
  loading->measurement = shim_bench_reading_measurement (frame->program);
  shim_workspace_get_async (workspace, SHIM_TYPE_FRAME, shim_record_get_id (SHIM_RECORD (frame->frame)), NULL,
                            loaded_cb, loading);
  return box;
}

/**
 * shim_pair_evidence_fill:
 * @box: the box to fill anew
 * @test: (nullable): the test whose frames are shown
 * @workspace: the register
 */
void
shim_pair_evidence_fill (GtkFlowBox *box, const ShimTestSummary *test, ShimWorkspace *workspace)
{
  GtkFlowBoxChild *child;

  while ((child = gtk_flow_box_get_child_at_index (box, 0)) != NULL)
    gtk_flow_box_remove (box, GTK_WIDGET (child));
  for (guint i = 0; test != NULL && i < test->rounds->len; i++)
    {
      const ShimRoundSummary *round = g_ptr_array_index (test->rounds, i);

      for (guint k = 0; k < round->frames->len; k++)
        gtk_flow_box_append (box, frame_new (round, g_ptr_array_index (round->frames, k), workspace));
    }
}
