/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-dialogs.h"
#include "shim-event-dialog.h"
#include "shim-format.h"
#include "shim-item-editor.h"
#include "shim-item-page.h"
#include "shim-item-pairs.h"
#include "shim-item-picture.h"
#include "shim-kinds.h"
#include "shim-ops-item.h"
#include "shim-slot-rules.h"
#include "shim-workspace-ops.h"

struct _ShimItemPage
{
  GtkBox parent_instance;

  /* Template widgets */
  GtkButton *archive_button;
  GtkBox *groups;
  ShimItemPicture *picture;
  GtkScrolledWindow *scrolled;
  GtkLabel *subtitle;
  GtkLabel *title;

  /* Owned */
  ShimWorkspace *workspace;
  GCancellable *cancellable;
  ShimItemView *view;
  ShimItemPairs *pairs;
  char *kind;
  char *id;
};

G_DEFINE_FINAL_TYPE (ShimItemPage, shim_item_page, GTK_TYPE_BOX)

/* Shown elsewhere on the page, or of no use to look at. */
static gboolean
field_has_own_place (const ShimField *field)
{
  static const char *const names[] = { "label", "maker", "model", "serial", "archived", "picture", NULL };

  return g_strv_contains (names, field->name) || (field->flags & SHIM_FIELD_INTERNAL) != 0;
}

static char *
value_text (ShimRecord *record, const ShimField *field)
{
  g_autofree char *text = NULL;

  if (field->type == SHIM_FIELD_CHOICE)
    return g_strdup (shim_field_choice_label (field, shim_record_get_text (record, field)));
  if (field->type == SHIM_FIELD_BOOL)
    return g_strdup (shim_record_get_int (record, field) != 0 ? _ ("yes") : _ ("no"));
  if ((field->flags & SHIM_FIELD_SETTING) != 0)
    text = shim_format_setting (shim_record_get_int (record, field));
  else
    text = shim_record_to_string (record, field);
  if (g_strcmp0 (field->unit, "f/") == 0)
    return g_strconcat (field->unit, text, NULL);
  if (field->unit != NULL)
    return g_strdup_printf ("%s\u00a0%s", text, field->unit);
  return g_steal_pointer (&text);
}

static GtkWidget *
property_row_new (const char *name, const char *value)
{
  GtkWidget *row = adw_action_row_new ();
  GtkWidget *label = gtk_label_new (value);
  g_autofree char *escaped = g_markup_escape_text (name, -1);

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), escaped);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  /* One line where there is room for it. */
  gtk_label_set_natural_wrap_mode (GTK_LABEL (label), GTK_NATURAL_WRAP_NONE);
  gtk_label_set_xalign (GTK_LABEL (label), 1.0);
  gtk_widget_add_css_class (label, "numeric");
  gtk_widget_add_css_class (row, "compact");
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), label);
  return row;
}

static void
add_fields (ShimItemPage *self)
{
  const ShimKind *kind = shim_record_get_kind (self->view->item);
  GtkWidget *group = adw_preferences_group_new ();

  adw_preferences_group_set_title (ADW_PREFERENCES_GROUP (group), _ ("Details"));
  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];
      g_autofree char *value = NULL;

      if (field_has_own_place (field) || !shim_record_is_known (self->view->item, field))
        continue;
      value = g_str_equal (field->name, "slot_count") && shim_record_get_int (self->view->item, field) < 0
                  ? g_strdup (_ ("no limit"))
                  : value_text (self->view->item, field);
      adw_preferences_group_add (ADW_PREFERENCES_GROUP (group), property_row_new (_ (field->label), value));
    }
  gtk_box_append (self->groups, group);
}

static void
slots_clicked_cb (AdwActionRow *row, ShimItemPage *self)
{
  gtk_widget_activate_action (GTK_WIDGET (self), "win.open-slots", "s", self->id);
}

static void
add_slots (ShimItemPage *self)
{
  GtkWidget *group, *row;
  g_autofree char *text = NULL;

  if (!g_str_equal (self->kind, "body") || self->view->slots.total == 0)
    return;
  text = shim_slots_count_text (SHIM_BODY (self->view->item)->slot_count, &self->view->slots);
  group = adw_preferences_group_new ();
  row = property_row_new (_ ("Slots"), text);
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), TRUE);
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name ("go-next-symbolic"));
  g_signal_connect (row, "activated", G_CALLBACK (slots_clicked_cb), self);
  adw_preferences_group_add (ADW_PREFERENCES_GROUP (group), row);
  gtk_box_append (self->groups, group);
}

static void
done_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimItemPage) self = SHIM_ITEM_PAGE (user_data);
  g_autoptr (GError) error = NULL;

  if (!shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error))
    shim_show_error (GTK_WIDGET (self), _ ("The Change Was Not Stored"), error);
}

