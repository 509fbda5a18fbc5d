/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-import-dialog.h"
#include "shim-import-problems.h"
#include "shim-kinds.h"
#include "shim-table-import.h"
#include "shim-whole-rows.h"
#include "shim-workspace-ops.h"

/* More mistakes than these help nobody; the count says how many there are. */
#define PROBLEMS_SHOWN 12

struct _ShimImportDialog
{
  AdwWindow parent_instance;

  /* Template widgets */
  GtkBox *columns_box;
  AdwComboRow *kind_row;
  AdwPreferencesGroup *outcome_group;
  GtkSwitch *mounts_switch;
  GtkSwitch *update_switch;

  /* Owned */
  ShimWorkspace *workspace;
  GtkWidget *opener;
  GBytes *data;
  ShimTableImport *table;
  GPtrArray *records;
  GPtrArray *row_problems; /* lines that could not be read */
  GPtrArray *outcome_rows;
  GCancellable *cancellable;
};

G_DEFINE_FINAL_TYPE (ShimImportDialog, shim_import_dialog, ADW_TYPE_WINDOW)

static const char *const kinds[] = { "body", "lens", "converter", "adapter", "mount" };

static void
clear_outcome (ShimImportDialog *self)
{
  for (guint i = 0; i < self->outcome_rows->len; i++)
    adw_preferences_group_remove (self->outcome_group, self->outcome_rows->pdata[i]);
  g_ptr_array_set_size (self->outcome_rows, 0);
}

static void
add_outcome (ShimImportDialog *self, const char *icon, const char *title, const char *subtitle)
{
  GtkWidget *row = adw_action_row_new ();
  g_autofree char *escaped = g_markup_escape_text (title, -1);
  g_autofree char *escaped_subtitle = g_markup_escape_text (subtitle != NULL ? subtitle : "", -1);

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), escaped);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), escaped_subtitle);
  adw_action_row_add_prefix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name (icon));
  adw_preferences_group_add (self->outcome_group, row);
  g_ptr_array_add (self->outcome_rows, row);
}

static void
add_problem (ShimImportDialog *self, guint line, const char *sentence)
{
  g_autofree char *title = g_strdup_printf (_ ("Line %u"), line);

  add_outcome (self, "dialog-warning-symbolic", title, sentence);
}

/* Takes WORDS. What is none is left out. */
static void
append_count (GString *counts, guint n, char *words)
{
  if (n > 0)
    g_string_append_printf (counts, "%s%s", counts->len > 0 ? ", " : "", words);
  g_free (words);
}

static char *
dup_counts (const ShimImportResult *outcome)
{
  GString *counts = g_string_new (NULL);

  append_count (counts, outcome->n_added, g_strdup_printf (_ ("%u new"), outcome->n_added));
  append_count (counts, outcome->n_changed, g_strdup_printf (_ ("%u changed"), outcome->n_changed));
  append_count (counts, outcome->n_unchanged, g_strdup_printf (_ ("%u unchanged"), outcome->n_unchanged));
  if (counts->len == 0)
    g_string_append (counts, _ ("Nothing to store"));
  return g_string_free (counts, FALSE);
}

/* One table for the whole kit is stored kind by kind. */
static void
add_other_kinds (ShimImportDialog *self)
{
  const guint n = self->table->n_other_kinds;
  g_autofree char *title = g_strdup_printf (ngettext ("%u line is of another kind", "%u lines are of another kind", n), n);

  if (n > 0)
    add_outcome (self, "dialog-information-symbolic", title, _ ("The table says so. Choose it again afterwards, and that kind above."));
}

static void
add_problem_count (ShimImportDialog *self, guint n, gboolean all_known)
{
  g_autofree char *title = g_strdup_printf (ngettext ("%u line cannot be stored", "%u lines cannot be stored", n), n);

  add_outcome (self, "dialog-warning-symbolic", title,
               all_known ? _ ("Nothing is stored until every line is right: turn on above that items in the kit already are changed, "
                              "or take these lines out of the table.")
                         : _ ("Nothing is stored until every line is right: mend the table and choose it again, or match the "
                              "columns below; those that are not needed can be left out."));
}

