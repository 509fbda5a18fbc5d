/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-format.h"
#include "shim-history-dialog.h"

/* Rows are widgets: so many at a time. */
#define ENTRIES_AT_A_TIME 60

/* A change of hundreds of records says the first of them. */
#define CHANGES_SHOWN 40

struct _ShimHistoryDialog
{
  AdwWindow parent_instance;

  /* Template widgets */
  AdwPreferencesGroup *group;
  GtkStack *stack;

  /* Owned */
  ShimWorkspace *workspace;
  GCancellable *cancellable;
  GPtrArray *rows; /* borrowed: what stands in the group */
  char *item;
  guint n_shown;
};

G_DEFINE_FINAL_TYPE (ShimHistoryDialog, shim_history_dialog, ADW_TYPE_WINDOW)

static void reload (ShimHistoryDialog *self);

/* --- undo of one entry --- */

typedef struct
{
  char *entry;
  gboolean undo;
} Turning;

static void
turning_free (Turning *turning)
{
  g_free (turning->entry);
  g_free (turning);
}

/* The register's thread. */
static gpointer
turn_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const Turning *turning = data;

  return GINT_TO_POINTER (shim_register_undo_entry (reg, turning->entry, turning->undo, NULL, error));
}

static void
turned_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimHistoryDialog) self = SHIM_HISTORY_DIALOG (user_data);
  g_autoptr (GError) error = NULL;

  if (!shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error) && self->group != NULL)
    shim_show_error (GTK_WIDGET (self), _ ("This Was Left as It Is"), error);
}

static void
turn (ShimHistoryDialog *self, GtkButton *button, gboolean undo)
{
  Turning *turning = g_new (Turning, 1);

  *turning = (Turning) { g_strdup (gtk_widget_get_name (GTK_WIDGET (button))), undo };
  shim_workspace_call_async (self->workspace, turn_func, turning, (GDestroyNotify) turning_free, NULL, NULL, turned_cb,
                             g_object_ref (self));
}

static void
undo_cb (GtkButton *button, ShimHistoryDialog *self)
{
  turn (self, button, TRUE);
}

static void
redo_cb (GtkButton *button, ShimHistoryDialog *self)
{
  turn (self, button, FALSE);
}

/* --- rows --- */

static char *
subtitle_of (const ShimHistoryEntry *entry)
{
  g_autofree char *at = shim_format_time (entry->at);
  g_autoptr (GString) text = g_string_new (at);

  if (entry->who != NULL)
    g_string_append_printf (text, " · %s", entry->who);
  if (g_str_equal (entry->action, "undo"))
    g_string_append_printf (text, " · %s", _ ("this was an undo"));
  else if (g_str_equal (entry->action, "redo"))
    g_string_append_printf (text, " · %s", _ ("this was done again"));
  else if (entry->undone)
    g_string_append_printf (text, " · %s", _ ("undone"));
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static const char *
word_for (const char *action)
{
  if (g_str_equal (action, "added"))
    return _ ("added");
  if (g_str_equal (action, "removed"))
    return _ ("removed");
  if (g_str_equal (action, "restored"))
    return _ ("back again");
  return _ ("changed");
}

static GtkWidget *
change_row_new (const ShimHistoryChange *change)
{
  GtkWidget *row = adw_action_row_new ();
  g_autofree char *title = NULL, *subtitle = NULL;

  if (change->field != NULL)
    {
      title = g_markup_printf_escaped ("%s · %s", change->title, change->field);
      subtitle = g_markup_printf_escaped ("%s → %s", change->before != NULL ? change->before : "–",
                                          change->after != NULL ? change->after : "–");
    }
  else
    {
      title = g_markup_escape_text (change->title, -1);
      subtitle = g_strdup (word_for (change->action));
    }
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), title);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), subtitle);
  return row;
}

static void
add_turn_button (ShimHistoryDialog *self, GtkWidget *row, const ShimHistoryEntry *entry)
{
  GtkWidget *button = gtk_button_new_with_label (entry->undone ? _ ("Do Again") : _ ("Undo"));

  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  gtk_widget_set_name (button, entry->id);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, entry->summary, -1);
  g_signal_connect (button, "clicked", entry->undone ? G_CALLBACK (redo_cb) : G_CALLBACK (undo_cb), self);
  adw_expander_row_add_action (ADW_EXPANDER_ROW (row), button);
}

