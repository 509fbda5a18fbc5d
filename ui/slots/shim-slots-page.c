/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-key-in.h"
#include "shim-later-rows.h"
#include "shim-ops-slots-view.h"
#include "shim-slot-rules.h"
#include "shim-slots-page.h"
#include "shim-slots-text.h"
#include "shim-workspace-ops.h"

/* More than a screen shows. */
#define ROWS_FIRST 20

struct _ShimSlotsPage
{
  GtkBox parent_instance;

  /* Template widgets */
  GtkBox *groups;
  GtkScrolledWindow *scrolled;
  GtkLabel *subtitle;
  GtkLabel *title;

  /* Owned */
  ShimWorkspace *workspace;
  GCancellable *cancellable;
  ShimSlotsView *view;
  char *body;
  gboolean keying_in; /* the person is on the way through the list of what to key in */

  /* How far the rows have come */
  ShimLaterRows rows;
  guint n_slots_shown;
  guint n_lines_shown;
  gboolean slots_ended; /* with the line on free ones */

  /* Borrowed */
  GtkWidget *slots_group;
  GtkWidget *plan_group;
  GtkWidget *next_button; /* keys in the first slot that waits for it */
};

G_DEFINE_FINAL_TYPE (ShimSlotsPage, shim_slots_page, GTK_TYPE_BOX)

static void
cleared_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimSlotsPage) self = SHIM_SLOTS_PAGE (user_data);
  g_autoptr (GError) error = NULL;

  if (shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error))
    shim_show_done (GTK_WIDGET (self), _ ("Noted as cleared. Clear it on the body too"));
  else
    shim_show_error (GTK_WIDGET (self), _ ("The Change Was Not Stored"), error);
}

static void
keyed_in_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimSlotsPage) self = SHIM_SLOTS_PAGE (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (GObject) entry = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (entry == NULL)
    shim_show_error (GTK_WIDGET (self), _ ("The Change Was Not Stored"), error);
}

static const ShimSlot *
slot_of_button (GtkButton *button)
{
  return g_object_get_data (G_OBJECT (button), "shim-slot");
}

static void
clear_cb (GtkButton *button, ShimSlotsPage *self)
{
  shim_workspace_clear_slot_async (self->workspace, self->body, slot_of_button (button)->number, NULL, NULL, cleared_cb,
                                   g_object_ref (self));
}

static void
key_in_cb (GtkButton *button, ShimSlotsPage *self)
{
  const ShimSlot *slot = slot_of_button (button);

  self->keying_in = TRUE;
  shim_workspace_key_in_async (self->workspace, slot->pair, slot->number, FALSE, NULL, keyed_in_cb, g_object_ref (self));
}

static void
open_pair_cb (AdwActionRow *row, ShimSlotsPage *self)
{
  gtk_widget_activate_action (GTK_WIDGET (self), "win.open-pair", "s", gtk_widget_get_name (GTK_WIDGET (row)));
}

/* Two copies of one model on a body that cannot tell them apart: the value is right for one of them only. */
static void
add_conflict (GtkWidget *row, const char *subtitle)
{
  g_autofree char *both = g_strdup_printf (_ ("%s\nAnother copy of this model needs another value, and this body cannot tell them apart"),
                                           subtitle);

  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), both);
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name ("dialog-warning-symbolic"));
}

static GtkWidget *
add_button (ShimSlotsPage *self, GtkWidget *row, const ShimSlot *slot, const char *label, const char *accessible, GCallback callback,
            const char *css)
{
  GtkWidget *button = gtk_button_new_with_mnemonic (label);

  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  gtk_widget_add_css_class (button, css);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, accessible, -1);
  g_object_set_data (G_OBJECT (button), "shim-slot", (gpointer) slot);
  g_signal_connect (button, "clicked", callback, self);
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), button);
  return button;
}

static void
add_key_in_button (ShimSlotsPage *self, GtkWidget *row, const ShimSlot *slot)
{
  g_autofree char *accessible = g_strdup_printf (_ ("Slot %d is keyed in"), (int) slot->number);
  GtkWidget *button = add_button (self, row, slot, _ ("_Keyed In"), accessible, G_CALLBACK (key_in_cb), "suggested-action");

  if (self->next_button == NULL)
    self->next_button = button;
}