static void
tried_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimImportDialog) self = SHIM_IMPORT_DIALOG (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimImportResult) outcome = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  g_autoptr (GPtrArray) problems = NULL;
  g_autofree char *title = NULL;
  g_autofree char *mounts = NULL;

  if (outcome == NULL)
    {
      if (!g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
        add_outcome (self, "dialog-warning-symbolic", error->message, NULL);
      return;
    }
  title = dup_counts (outcome);
  if (outcome->n_mounts_added > 0)
    mounts = g_strdup_printf (ngettext ("%u mount is added too", "%u mounts are added too", outcome->n_mounts_added),
                              outcome->n_mounts_added);
  add_outcome (self, outcome->n_added + outcome->n_changed > 0 ? "emblem-ok-symbolic" : "dialog-information-symbolic", title,
               mounts);
  add_other_kinds (self);
  problems = shim_import_problems_by_line (self->table, self->row_problems, outcome);
  if (problems->len > 0)
    add_problem_count (self, problems->len, outcome->n_known == problems->len);
  for (guint i = 0; i < MIN (problems->len, PROBLEMS_SHOWN); i++)
    add_problem (self, ((ShimTableProblem *) problems->pdata[i])->line, ((ShimTableProblem *) problems->pdata[i])->sentence);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "import.store", problems->len == 0 && outcome->n_added + outcome->n_changed > 0);
}

static ShimImportFlags
import_flags (ShimImportDialog *self)
{
  return (gtk_switch_get_active (self->update_switch) ? SHIM_IMPORT_UPDATE_KNOWN : SHIM_IMPORT_DEFAULT)
         | (gtk_switch_get_active (self->mounts_switch) ? SHIM_IMPORT_ADD_MOUNTS : SHIM_IMPORT_DEFAULT);
}

/* A dry run against the register after every change of the mapping: what is shown is what will happen. */
static void
try_out (ShimImportDialog *self)
{
  g_autoptr (GError) error = NULL;

  g_cancellable_cancel (self->cancellable);
  g_object_unref (self->cancellable);
  self->cancellable = g_cancellable_new ();
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "import.store", FALSE);
  clear_outcome (self);
  g_clear_pointer (&self->records, g_ptr_array_unref);
  if (self->table == NULL)
    return;
  if (!shim_table_import_check (self->table, &error))
    {
      add_outcome (self, "dialog-warning-symbolic", error->message, _ ("Match the columns below."));
      return;
    }
  g_clear_pointer (&self->row_problems, g_ptr_array_unref);
  self->records = shim_table_import_records (self->table, &self->row_problems);
  shim_workspace_import_async (self->workspace, self->records, import_flags (self) | SHIM_IMPORT_DRY_RUN, self->cancellable,
                               tried_cb, g_object_ref (self));
}

static guint
column_of_row (GtkWidget *row)
{
  return GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (row), "shim-column"));
}

/* Fields that a table may fill, in the order of the field table; position 0 of the list stands for none. */
static const ShimField *
nth_field (const ShimKind *kind, guint n)
{
  for (guint i = 0; i < kind->n_fields; i++)
    if ((kind->fields[i].flags & (SHIM_FIELD_INTERNAL | SHIM_FIELD_DERIVED)) == 0 && n-- == 0)
      return &kind->fields[i];
  return NULL;
}

static void
column_changed_cb (AdwComboRow *row, GParamSpec *pspec, ShimImportDialog *self)
{
  guint selected = adw_combo_row_get_selected (row);
  const ShimField *field = selected > 0 ? nth_field (shim_kind_for_type (self->table->type), selected - 1) : NULL;

  if (self->table->columns[column_of_row (GTK_WIDGET (row))] == field)
    return;
  shim_table_import_set_column (self->table, column_of_row (GTK_WIDGET (row)), field);
  try_out (self);
}

static char *
sample_of (ShimImportDialog *self, guint column)
{
  for (guint i = 0; i < self->table->rows->len; i++)
    {
      const ShimCsvRow *row = self->table->rows->pdata[i];

      if (column < g_strv_length (row->cells) && *row->cells[column] != '\0')
        return g_strdup_printf (_ ("as “%s”"), row->cells[column]);
    }
  return g_strdup (_ ("all cells are empty"));
}