static GtkWidget *
entry_row_new (ShimHistoryDialog *self, const ShimHistoryEntry *entry)
{
  GtkWidget *row = adw_expander_row_new ();
  g_autofree char *title = g_markup_escape_text (entry->summary, -1), *subtitle = subtitle_of (entry);
  g_autofree char *escaped = g_markup_escape_text (subtitle, -1);

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), title);
  adw_expander_row_set_subtitle (ADW_EXPANDER_ROW (row), escaped);
  for (guint i = 0; i < MIN (entry->changes->len, CHANGES_SHOWN); i++)
    adw_expander_row_add_row (ADW_EXPANDER_ROW (row), change_row_new (entry->changes->pdata[i]));
  if (g_str_equal (entry->action, "change") || g_str_equal (entry->action, "merge"))
    add_turn_button (self, row, entry);
  return row;
}

static void
older_cb (ShimHistoryDialog *self)
{
  self->n_shown += ENTRIES_AT_A_TIME;
  reload (self);
}

static GtkWidget *
older_row_new (ShimHistoryDialog *self)
{
  GtkWidget *row = adw_action_row_new ();

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), _ ("Show older changes"));
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), TRUE);
  g_signal_connect_swapped (row, "activated", G_CALLBACK (older_cb), self);
  return row;
}

static void
add_row (ShimHistoryDialog *self, GtkWidget *row)
{
  adw_preferences_group_add (self->group, row);
  g_ptr_array_add (self->rows, row);
}

static void
show_entries (ShimHistoryDialog *self, GPtrArray *entries)
{
  for (guint i = 0; i < self->rows->len; i++)
    adw_preferences_group_remove (self->group, self->rows->pdata[i]);
  g_ptr_array_set_size (self->rows, 0);
  for (guint i = 0; i < MIN (entries->len, self->n_shown); i++)
    add_row (self, entry_row_new (self, entries->pdata[i]));
  if (entries->len > self->n_shown)
    add_row (self, older_row_new (self));
  gtk_stack_set_visible_child_name (self->stack, entries->len > 0 ? "list" : "none");
}

typedef struct
{
  char *item;
  guint limit;
} Asking;

static void
asking_free (Asking *asking)
{
  g_free (asking->item);
  g_free (asking);
}

/* The register's thread. */
static gpointer
history_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const Asking *asking = data;

  return shim_register_history (reg, asking->item, asking->limit, 0, error);
}

static void
history_read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimHistoryDialog) self = SHIM_HISTORY_DIALOG (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) entries = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (self->group == NULL)
    return; /* its window has gone meanwhile */
  if (entries != NULL)
    show_entries (self, entries);
  else
    shim_show_error (GTK_WIDGET (self), _ ("The History Could Not Be Read"), error);
}

static void
reload (ShimHistoryDialog *self)
{
  Asking *asking = g_new (Asking, 1);

  g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  self->cancellable = g_cancellable_new ();
  /* One more than is shown tells whether there are older ones. */
  *asking = (Asking) { g_strdup (self->item), self->n_shown + 1 };
  shim_workspace_call_async (self->workspace, history_func, asking, (GDestroyNotify) asking_free, (GDestroyNotify) g_ptr_array_unref,
                             self->cancellable, history_read_cb, g_object_ref (self));
}

static void
shim_history_dialog_dispose (GObject *object)
{
  ShimHistoryDialog *self = SHIM_HISTORY_DIALOG (object);

  g_cancellable_cancel (self->cancellable);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_HISTORY_DIALOG);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->rows, g_ptr_array_unref);
  g_clear_pointer (&self->item, g_free);
  G_OBJECT_CLASS (shim_history_dialog_parent_class)->dispose (object);
}

static void
shim_history_dialog_class_init (ShimHistoryDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_history_dialog_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/register/shim-history-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimHistoryDialog, group);
  gtk_widget_class_bind_template_child (widget_class, ShimHistoryDialog, stack);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
shim_history_dialog_init (ShimHistoryDialog *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->rows = g_ptr_array_new ();
  self->n_shown = ENTRIES_AT_A_TIME;
}

/**
 * shim_history_dialog_new:
 * @parent: the window it belongs to
 * @workspace: the register
 * @item: (nullable): id of the item whose history is wanted; %NULL = all
 * @item_name: (nullable): what it is called
 *
 * Returns: (transfer none): the dialog; show it with gtk_window_present()
 */
GtkWindow *
shim_history_dialog_new (GtkWindow *parent, ShimWorkspace *workspace, const char *item, const char *item_name)
{
  g_autofree char *title = item != NULL ? g_strdup_printf (_ ("History of %s"), item_name) : g_strdup (_ ("History"));
  ShimHistoryDialog *self = g_object_new (SHIM_TYPE_HISTORY_DIALOG, "transient-for", parent, "title", title, NULL);

  self->workspace = g_object_ref (workspace);
  self->item = g_strdup (item);
  g_signal_connect_object (workspace, "changed", G_CALLBACK (reload), self, G_CONNECT_SWAPPED);
  reload (self);
  return GTK_WINDOW (self);
}