static void
take_back_cb (GtkButton *button, ShimItemPage *self)
{
  shim_workspace_take_back_event_async (self->workspace, gtk_widget_get_name (GTK_WIDGET (button)), NULL, done_cb,
                                        g_object_ref (self));
}

static GtkWidget *
event_row_new (ShimItemPage *self, ShimEvent *event)
{
  const ShimField *kind_field = shim_kind_find_field (shim_record_get_kind (SHIM_RECORD (event)), "kind");
  GtkWidget *row = adw_action_row_new ();
  g_autoptr (GString) under = g_string_new (event->happened_on);
  g_autofree char *escaped = NULL;

  if (event->who != NULL)
    g_string_append_printf (under, " · %s", event->who);
  if (event->note != NULL)
    g_string_append_printf (under, " · %s", event->note);
  if (event->taken_back)
    g_string_append_printf (under, " · %s", _ ("taken back"));
  else if (event->casts_doubt)
    g_string_append_printf (under, " · %s", _ ("casts doubt on its values"));
  escaped = g_markup_escape_text (under->str, -1);
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), shim_field_choice_label (kind_field, event->kind));
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), escaped);
  if (!event->taken_back)
    {
      GtkWidget *button = gtk_button_new_with_mnemonic (_ ("_Take Back"));

      gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
      gtk_widget_set_name (button, SHIM_RECORD (event)->id);
      gtk_widget_add_css_class (button, "flat");
      g_signal_connect (button, "clicked", G_CALLBACK (take_back_cb), self);
      adw_action_row_add_suffix (ADW_ACTION_ROW (row), button);
    }
  return row;
}

static void
add_events (ShimItemPage *self)
{
  GtkWidget *group;

  if (self->view->events->len == 0)
    return;
  group = adw_preferences_group_new ();
  adw_preferences_group_set_title (ADW_PREFERENCES_GROUP (group), _ ("Events"));
  for (guint i = 0; i < self->view->events->len; i++)
    adw_preferences_group_add (ADW_PREFERENCES_GROUP (group), event_row_new (self, self->view->events->pdata[i]));
  gtk_box_append (self->groups, group);
}

static void
show_head (ShimItemPage *self)
{
  g_autofree char *label = NULL, *serial = NULL, *maker = NULL, *model = NULL, *product = NULL;
  g_autoptr (GString) under = g_string_new (_ (shim_record_get_kind (self->view->item)->label));
  gboolean archived, is_adapter = g_str_equal (self->kind, "adapter");

  g_object_get (self->view->item, "label", &label, "serial", &serial, "archived", &archived, NULL);
  if (!is_adapter)
    g_object_get (self->view->item, "maker", &maker, "model", &model, NULL);
  product = shim_format_product (maker, model);
  if (product != NULL)
    g_string_append_printf (under, " · %s", product);
  if (serial != NULL)
    g_string_append_printf (under, " · %s", serial);
  if (archived)
    g_string_append_printf (under, " · %s", _ ("archived"));
  gtk_label_set_label (self->title, label);
  gtk_label_set_label (self->subtitle, under->str);
  gtk_button_set_label (self->archive_button, archived ? _ ("_Bring Back") : _ ("_Archive"));
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "item.note-event", !is_adapter);
}

/* What the item is for comes first, what it is comes last. */
static void
show_view (ShimItemPage *self)
{
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (GTK_WIDGET (self->groups))) != NULL)
    gtk_box_remove (self->groups, child);
  show_head (self);
  shim_item_picture_set_item (self->picture, self->workspace, self->view->item);
  add_slots (self);
  shim_item_pairs_set_view (self->pairs, self->view);
  if (self->view->pairs->len > 0)
    gtk_box_append (self->groups, GTK_WIDGET (self->pairs));
  add_events (self);
  add_fields (self);
}

typedef struct
{
  char *kind;
  char *id;
} ItemKey;

static void
item_key_free (ItemKey *key)
{
  g_free (key->kind);
  g_free (key->id);
  g_free (key);
}

static gpointer
view_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const ItemKey *key = data;

  return shim_ops_item_view (reg, key->kind, key->id, error);
}

static void
view_read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimItemPage) self = SHIM_ITEM_PAGE (user_data);
  g_autoptr (GError) error = NULL;
  ShimItemView *view = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (view == NULL)
    {
      shim_show_error (GTK_WIDGET (self), _ ("The Item Could Not Be Read"), error);
      return;
    }
  g_clear_pointer (&self->view, shim_item_view_free);
  self->view = view;
  show_view (self);
}