static GtkWidget *
column_row_new (ShimImportDialog *self, guint column)
{
  const ShimKind *kind = shim_kind_for_type (self->table->type);
  g_autoptr (GtkStringList) model = gtk_string_list_new (NULL);
  GtkWidget *row = adw_combo_row_new ();
  g_autofree char *heading = g_markup_escape_text (self->table->headings[column], -1);
  g_autofree char *sample = sample_of (self, column);
  g_autofree char *escaped_sample = g_markup_escape_text (sample, -1);
  const ShimField *field;
  guint selected = 0;

  gtk_string_list_append (model, _ ("Left out"));
  for (guint n = 0; (field = nth_field (kind, n)) != NULL; n++)
    {
      gtk_string_list_append (model, _ (field->label));
      if (field == self->table->columns[column])
        selected = n + 1;
    }
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), *heading != '\0' ? heading : _ ("(no heading)"));
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), escaped_sample);
  adw_combo_row_set_model (ADW_COMBO_ROW (row), G_LIST_MODEL (model));
  adw_combo_row_set_selected (ADW_COMBO_ROW (row), selected);
  g_object_set_data (G_OBJECT (row), "shim-column", GUINT_TO_POINTER (column));
  g_signal_connect (row, "notify::selected", G_CALLBACK (column_changed_cb), self);
  return row;
}

static void
show_columns (ShimImportDialog *self)
{
  GtkWidget *group = adw_preferences_group_new ();
  GtkWidget *old = gtk_widget_get_first_child (GTK_WIDGET (self->columns_box));

  if (old != NULL)
    gtk_box_remove (self->columns_box, old);
  adw_preferences_group_set_title (ADW_PREFERENCES_GROUP (group), _ ("Columns"));
  for (guint i = 0; self->table != NULL && i < self->table->n_columns; i++)
    adw_preferences_group_add (ADW_PREFERENCES_GROUP (group), column_row_new (self, i));
  gtk_box_append (self->columns_box, group);
}

static void
read_table (ShimImportDialog *self)
{
  g_autoptr (GError) error = NULL;
  gsize length = 0;
  const char *data = g_bytes_get_data (self->data, &length);
  GType type = shim_kind_type_from_name (kinds[adw_combo_row_get_selected (self->kind_row)]);

  g_clear_pointer (&self->table, shim_table_import_free);
  self->table = shim_table_import_new (data, length, type, &error);
  show_columns (self);
  try_out (self);
  if (self->table == NULL)
    add_outcome (self, "dialog-warning-symbolic", error->message, NULL);
}

static void
stored_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimImportDialog) self = SHIM_IMPORT_DIALOG (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimImportResult) outcome = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  g_autofree char *sentence = NULL;

  gtk_widget_set_sensitive (GTK_WIDGET (self), TRUE);
  if (outcome == NULL)
    {
      shim_show_error (GTK_WIDGET (self), _ ("Nothing Was Stored"), error);
      return;
    }
  /* Somebody else may have stored one of these serials in the meantime. */
  if (!outcome->stored)
    {
      try_out (self);
      return;
    }
  if (outcome->n_changed > 0)
    {
      g_autofree char *counts = dup_counts (outcome);

      sentence = g_strdup_printf (_ ("Stored: %s"), counts);
    }
  else
    sentence = g_strdup_printf (ngettext ("%u item added", "%u items added", outcome->n_added), outcome->n_added);
  shim_show_done (self->opener, sentence);
  gtk_widget_activate_action (self->opener, "kit.show-kind", "s", shim_kind_for_type (self->table->type)->name);
  gtk_window_close (GTK_WINDOW (self));
}

static void
store_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimImportDialog *self = SHIM_IMPORT_DIALOG (widget);

  gtk_widget_set_sensitive (widget, FALSE);
  shim_workspace_import_async (self->workspace, self->records, import_flags (self), NULL, stored_cb, g_object_ref (self));
}

static void
shim_import_dialog_dispose (GObject *object)
{
  ShimImportDialog *self = SHIM_IMPORT_DIALOG (object);

  g_cancellable_cancel (self->cancellable);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_IMPORT_DIALOG);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->opener);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->data, g_bytes_unref);
  g_clear_pointer (&self->outcome_rows, g_ptr_array_unref);
  g_clear_pointer (&self->records, g_ptr_array_unref);
  g_clear_pointer (&self->row_problems, g_ptr_array_unref);
  g_clear_pointer (&self->table, shim_table_import_free);
  G_OBJECT_CLASS (shim_import_dialog_parent_class)->dispose (object);
}

