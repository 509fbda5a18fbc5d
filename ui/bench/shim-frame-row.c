/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-reading.h"
#include "shim-bench-text.h"
#include "shim-frame-row.h"
#include "shim-strip-thumb.h"
#include "shim-workspace-ops.h"

struct _ShimFrameRow
{
  GtkListBoxRow parent_instance;

  char *frame; /* id */
  ShimMeasurement *measurement;
  GCancellable *cancellable; /* of the evidence on its way */
  gboolean has_evidence;
  gboolean showing;

  /* template widgets */
  GtkLabel *detail_label;
  GtkLabel *offset_label;
  GtkLabel *reason_label;
  ShimStripThumb *thumb;
  GtkCheckButton *use_check;
};

G_DEFINE_FINAL_TYPE (ShimFrameRow, shim_frame_row, GTK_TYPE_LIST_BOX_ROW)

enum
{
  USE_CHANGED,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

static void
use_toggled_cb (GtkCheckButton *check, ShimFrameRow *self)
{
  if (!self->showing)
    g_signal_emit (self, signals[USE_CHANGED], 0, gtk_check_button_get_active (check));
}

static void
stop_loading (ShimFrameRow *self)
{
  if (self->cancellable != NULL)
    g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
}

static void
shim_frame_row_dispose (GObject *object)
{
  stop_loading (SHIM_FRAME_ROW (object));
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_FRAME_ROW);
  G_OBJECT_CLASS (shim_frame_row_parent_class)->dispose (object);
}

static void
shim_frame_row_finalize (GObject *object)
{
  g_free (SHIM_FRAME_ROW (object)->frame);
  shim_measurement_free (SHIM_FRAME_ROW (object)->measurement);
  G_OBJECT_CLASS (shim_frame_row_parent_class)->finalize (object);
}

static void
shim_frame_row_class_init (ShimFrameRowClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_frame_row_dispose;
  G_OBJECT_CLASS (klass)->finalize = shim_frame_row_finalize;
  signals[USE_CHANGED] = g_signal_new ("use-changed", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                       NULL, G_TYPE_NONE, 1, G_TYPE_BOOLEAN);
  g_type_ensure (SHIM_TYPE_STRIP_THUMB);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-frame-row.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimFrameRow, detail_label);
  gtk_widget_class_bind_template_child (widget_class, ShimFrameRow, offset_label);
  gtk_widget_class_bind_template_child (widget_class, ShimFrameRow, reason_label);
  gtk_widget_class_bind_template_child (widget_class, ShimFrameRow, thumb);
  gtk_widget_class_bind_template_child (widget_class, ShimFrameRow, use_check);
  gtk_widget_class_bind_template_callback (widget_class, use_toggled_cb);
}