static void
reload (ShimItemPage *self)
{
  ItemKey *key;

  if (self->id == NULL)
    return;
  /* A late answer for an item that is not shown any more must not arrive. */
  g_cancellable_cancel (self->cancellable);
  g_object_unref (self->cancellable);
  self->cancellable = g_cancellable_new ();
  key = g_new (ItemKey, 1);
  *key = (ItemKey) { g_strdup (self->kind), g_strdup (self->id) };
  shim_workspace_call_async (self->workspace, view_func, key, (GDestroyNotify) item_key_free,
                             (GDestroyNotify) shim_item_view_free, self->cancellable, view_read_cb, g_object_ref (self));
}

/**
 * shim_item_page_set_item:
 * @self: a page
 * @kind: "body", "lens", "converter" or "adapter"
 * @id: of the item
 */
void
shim_item_page_set_item (ShimItemPage *self, const char *kind, const char *id)
{
  g_return_if_fail (SHIM_IS_ITEM_PAGE (self));
  g_return_if_fail (kind != NULL && id != NULL);

  if (g_strcmp0 (id, self->id) != 0)
    gtk_adjustment_set_value (gtk_scrolled_window_get_vadjustment (self->scrolled), 0.0);
  g_free (self->kind);
  self->kind = g_strdup (kind);
  g_free (self->id);
  self->id = g_strdup (id);
  reload (self);
}

static void
change_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimItemPage *self = SHIM_ITEM_PAGE (widget);

  if (self->view != NULL)
    shim_item_editor_show (widget, self->workspace, self->view->item, NULL);
}

static void
note_event_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimItemPage *self = SHIM_ITEM_PAGE (widget);

  if (self->view != NULL)
    shim_event_dialog_show (widget, self->workspace, self->kind, self->id, gtk_label_get_label (self->title));
}

static void
history_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimItemPage *self = SHIM_ITEM_PAGE (widget);

  if (self->view != NULL)
    gtk_widget_activate_action (widget, "win.history", "(ss)", self->id, gtk_label_get_label (self->title));
}

static void
archive_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimItemPage *self = SHIM_ITEM_PAGE (widget);
  gboolean archived;

  if (self->view == NULL)
    return;
  g_object_get (self->view->item, "archived", &archived, NULL);
  shim_workspace_set_archived_async (self->workspace, self->kind, self->id, !archived, NULL, done_cb, g_object_ref (self));
}

static void
shim_item_page_dispose (GObject *object)
{
  ShimItemPage *self = SHIM_ITEM_PAGE (object);

  g_cancellable_cancel (self->cancellable);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_ITEM_PAGE);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->workspace);
  g_clear_object (&self->pairs);
  g_clear_pointer (&self->view, shim_item_view_free);
  g_clear_pointer (&self->kind, g_free);
  g_clear_pointer (&self->id, g_free);
  G_OBJECT_CLASS (shim_item_page_parent_class)->dispose (object);
}

static void
shim_item_page_class_init (ShimItemPageClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_item_page_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/kit/shim-item-page.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimItemPage, archive_button);
  gtk_widget_class_bind_template_child (widget_class, ShimItemPage, groups);
  gtk_widget_class_bind_template_child (widget_class, ShimItemPage, picture);
  gtk_widget_class_bind_template_child (widget_class, ShimItemPage, scrolled);
  gtk_widget_class_bind_template_child (widget_class, ShimItemPage, subtitle);
  gtk_widget_class_bind_template_child (widget_class, ShimItemPage, title);
  gtk_widget_class_install_action (widget_class, "item.change", NULL, change_cb);
  gtk_widget_class_install_action (widget_class, "item.note-event", NULL, note_event_cb);
  gtk_widget_class_install_action (widget_class, "item.archive", NULL, archive_cb);
  gtk_widget_class_install_action (widget_class, "item.history", NULL, history_cb);
}

static void
shim_item_page_init (ShimItemPage *self)
{
  g_type_ensure (SHIM_TYPE_ITEM_PICTURE);
  gtk_widget_init_template (GTK_WIDGET (self));
  self->cancellable = g_cancellable_new ();
  self->pairs = SHIM_ITEM_PAIRS (g_object_ref_sink (shim_item_pairs_new ()));
}

/**
 * shim_item_page_new:
 * @workspace: where the items are
 *
 * Returns: (transfer floating): a page that shows nothing yet
 */
GtkWidget *
shim_item_page_new (ShimWorkspace *workspace)
{
  ShimItemPage *self = g_object_new (SHIM_TYPE_ITEM_PAGE, NULL);

  self->workspace = g_object_ref (workspace);
  g_signal_connect_object (workspace, "changed", G_CALLBACK (reload), self, G_CONNECT_SWAPPED);
  return GTK_WIDGET (self);
}