static void
shim_import_dialog_class_init (ShimImportDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_import_dialog_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/kit/shim-import-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimImportDialog, columns_box);
  gtk_widget_class_bind_template_child (widget_class, ShimImportDialog, kind_row);
  gtk_widget_class_bind_template_child (widget_class, ShimImportDialog, mounts_switch);
  gtk_widget_class_bind_template_child (widget_class, ShimImportDialog, outcome_group);
  gtk_widget_class_bind_template_child (widget_class, ShimImportDialog, update_switch);
  gtk_widget_class_install_action (widget_class, "import.store", NULL, store_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
shim_import_dialog_init (ShimImportDialog *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  shim_window_show_rows_whole (GTK_WINDOW (self));
  self->cancellable = g_cancellable_new ();
  self->outcome_rows = g_ptr_array_new ();
}

/* Of the kinds that fit the headings as well, the one of the tab that the person came from. */
static const char *
guess_kind (GBytes *data, const char *expected)
{
  GType types[G_N_ELEMENTS (kinds) + 1] = { shim_kind_type_from_name (expected) };
  gsize length = 0;
  const char *text = g_bytes_get_data (data, &length);

  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
    types[i + 1] = shim_kind_type_from_name (kinds[i]);
  return shim_kind_for_type (shim_table_import_guess_type (text, length, types, G_N_ELEMENTS (types)))->name;
}

static void
show_dialog (GtkWidget *widget, ShimWorkspace *workspace, const char *kind, GBytes *data)
{
  ShimImportDialog *self
      = g_object_new (SHIM_TYPE_IMPORT_DIALOG, "transient-for", GTK_WINDOW (gtk_widget_get_root (widget)), NULL);

  self->workspace = g_object_ref (workspace);
  self->opener = g_object_ref (widget);
  self->data = g_bytes_ref (data);
  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
    if (g_str_equal (kinds[i], guess_kind (data, kind)))
      adw_combo_row_set_selected (self->kind_row, i);
  g_signal_connect_object (self->kind_row, "notify::selected", G_CALLBACK (read_table), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->update_switch, "notify::active", G_CALLBACK (try_out), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->mounts_switch, "notify::active", G_CALLBACK (try_out), self, G_CONNECT_SWAPPED);
  read_table (self);
  gtk_window_present (GTK_WINDOW (self));
  /* A window gives the focus to its first button, and Enter would cancel. */
  gtk_widget_grab_focus (GTK_WIDGET (self->kind_row));
}

typedef struct
{
  GtkWidget *widget;
  ShimWorkspace *workspace;
  char *kind;
} Opening;

static void
opening_free (Opening *opening)
{
  g_object_unref (opening->widget);
  g_object_unref (opening->workspace);
  g_free (opening->kind);
  g_free (opening);
}

static void
loaded_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  Opening *opening = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) data = g_file_load_bytes_finish (G_FILE (source), result, NULL, &error);

  if (data != NULL)
    show_dialog (opening->widget, opening->workspace, opening->kind, data);
  else
    shim_show_error (opening->widget, _ ("The Table Was Not Read"), error);
  opening_free (opening);
}

/**
 * shim_import_dialog_open:
 * @widget: any widget of the window
 * @workspace: where the items go
 * @kind: what the rows are where their headings do not tell: "body", "lens", "converter", "adapter" or "mount"
 * @file: a CSV table
 */
void
shim_import_dialog_open (GtkWidget *widget, ShimWorkspace *workspace, const char *kind, GFile *file)
{
  Opening *opening = g_new (Opening, 1);

  *opening = (Opening) { g_object_ref (widget), g_object_ref (workspace), g_strdup (kind) };
  g_file_load_bytes_async (file, NULL, loaded_cb, opening);
}

static void
file_chosen_cb (GListModel *files, gpointer user_data)
{
  Opening *opening = user_data;
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);

  shim_import_dialog_open (opening->widget, opening->workspace, opening->kind, file);
}

/**
 * shim_import_dialog_choose:
 * @widget: any widget of the window
 * @workspace: where the items go
 * @kind: what the rows probably are
 *
 * Asks for a table, then as shim_import_dialog_open().
 */
void
shim_import_dialog_choose (GtkWidget *widget, ShimWorkspace *workspace, const char *kind)
{
  static const char *const patterns[] = { "*.csv", "*.tsv", "*.txt", NULL };
  Opening *opening = g_new (Opening, 1);

  *opening = (Opening) { g_object_ref (widget), g_object_ref (workspace), g_strdup (kind) };
  /* The chooser may be closed without a choice: what it needs lives with the widget, one at a time. */
  g_object_set_data_full (G_OBJECT (widget), "shim-import-opening", opening, (GDestroyNotify) opening_free);
  shim_choose_open (widget, _ ("Choose a Table"), _ ("CSV tables"), patterns, file_chosen_cb, opening);
}
