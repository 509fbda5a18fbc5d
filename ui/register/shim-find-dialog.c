/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-find-dialog.h"
#include "shim-ops-find.h"

/* Of one kind; who wants more of them types one more word. */
#define HITS_OF_A_KIND 12

struct _ShimFindDialog
{
  AdwWindow parent_instance;

  /* Template widgets */
  GtkSearchEntry *entry;
  GtkListBox *list;
  GtkStack *stack;

  /* Owned */
  ShimWorkspace *workspace;
  GCancellable *cancellable;
  GPtrArray *hits; /* element-type ShimHit; rows stand in its order */
  char *asked;         /* what was asked last */
  gboolean open_first; /* Enter came before the answer */
};

G_DEFINE_FINAL_TYPE (ShimFindDialog, shim_find_dialog, ADW_TYPE_WINDOW)

static const struct
{
  const char *kind;
  const char *heading;
  const char *icon;
} groups[] = {
  { "body", N_ ("Bodies"), "shim-kit-symbolic" },
  { "lens", N_ ("Lenses"), "shim-kit-symbolic" },
  { "converter", N_ ("Converters"), "shim-kit-symbolic" },
  { "adapter", N_ ("Adapters"), "shim-kit-symbolic" },
  { "pair", N_ ("Pairs"), "shim-pairs-symbolic" },
  { "job", N_ ("Jobs"), "shim-jobs-symbolic" },
  { "event", N_ ("Events"), "shim-kit-symbolic" },
  { "test", N_ ("Tests"), "shim-bench-symbolic" },
  { "round", N_ ("Rounds of tests"), "shim-bench-symbolic" },
  { "decision", N_ ("Settings decided"), "shim-pairs-symbolic" },
};

static guint
group_of (const ShimHit *hit)
{
  guint i = 0;

  while (i < G_N_ELEMENTS (groups) - 1 && !g_str_equal (groups[i].kind, hit->kind))
    i++;
  return i;
}

static void
open_hit (ShimFindDialog *self, const ShimHit *hit)
{
  GtkWidget *window = GTK_WIDGET (gtk_window_get_transient_for (GTK_WINDOW (self)));

  if (g_str_equal (hit->open_kind, "pair"))
    gtk_widget_activate_action (window, "win.open-pair", "s", hit->open_id);
  else if (g_str_equal (hit->open_kind, "job"))
    gtk_widget_activate_action (window, "win.open-job", "s", hit->open_id);
  else
    gtk_widget_activate_action (window, "win.open-item", "(ss)", hit->open_kind, hit->open_id);
  gtk_window_close (GTK_WINDOW (self));
}

static void
row_activated_cb (GtkListBox *list, GtkListBoxRow *row, ShimFindDialog *self)
{
  open_hit (self, g_ptr_array_index (self->hits, gtk_list_box_row_get_index (row)));
}

static GtkWidget *
label_new (const char *text, const char *css)
{
  GtkWidget *label = gtk_label_new (text);

  gtk_label_set_xalign (GTK_LABEL (label), 0.0);
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_END);
  if (css != NULL)
    {
      gtk_widget_add_css_class (label, css);
      gtk_widget_add_css_class (label, "dim-label");
    }
  return label;
}

static GtkWidget *
row_new (const ShimHit *hit)
{
  GtkWidget *row = gtk_list_box_row_new (), *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 2);
  GtkWidget *outer = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget *icon = gtk_image_new_from_icon_name (groups[group_of (hit)].icon);
  g_autofree char *spoken = g_strdup_printf ("%s, %s. %s", hit->title, _ (groups[group_of (hit)].heading), hit->detail);

  gtk_box_append (GTK_BOX (box), label_new (hit->title, NULL));
  if (*hit->detail != '\0')
    gtk_box_append (GTK_BOX (box), label_new (hit->detail, "caption"));
  gtk_box_append (GTK_BOX (outer), icon);
  gtk_box_append (GTK_BOX (outer), box);
  gtk_widget_set_margin_top (outer, 4);
  gtk_widget_set_margin_bottom (outer, 4);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), outer);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  return row;
}

static void
header_cb (GtkListBoxRow *row, GtkListBoxRow *before, gpointer user_data)
{
  ShimFindDialog *self = SHIM_FIND_DIALOG (user_data);
  guint group = group_of (g_ptr_array_index (self->hits, gtk_list_box_row_get_index (row)));
  GtkWidget *heading;

  if (before != NULL && group_of (g_ptr_array_index (self->hits, gtk_list_box_row_get_index (before))) == group)
    {
      gtk_list_box_row_set_header (row, NULL);
      return;
    }
  heading = label_new (_ (groups[group].heading), "heading");
  gtk_widget_set_margin_top (heading, 12);
  gtk_widget_set_margin_bottom (heading, 3);
  gtk_widget_set_margin_start (heading, 12);
  gtk_list_box_row_set_header (row, heading);
}

static void
clear (ShimFindDialog *self)
{
  GtkWidget *row;

  gtk_list_box_set_header_func (self->list, NULL, NULL, NULL);
  while ((row = GTK_WIDGET (gtk_list_box_get_row_at_index (self->list, 0))) != NULL)
    gtk_list_box_remove (self->list, row);
  g_clear_pointer (&self->hits, g_ptr_array_unref);
}