static void
add_lost_sign (GtkWidget *row)
{
  GtkWidget *sign = gtk_image_new_from_icon_name ("shim-state-due-symbolic");

  gtk_widget_add_css_class (sign, "state-due");
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), sign);
}

static GtkWidget *
slot_row_new (ShimSlotsPage *self, const ShimSlot *slot)
{
  GtkWidget *row = adw_action_row_new (), *number;
  g_autofree char *number_text = g_strdup_printf ("%d", (int) slot->number);
  g_autofree char *value = NULL, *title = NULL, *subtitle = NULL, *clear_name = NULL;
  GtkWidget *value_label;

  number = gtk_label_new (number_text);
  gtk_label_set_width_chars (GTK_LABEL (number), 3);
  gtk_widget_add_css_class (number, "numeric");
  gtk_widget_add_css_class (number, "dim-label");
  adw_action_row_add_prefix (ADW_ACTION_ROW (row), number);
  title = g_markup_printf_escaped ("%s%s%s", slot->lens_label != NULL ? slot->lens_label : "",
                                   slot->converter_label != NULL ? " + " : "",
                                   slot->converter_label != NULL ? slot->converter_label : "");
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), title);
  subtitle = shim_slots_text_state (slot);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), subtitle);
  if (shim_slots_view_is_in_conflict (self->view, slot->pair))
    add_conflict (row, subtitle);
  if (slot->state == SHIM_SLOT_LOST)
    add_lost_sign (row);
  value = shim_slots_text_value (slot->value, slot->value_long);
  value_label = gtk_label_new (slot->state == SHIM_SLOT_KEYED ? value : "");
  gtk_widget_add_css_class (value_label, "numeric");
  gtk_widget_add_css_class (value_label, "title-4");
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), value_label);
  clear_name = g_strdup_printf (_ ("Clear slot %d"), (int) slot->number);
  if (slot->state == SHIM_SLOT_LOST || (slot->wanted != SHIM_NO_INT && slot->wanted != slot->value))
    add_key_in_button (self, row, slot);
  if (slot->state == SHIM_SLOT_KEYED)
    add_button (self, row, slot, _ ("_Clear"), clear_name, G_CALLBACK (clear_cb), "flat");
  if (slot->pair != NULL)
    {
      gtk_widget_set_name (row, slot->pair);
      gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), TRUE);
      g_signal_connect (row, "activated", G_CALLBACK (open_pair_cb), self);
    }
  return row;
}

static GtkWidget *
group_new (ShimSlotsPage *self, const char *title, const char *description)
{
  GtkWidget *group = adw_preferences_group_new ();

  adw_preferences_group_set_title (ADW_PREFERENCES_GROUP (group), title);
  adw_preferences_group_set_description (ADW_PREFERENCES_GROUP (group), description);
  gtk_box_append (self->groups, group);
  return group;
}

static void
add_note (GtkWidget *group, const char *title)
{
  GtkWidget *row = adw_action_row_new ();

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), title);
  gtk_widget_add_css_class (row, "dim-label");
  adw_preferences_group_add (ADW_PREFERENCES_GROUP (group), row);
}

static void
add_free_slots (ShimSlotsPage *self)
{
  g_autofree char *text = shim_slots_text_free (self->view);

  if (text != NULL)
    add_note (self->slots_group, text);
}

static void
key_line_in_cb (GtkButton *button, ShimSlotsPage *self)
{
  const ShimPlanLine *line = g_object_get_data (G_OBJECT (button), "shim-line");
  g_autofree char *sentence = g_strdup_printf ("%s: %s", line->lens, line->sentence);

  shim_key_in (GTK_WIDGET (self), self->workspace, self->body, line->planned->pair, sentence);
}

static void
add_key_line_in_button (ShimSlotsPage *self, GtkWidget *row, const ShimPlanLine *line)
{
  g_autofree char *accessible = g_strdup_printf (_ ("Key In… %s"), line->lens);
  GtkWidget *button = gtk_button_new_with_mnemonic (_ ("Key _In…"));

  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, accessible, -1);
  g_object_set_data (G_OBJECT (button), "shim-line", (gpointer) line);
  g_signal_connect (button, "clicked", G_CALLBACK (key_line_in_cb), self);
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), button);
}

