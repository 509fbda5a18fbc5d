/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-item-editor.h"
#include "shim-kinds.h"
#include "shim-ops-mounts.h"
#include "shim-record-dialog.h"

/* A new item is filled in, or a known one changed. */

/* Which fields stand together, by kind of item; what a kind does not have is passed over. */
static const struct
{
  const char *title;
  const char *fields[12];
} groups[] = {
  { N_ ("Identity"), { "name", "label", "maker", "model", "serial", "mount", "lens_mount", "body_mount" } },
  { N_ ("Bayonet"), { "flange_mm", "electronic", "source" } },
  { N_ ("Fine adjustment"),
    { "range_min", "range_max", "direction", "slot_count", "zoom_values", "tells_lenses_by", "all_lens_value", "firmware" } },
  { N_ ("Image format"), { "format_width_mm", "format_height_mm", "pixel_pitch_um" } },
  { N_ ("Optics"),
    { "focal_min_mm", "focal_max_mm", "aperture_wide", "aperture_long", "nearest_mm", "factor", "optics", "passes_data" } },
  { N_ ("Own table"), { "own_table", "table_focals_mm", "table_distances_m" } },
  { N_ ("Whereabouts and worth"), { "holder", "place", "worth", "currency", "bought_on", "weight_g", "picture" } },
  { N_ ("Remarks"), { "note" } },
};

static const struct
{
  const char *kind;
  const char *of_new;
  const char *of_known;
} titles[] = {
  { "body", N_ ("New Body"), N_ ("Change the Body") },
  { "lens", N_ ("New Lens"), N_ ("Change the Lens") },
  { "converter", N_ ("New Converter"), N_ ("Change the Converter") },
  { "adapter", N_ ("New Adapter"), N_ ("Change the Adapter") },
  { "mount", N_ ("New Mount"), N_ ("Change the Mount") },
};

/* On its way to the register's thread and back, for the mounts to choose from. */
typedef struct
{
  GtkWidget *widget;
  ShimRecord *record;
  ShimItemFunc func;
} Opening;

static void
opening_free (Opening *self)
{
  g_object_unref (self->widget);
  g_object_unref (self->record);
  g_free (self);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Opening, opening_free)

static void
add_group (ShimRecordForm *form, guint index)
{
  const ShimKind *kind = shim_record_get_kind (shim_record_form_get_record (form));
  const char *names[G_N_ELEMENTS (groups[0].fields) + 1] = { NULL };
  guint n = 0;

  for (guint f = 0; f < G_N_ELEMENTS (groups[0].fields) && groups[index].fields[f] != NULL; f++)
    if (shim_kind_find_field (kind, groups[index].fields[f]) != NULL)
      names[n++] = groups[index].fields[f];
  if (n > 0)
    shim_record_form_add_group (form, _ (groups[index].title), names);
}

static void
fill_form (ShimRecordForm *form, const char *const *mounts)
{
  static const char *const mount_fields[] = { "mount", "lens_mount", "body_mount" };
  const ShimKind *kind = shim_record_get_kind (shim_record_form_get_record (form));

  for (guint i = 0; i < G_N_ELEMENTS (mount_fields); i++)
    if (shim_kind_find_field (kind, mount_fields[i]) != NULL)
      shim_record_form_set_choices (form, mount_fields[i], mounts, _ ("Is one missing? Kit ▸ Add ▸ Mounts adds it"));
  for (guint i = 0; i < G_N_ELEMENTS (groups); i++)
    add_group (form, i);
}

/* The register's thread. */
static gpointer
mount_names_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  return shim_ops_mounts_dup_names (reg, error);
}

static void
stored_cb (ShimRecordDialog *dialog, ShimRecord *record, GtkWidget *widget)
{
  ShimItemFunc func = (ShimItemFunc) g_object_get_data (G_OBJECT (dialog), "shim-func");

  func (record, widget);
}

static const char *
title_of (ShimRecord *record)
{
  const char *kind = shim_record_get_kind (record)->name;

  for (guint i = 0; i < G_N_ELEMENTS (titles); i++)
    if (g_str_equal (titles[i].kind, kind))
      return _ (record->id != NULL ? titles[i].of_known : titles[i].of_new);
  g_return_val_if_reached (kind);
}

static void
show (ShimWorkspace *workspace, Opening *opening, const char *const *mounts)
{
  ShimRecordDialog *dialog
      = shim_record_dialog_new (opening->widget, workspace, title_of (opening->record), _ ("_Save"), opening->record);

  fill_form (shim_record_dialog_get_form (dialog), mounts);
  if (opening->func != NULL)
    {
      g_object_set_data (G_OBJECT (dialog), "shim-func", (gpointer) opening->func);
      g_signal_connect_object (dialog, "stored", G_CALLBACK (stored_cb), opening->widget, 0);
    }
  shim_record_dialog_show (dialog);
}

static void
mounts_read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Opening) opening = user_data;
  g_autoptr (GError) error = NULL;
  g_auto (GStrv) names = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (names == NULL)
    shim_show_error (opening->widget, _ ("The Mounts Could Not Be Read"), error);
  else if (gtk_widget_get_root (opening->widget) != NULL)
    show (SHIM_WORKSPACE (source), opening, (const char *const *) names);
}

/**
 * shim_item_editor_show:
 * @widget: a widget of the window
 * @workspace: where it is stored
 * @record: a body, lens, converter, adapter or mount; without an id it is a new one
 * @func: (nullable): called with the item as stored and @widget
 *
 * Opens a dialog to fill it in.
 */
void
shim_item_editor_show (GtkWidget *widget, ShimWorkspace *workspace, ShimRecord *record, ShimItemFunc func)
{
  Opening *opening;

  g_return_if_fail (GTK_IS_WIDGET (widget));
  g_return_if_fail (SHIM_IS_RECORD (record));

  opening = g_new (Opening, 1);
  *opening = (Opening) { g_object_ref (widget), g_object_ref (record), func };
  shim_workspace_call_async (workspace, mount_names_func, NULL, NULL, (GDestroyNotify) g_strfreev, NULL, mounts_read_cb, opening);
}