static void
shim_frame_row_init (ShimFrameRow *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * shim_frame_row_new:
 *
 * Returns: an empty row
 */
GtkWidget *
shim_frame_row_new (void)
{
  return g_object_new (SHIM_TYPE_FRAME_ROW, NULL);
}

static const char *
approach_text (const ShimFrame *frame)
{
  if (g_strcmp0 (frame->approach, "near") == 0)
    return _ ("focused from near");
  if (g_strcmp0 (frame->approach, "far") == 0)
    return _ ("focused from far");
  return NULL;
}

static char *
detail_text (const ShimFrameSummary *frame, guint number)
{
  g_autofree char *name = g_path_get_basename (frame->frame->path);
  const char *approach = approach_text (frame->frame);

  if (approach != NULL)
    return g_strdup_printf ("%u, %s, %s", number, name, approach);
  return g_strdup_printf ("%u, %s", number, name);
}

static char *
offset_text (const ShimFrameSummary *frame)
{
  if (frame->counted == NULL)
    return g_strdup (_ ("Not measured"));
  return shim_bench_text_offset (frame->counted->offset_mm, frame->counted->offset_se_mm);
}

/* Marked by eye and measured by the program are both kept, and told apart. */
static char *
eye_text (const ShimFrameSummary *frame)
{
  g_autofree char *program = NULL;

  if (frame->counted == NULL || frame->counted != frame->eye)
    return NULL;
  if (frame->program == NULL || isnan (frame->program->offset_mm))
    return g_strdup (_ ("Marked by eye."));
  program = shim_bench_text_offset (frame->program->offset_mm, frame->program->offset_se_mm);
  return g_strdup_printf (_ ("Marked by eye; by the program %s."), program);
}

/* All that is to be said about the frame, or NULL. */
static char *
reason_text (const ShimFrameSummary *frame)
{
  g_autofree char *eye = eye_text (frame);
  const char *reason = frame->sentence;

  if (reason == NULL && frame->program != NULL)
    reason = frame->counted == NULL ? frame->program->reason : frame->program->warnings;
  if (eye != NULL && reason != NULL)
    return g_strdup_printf ("%s %s", eye, reason);
  return eye != NULL ? g_steal_pointer (&eye) : g_strdup (reason);
}

/**
 * shim_frame_row_show:
 * @self: a row
 * @frame: the frame
 * @number: its place in the round, from 1
 */
void
shim_frame_row_show (ShimFrameRow *self, const ShimFrameSummary *frame, guint number)
{
  g_autofree char *offset = offset_text (frame);
  g_autofree char *detail = detail_text (frame, number);
  g_autofree char *name = NULL;
  const char *id = shim_record_get_id (SHIM_RECORD (frame->frame));
  g_autofree char *reason = reason_text (frame);

  g_return_if_fail (SHIM_IS_FRAME_ROW (self));

  self->showing = TRUE;
  if (g_strcmp0 (self->frame, id) != 0)
    self->has_evidence = FALSE;
  g_free (self->frame);
  self->frame = g_strdup (id);
  g_clear_pointer (&self->measurement, shim_measurement_free);
  self->measurement = shim_bench_reading_measurement (frame->program);
  gtk_label_set_label (self->offset_label, offset);
  gtk_label_set_label (self->detail_label, detail);
  gtk_label_set_label (self->reason_label, reason != NULL ? reason : "");
  gtk_widget_set_visible (GTK_WIDGET (self->reason_label), reason != NULL);
  gtk_widget_set_tooltip_text (GTK_WIDGET (self), reason);
  gtk_check_button_set_active (self->use_check, frame->use != SHIM_FRAME_LEFT_OUT);
  gtk_widget_set_sensitive (GTK_WIDGET (self->use_check), frame->counted != NULL);
  if (frame->use == SHIM_FRAME_LEFT_OUT)
    gtk_widget_add_css_class (GTK_WIDGET (self->offset_label), "dim-label");
  else
    gtk_widget_remove_css_class (GTK_WIDGET (self->offset_label), "dim-label");
  name = g_strdup_printf (_ ("Frame %u: %s"), number, offset);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, name,
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, reason != NULL ? reason : detail, -1);
  self->showing = FALSE;
}

/**
 * shim_frame_row_get_frame:
 * @self: a row
 *
 * Returns: (nullable): id of its frame
 */
const char *
shim_frame_row_get_frame (ShimFrameRow *self)
{
  g_return_val_if_fail (SHIM_IS_FRAME_ROW (self), NULL);

  return self->frame;
}

/**
 * shim_frame_row_toggle_use:
 * @self: a row
 *
 * Leaves its frame out, or takes it in again, as a person's doing.
 */
void
shim_frame_row_toggle_use (ShimFrameRow *self)
{
  g_return_if_fail (SHIM_IS_FRAME_ROW (self));

  gtk_check_button_set_active (self->use_check, !gtk_check_button_get_active (self->use_check));
}

static void
loaded_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimFrame) frame = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  ShimFrameRow *self;

  /* The row may be gone. */
  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return;
  self = SHIM_FRAME_ROW (user_data);
  g_clear_object (&self->cancellable);
  if (frame == NULL || g_strcmp0 (shim_record_get_id (SHIM_RECORD (frame)), self->frame) != 0)
    return;
  self->has_evidence = TRUE;
  shim_strip_thumb_show (self->thumb, frame->evidence, self->measurement);
}

/**
 * shim_frame_row_load:
 * @self: a row that shows a frame
 * @workspace: the register
 *
 * Fetches the strip that was kept of the frame; lists of frames come without.
 */
void
shim_frame_row_load (ShimFrameRow *self, ShimWorkspace *workspace)
{
  g_return_if_fail (SHIM_IS_FRAME_ROW (self));

  if (self->has_evidence)
    {
      shim_strip_thumb_place (self->thumb, self->measurement);
      return;
    }
  stop_loading (self);
  shim_strip_thumb_show (self->thumb, NULL, NULL);
  self->cancellable = g_cancellable_new ();
  shim_workspace_get_async (workspace, SHIM_TYPE_FRAME, self->frame, self->cancellable, loaded_cb, self);
}
