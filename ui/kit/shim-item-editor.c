/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-item-editor.h"
#include "shim-kinds.h"
#include "shim-record-form.h"
#include "shim-workspace-ops.h"

struct _ShimItemEditor
{
  AdwWindow parent_instance;

  /* Template widgets */
  AdwClamp *clamp;

  /* Owned */
  ShimWorkspace *workspace;
  ShimRecord *record;
  GCancellable *cancellable;

  /* Borrowed */
  ShimRecordForm *form;
};

enum
{
  SAVED,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (ShimItemEditor, shim_item_editor, ADW_TYPE_WINDOW)

/* Which fields stand together, by kind of item; what a kind does not have is passed over. */
static const struct
{
  const char *title;
  const char *fields[12];
} groups[] = {
  { N_ ("Identity"), { "label", "maker", "model", "serial", "mount", "lens_mount", "body_mount" } },
  { N_ ("Fine adjustment"),
    { "range_min", "range_max", "direction", "slot_count", "zoom_values", "tells_lenses_by", "all_lens_value", "firmware" } },
  { N_ ("Image format"), { "format_width_mm", "format_height_mm", "pixel_pitch_um" } },
  { N_ ("Optics"),
    { "focal_min_mm", "focal_max_mm", "aperture_wide", "aperture_long", "nearest_mm", "factor", "optics", "passes_data" } },
  { N_ ("Own table"), { "own_table", "table_focals_mm", "table_distances_m" } },
  { N_ ("Whereabouts and worth"), { "holder", "place", "worth", "currency", "bought_on", "weight_g", "note" } },
};

static void
add_group (ShimItemEditor *self, guint index)
{
  const ShimKind *kind = shim_record_get_kind (self->record);
  const char *names[G_N_ELEMENTS (groups[0].fields) + 1] = { NULL };
  guint n = 0;

  for (guint f = 0; f < G_N_ELEMENTS (groups[0].fields) && groups[index].fields[f] != NULL; f++)
    if (shim_kind_find_field (kind, groups[index].fields[f]) != NULL)
      names[n++] = groups[index].fields[f];
  if (n > 0)
    shim_record_form_add_group (self->form, _ (groups[index].title), names);
}

static void
update_save (ShimItemEditor *self)
{
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "editor.save", shim_record_form_get_valid (self->form));
}

static void
show_form (ShimItemEditor *self, const char *const *mounts)
{
  static const char *const mount_fields[] = { "mount", "lens_mount", "body_mount" };

  self->form = SHIM_RECORD_FORM (shim_record_form_new (self->record));
  for (guint i = 0; i < G_N_ELEMENTS (mount_fields); i++)
    if (shim_kind_find_field (shim_record_get_kind (self->record), mount_fields[i]) != NULL)
      shim_record_form_set_choices (self->form, mount_fields[i], mounts);
  for (guint i = 0; i < G_N_ELEMENTS (groups); i++)
    add_group (self, i);
  adw_clamp_set_child (self->clamp, GTK_WIDGET (self->form));
  g_signal_connect_object (self->form, "notify::valid", G_CALLBACK (update_save), self, G_CONNECT_SWAPPED);
  update_save (self);
  gtk_widget_child_focus (GTK_WIDGET (self->form), GTK_DIR_TAB_FORWARD);
}

static gpointer
mount_names_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) mounts = NULL;
  char **names;

  shim_query_add_order (query, "name", FALSE);
  mounts = shim_register_list (reg, SHIM_TYPE_MOUNT, query, error);
  if (mounts == NULL)
    return NULL;
  names = g_new0 (char *, mounts->len + 1);
  for (guint i = 0; i < mounts->len; i++)
    names[i] = g_strdup (SHIM_MOUNT (mounts->pdata[i])->name);
  return names;
}

static void
mounts_read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimItemEditor) self = SHIM_ITEM_EDITOR (user_data);
  g_autoptr (GError) error = NULL;
  g_auto (GStrv) names = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (names != NULL)
    show_form (self, (const char *const *) names);
  else
    shim_show_error (GTK_WIDGET (self), _ ("The mounts could not be read"), error);
}

static void
saved_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimItemEditor) self = SHIM_ITEM_EDITOR (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) record = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (record == NULL)
    {
      gtk_widget_set_sensitive (GTK_WIDGET (self), TRUE);
      shim_show_error (GTK_WIDGET (self), _ ("The item was not stored"), error);
      return;
    }
  g_signal_emit (self, signals[SAVED], 0, record);
  gtk_window_close (GTK_WINDOW (self));
}

static void
save_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimItemEditor *self = SHIM_ITEM_EDITOR (widget);

  gtk_widget_set_sensitive (widget, FALSE);
  shim_workspace_save_async (self->workspace, shim_record_form_get_record (self->form), NULL, saved_cb, g_object_ref (self));
}

static void
shim_item_editor_dispose (GObject *object)
{
  ShimItemEditor *self = SHIM_ITEM_EDITOR (object);

  g_cancellable_cancel (self->cancellable);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_ITEM_EDITOR);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->workspace);
  g_clear_object (&self->record);
  G_OBJECT_CLASS (shim_item_editor_parent_class)->dispose (object);
}

static void
shim_item_editor_class_init (ShimItemEditorClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_item_editor_dispose;
  signals[SAVED] = g_signal_new ("saved", SHIM_TYPE_ITEM_EDITOR, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 1,
                                 SHIM_TYPE_RECORD);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/kit/shim-item-editor.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimItemEditor, clamp);
  gtk_widget_class_install_action (widget_class, "editor.save", NULL, save_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_s, GDK_CONTROL_MASK, "editor.save", NULL);
}

static void
shim_item_editor_init (ShimItemEditor *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->cancellable = g_cancellable_new ();
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "editor.save", FALSE);
}

/**
 * shim_item_editor_new:
 * @parent: window it belongs to
 * @workspace: where it is stored
 * @record: a body, lens, converter or adapter; without an id it is a new one
 *
 * Returns: (transfer none): the dialog; show it with gtk_window_present()
 */
ShimItemEditor *
shim_item_editor_new (GtkWindow *parent, ShimWorkspace *workspace, ShimRecord *record)
{
  ShimItemEditor *self = g_object_new (SHIM_TYPE_ITEM_EDITOR, "transient-for", parent, NULL);
  const char *kind = _ (shim_record_get_kind (record)->label);
  g_autofree char *title = g_strdup_printf (record->id != NULL ? _ ("Change: %s") : _ ("New: %s"), kind);

  self->workspace = g_object_ref (workspace);
  self->record = g_object_ref (record);
  gtk_window_set_title (GTK_WINDOW (self), title);
  shim_workspace_call_async (workspace, mount_names_func, NULL, NULL, (GDestroyNotify) g_strfreev, self->cancellable,
                             mounts_read_cb, g_object_ref (self));
  return self;
}