static void
show_hits (ShimFindDialog *self)
{
  for (guint i = 0; i < self->hits->len; i++)
    gtk_list_box_append (self->list, row_new (g_ptr_array_index (self->hits, i)));
  gtk_list_box_set_header_func (self->list, header_cb, self, NULL);
  gtk_list_box_select_row (self->list, gtk_list_box_get_row_at_index (self->list, 0));
  gtk_stack_set_visible_child_name (self->stack, self->hits->len > 0 ? "found" : "nothing");
}

static void
found_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimFindDialog) self = SHIM_FIND_DIALOG (user_data);
  g_autoptr (GError) error = NULL;
  GPtrArray *hits = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  /* An answer to an earlier question may have been on its way when that was cancelled. */
  if (hits == NULL || self->list == NULL || g_cancellable_is_cancelled (g_task_get_cancellable (G_TASK (result))))
    {
      g_clear_pointer (&hits, g_ptr_array_unref);
      return;
    }
  g_clear_object (&self->cancellable);
  clear (self);
  self->hits = hits;
  show_hits (self);
  if (self->open_first && hits->len > 0)
    open_hit (self, g_ptr_array_index (hits, 0));
}

/* The register's thread. */
static gpointer
find_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  return shim_ops_find (reg, data, HITS_OF_A_KIND, error);
}

static void
search_changed_cb (ShimFindDialog *self)
{
  g_autofree char *words = g_strstrip (g_strdup (gtk_editable_get_text (GTK_EDITABLE (self->entry))));

  if (g_strcmp0 (words, self->asked) == 0)
    return;
  g_free (self->asked);
  self->asked = g_strdup (words);
  self->open_first = FALSE;
  g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  if (*words == '\0')
    {
      clear (self);
      gtk_stack_set_visible_child_name (self->stack, "hint");
      return;
    }
  self->cancellable = g_cancellable_new ();
  shim_workspace_call_async (self->workspace, find_func, g_steal_pointer (&words), g_free, (GDestroyNotify) g_ptr_array_unref,
                             self->cancellable, found_cb, g_object_ref (self));
}

/* Enter may come before the entry has told what was typed, or before the answer; and the entry also gets it while the cursor is in the
 * list. */
static void
activate_cb (ShimFindDialog *self)
{
  GtkListBoxRow *row;

  search_changed_cb (self);
  row = gtk_list_box_get_selected_row (self->list);
  if (self->cancellable != NULL)
    self->open_first = TRUE;
  else if (row != NULL)
    row_activated_cb (self->list, row, self);
}

static gboolean
key_pressed_cb (GtkEventControllerKey *keys, guint key, guint code, GdkModifierType state, ShimFindDialog *self)
{
  GtkListBoxRow *row = gtk_list_box_get_row_at_index (self->list, 0);

  if (key != GDK_KEY_Down || row == NULL)
    return GDK_EVENT_PROPAGATE;
  /* The first is chosen already: the arrow goes on from there. */
  if (gtk_list_box_get_row_at_index (self->list, 1) != NULL)
    row = gtk_list_box_get_row_at_index (self->list, 1);
  gtk_list_box_select_row (self->list, row);
  gtk_widget_grab_focus (GTK_WIDGET (row));
  return GDK_EVENT_STOP;
}

static void
shim_find_dialog_dispose (GObject *object)
{
  ShimFindDialog *self = SHIM_FIND_DIALOG (object);

  g_cancellable_cancel (self->cancellable);
  if (self->list != NULL)
    clear (self);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_FIND_DIALOG);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->asked, g_free);
  G_OBJECT_CLASS (shim_find_dialog_parent_class)->dispose (object);
}

static void
shim_find_dialog_class_init (ShimFindDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_find_dialog_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/register/shim-find-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimFindDialog, entry);
  gtk_widget_class_bind_template_child (widget_class, ShimFindDialog, list);
  gtk_widget_class_bind_template_child (widget_class, ShimFindDialog, stack);
  gtk_widget_class_bind_template_callback (widget_class, activate_cb);
  gtk_widget_class_bind_template_callback (widget_class, row_activated_cb);
  gtk_widget_class_bind_template_callback (widget_class, search_changed_cb);
  gtk_widget_class_bind_template_callback (widget_class, gtk_window_close);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
shim_find_dialog_init (ShimFindDialog *self)
{
  GtkEventController *keys = gtk_event_controller_key_new ();

  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect (keys, "key-pressed", G_CALLBACK (key_pressed_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self->entry), keys);
  /* Who types on in the list means the search. */
  gtk_search_entry_set_key_capture_widget (self->entry, GTK_WIDGET (self->list));
}

/**
 * shim_find_dialog_new:
 * @parent: the window whose places open what is found
 * @workspace: the register
 *
 * Returns: (transfer none): the dialog; show it with gtk_window_present()
 */
GtkWindow *
shim_find_dialog_new (GtkWindow *parent, ShimWorkspace *workspace)
{
  ShimFindDialog *self = g_object_new (SHIM_TYPE_FIND_DIALOG, "transient-for", parent, NULL);

  self->workspace = g_object_ref (workspace);
  gtk_widget_grab_focus (GTK_WIDGET (self->entry));
  return GTK_WINDOW (self);
}