static void
add_plan_line (ShimSlotsPage *self, const ShimPlanLine *line)
{
  GtkWidget *row = adw_action_row_new ();
  g_autofree char *title = g_markup_escape_text (line->lens, -1);

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), title);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), line->sentence);
  if (!line->in_order)
    adw_action_row_add_suffix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name ("shim-state-due-symbolic"));
  if (line->lacks_slot)
    add_key_line_in_button (self, row, line);
  adw_preferences_group_add (ADW_PREFERENCES_GROUP (self->plan_group), row);
}

/* Returns whether there was one more row. */
static gboolean
add_next_slot (ShimSlotsPage *self)
{
  const GPtrArray *slots = self->view->slots;

  while (self->n_slots_shown < slots->len)
    {
      const ShimSlot *slot = slots->pdata[self->n_slots_shown++];

      if (slot->state == SHIM_SLOT_FREE)
        continue;
      adw_preferences_group_add (ADW_PREFERENCES_GROUP (self->slots_group), slot_row_new (self, slot));
      return TRUE;
    }
  return FALSE;
}

static gboolean
add_next_line (ShimSlotsPage *self)
{
  if (self->n_lines_shown == self->view->lines->len)
    return FALSE;
  add_plan_line (self, self->view->lines->pdata[self->n_lines_shown++]);
  return TRUE;
}

/* A plan gives each copy of a model its slot, but a body that cannot tell them apart uses one of them for both. */
static void
add_plan_group (ShimSlotsPage *self)
{
  const char *sentence = self->view->plan->sentence;
  g_autofree char *both = self->view->conflicts->len == 0
                              ? NULL
                              : g_strdup_printf (_ ("%s No plan helps where two copies of one model need different values."), sentence);

  self->plan_group = group_new (self, _ ("Plan"), both != NULL ? both : sentence);
}

/* Slots first, then the plan. Returns whether there was one more row. */
static gboolean
add_next_row (gpointer user_data)
{
  ShimSlotsPage *self = user_data;

  if (self->view->counts.total != 0 && self->slots_group == NULL)
    self->slots_group = group_new (self, _ ("Slots"), NULL);
  if (self->slots_group != NULL && add_next_slot (self))
    return TRUE;
  if (self->slots_group != NULL && !self->slots_ended)
    add_free_slots (self);
  self->slots_ended = TRUE;
  if (self->view->plan != NULL && self->plan_group == NULL)
    add_plan_group (self);
  return self->plan_group != NULL && add_next_line (self);
}

static void
remove_rows (ShimSlotsPage *self)
{
  GtkWidget *child;

  shim_later_rows_stop (&self->rows);
  while ((child = gtk_widget_get_first_child (GTK_WIDGET (self->groups))) != NULL)
    gtk_box_remove (self->groups, child);
  self->slots_group = self->plan_group = self->next_button = NULL;
  self->n_slots_shown = self->n_lines_shown = 0;
  self->slots_ended = FALSE;
}

/* Building the rows anew takes the cursor away: it goes on to the next slot that waits. */
static void
restore_focus (ShimSlotsPage *self)
{
  gtk_window_set_focus_visible (GTK_WINDOW (gtk_widget_get_root (GTK_WIDGET (self))), TRUE);
  if (self->next_button != NULL)
    gtk_widget_grab_focus (self->next_button);
  else
    gtk_widget_child_focus (GTK_WIDGET (self->groups), GTK_DIR_TAB_FORWARD);
  self->keying_in = self->next_button != NULL;
}

/* @again: it showed all of the same body before, and stays where it was scrolled to */
static void
show_view (ShimSlotsPage *self, gboolean again)
{
  g_autofree char *text = shim_slots_count_text (self->view->body->slot_count, &self->view->counts);
  gboolean had_focus = gtk_widget_get_focus_child (GTK_WIDGET (self->groups)) != NULL || self->keying_in;

  remove_rows (self);
  gtk_label_set_label (self->title, self->view->body->label);
  gtk_label_set_label (self->subtitle, text);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "slots.reset", self->view->counts.keyed > 0);
  shim_later_rows_start (&self->rows, add_next_row, self, ROWS_FIRST, had_focus || again);
  if (had_focus && gtk_widget_get_mapped (GTK_WIDGET (self)))
    restore_focus (self);
}

static gpointer
view_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  return shim_ops_slots_view (reg, data, error);
}

static void
view_read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimSlotsPage) self = SHIM_SLOTS_PAGE (user_data);
  g_autoptr (GError) error = NULL;
  ShimSlotsView *view = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  ShimSlotsView *old = self->view;
  gboolean again;

  if (view == NULL)
    {
      shim_show_error (GTK_WIDGET (self), _ ("The Slots Could Not Be Read"), error);
      return;
    }
  /* Buttons point into the old view: they go first. */
  self->view = view;
  again = old != NULL && shim_later_rows_are_complete (&self->rows)
          && g_strcmp0 (SHIM_RECORD (old->body)->id, SHIM_RECORD (view->body)->id) == 0;
  show_view (self, again);
  shim_slots_view_free (old);
}

static void
reload (ShimSlotsPage *self)
{
  if (self->body == NULL)
    return;
  g_cancellable_cancel (self->cancellable);
  g_object_unref (self->cancellable);
  self->cancellable = g_cancellable_new ();
  shim_workspace_call_async (self->workspace, view_func, g_strdup (self->body), g_free, (GDestroyNotify) shim_slots_view_free,
                             self->cancellable, view_read_cb, g_object_ref (self));
}

/**
 * shim_slots_page_set_body:
 * @self: a page
 * @body: id of the body to show
 */
void
shim_slots_page_set_body (ShimSlotsPage *self, const char *body)
{
  g_return_if_fail (SHIM_IS_SLOTS_PAGE (self));

  self->keying_in = FALSE;
  if (g_strcmp0 (body, self->body) != 0)
    gtk_adjustment_set_value (gtk_scrolled_window_get_vadjustment (self->scrolled), 0.0);
  g_free (self->body);
  self->body = g_strdup (body);
  reload (self);
}

static void
reset_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimSlotsPage) self = SHIM_SLOTS_PAGE (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) lost = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (lost == NULL)
    shim_show_error (GTK_WIDGET (self), _ ("The Reset Was Not Noted"), error);
  else
    shim_show_done (GTK_WIDGET (self), _ ("Noted. The list of slots says what to key in again"));
}

static void
reset_confirmed_cb (gpointer user_data)
{
  ShimSlotsPage *self = SHIM_SLOTS_PAGE (user_data);

  self->keying_in = TRUE;
  shim_workspace_reset_body_async (self->workspace, self->body, NULL, NULL, NULL, reset_cb, g_object_ref (self));
}

static void
reset_action_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_confirm (widget, _ ("Was This Body Reset?"),
                _ ("All its slots are noted as lost, and the list says which values to key in again. Nothing changes on the camera."),
                _ ("_Note the Reset"), FALSE, reset_confirmed_cb, widget, NULL);
}

static void
shim_slots_page_dispose (GObject *object)
{
  ShimSlotsPage *self = SHIM_SLOTS_PAGE (object);

  g_cancellable_cancel (self->cancellable);
  shim_later_rows_stop (&self->rows);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_SLOTS_PAGE);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->view, shim_slots_view_free);
  g_clear_pointer (&self->body, g_free);
  G_OBJECT_CLASS (shim_slots_page_parent_class)->dispose (object);
}

static void
shim_slots_page_class_init (ShimSlotsPageClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_slots_page_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/slots/shim-slots-page.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimSlotsPage, groups);
  gtk_widget_class_bind_template_child (widget_class, ShimSlotsPage, scrolled);
  gtk_widget_class_bind_template_child (widget_class, ShimSlotsPage, subtitle);
  gtk_widget_class_bind_template_child (widget_class, ShimSlotsPage, title);
  gtk_widget_class_install_action (widget_class, "slots.reset", NULL, reset_action_cb);
}

static void
shim_slots_page_init (ShimSlotsPage *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->cancellable = g_cancellable_new ();
}

/**
 * shim_slots_page_new:
 * @workspace: where the bodies are
 *
 * Returns: (transfer floating): a page that shows nothing yet
 */
GtkWidget *
shim_slots_page_new (ShimWorkspace *workspace)
{
  ShimSlotsPage *self = g_object_new (SHIM_TYPE_SLOTS_PAGE, NULL);

  self->workspace = g_object_ref (workspace);
  g_signal_connect_object (workspace, "changed", G_CALLBACK (reload), self, G_CONNECT_SWAPPED);
  return GTK_WIDGET (self);
}
