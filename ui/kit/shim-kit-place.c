/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-gather-dialog.h"
#include "shim-growing-list.h"
#include "shim-import-dialog.h"
#include "shim-item-editor.h"
#include "shim-item-page.h"
#include "shim-kinds.h"
#include "shim-kit-place.h"
#include "shim-kit-photo.h"
#include "shim-list-keys.h"
#include "shim-list-scroll.h"
#include "shim-mounts-dialog.h"
#include "shim-record-list.h"
#include "shim-record-rows.h"
#include "shim-reveal-archived.h"
#include "shim-search-escape.h"

#define N_KINDS 4

struct _ShimKitPlace
{
  GtkBox parent_instance;

  /* Template widgets */
  GtkToggleButton *adapters_button;
  GtkToggleButton *bodies_button;
  GtkToggleButton *converters_button;
  GtkToggleButton *lenses_button;
  GtkLabel *count_label;
  GtkListView *list;
  GtkStack *list_stack;
  GtkStack *page_stack;
  GtkSearchEntry *search_entry;

  /* Owned */
  ShimWorkspace *workspace;
  ShimRecordList *records[N_KINDS];
  ShimGrowingList *growing;
  GtkSingleSelection *selection;
  guint kind;
  char *wanted_id;
  GFile *photo; /* the one that items are added from */
  gboolean show_archived;

  /* Borrowed */
  ShimItemPage *page;
};

G_DEFINE_FINAL_TYPE (ShimKitPlace, shim_kit_place, GTK_TYPE_BOX)

static const char *const kind_names[N_KINDS] = { "body", "lens", "converter", "adapter" };

static GtkToggleButton *
kind_button (ShimKitPlace *self, guint kind)
{
  GtkToggleButton *buttons[N_KINDS]
      = { self->bodies_button, self->lenses_button, self->converters_button, self->adapters_button };

  return buttons[kind];
}

static void
update_count (ShimKitPlace *self)
{
  guint n = g_list_model_get_n_items (G_LIST_MODEL (self->records[self->kind]));
  gboolean searching = *shim_record_list_get_search (self->records[self->kind]) != '\0';
  g_autofree char *text = g_strdup_printf (ngettext ("%u item", "%u items", n), n);
  gboolean kit_is_empty = !searching;

  for (guint i = 0; i < N_KINDS; i++)
    kit_is_empty &= self->records[i] != NULL && g_list_model_get_n_items (G_LIST_MODEL (self->records[i])) == 0;
  /* While the rest of a long list is on its way its length is not known. */
  gtk_label_set_label (self->count_label, n > 0 && !shim_record_list_is_loading (self->records[self->kind]) ? text : "");
  gtk_stack_set_visible_child_name (self->list_stack, n > 0 ? "list" : searching ? "nothing-found" : "none");
  if (kit_is_empty)
    gtk_stack_set_visible_child_name (self->page_stack, "first-step");
  else if (gtk_single_selection_get_selected_item (self->selection) == NULL)
    gtk_stack_set_visible_child_name (self->page_stack, "choose");
}

static void
show_selected (ShimKitPlace *self)
{
  guint position = gtk_single_selection_get_selected (self->selection);
  const char *id = position != GTK_INVALID_LIST_POSITION ? shim_record_list_get_id (self->records[self->kind], position) : NULL;

  if (id == NULL)
    {
      update_count (self);
      return;
    }
  shim_item_page_set_item (self->page, kind_names[self->kind], id);
  gtk_stack_set_visible_child (self->page_stack, GTK_WIDGET (self->page));
}

static void
select_wanted (ShimKitPlace *self)
{
  guint position;

  if (self->wanted_id == NULL || !shim_record_list_find (self->records[self->kind], self->wanted_id, &position))
    return;
  g_clear_pointer (&self->wanted_id, g_free);
  shim_growing_list_show_all (self->growing);
  gtk_single_selection_set_selected (self->selection, position);
  shim_list_show_selected_later (self->list, self->workspace);
  show_selected (self);
}

static void
items_changed_cb (ShimKitPlace *self)
{
  update_count (self);
  select_wanted (self);
}

static void
loaded_cb (ShimKitPlace *self)
{
  if (!shim_record_list_is_loading (self->records[self->kind]))
    update_count (self);
}

static ShimRecordList *
records_new (ShimKitPlace *self, guint kind)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  ShimRecordList *records;

  shim_query_add_order (query, "label", FALSE);
  shim_query_set_include_archived (query, self->show_archived);
  records = shim_record_list_new (self->workspace, shim_kind_type_from_name (kind_names[kind]), query);
  g_signal_connect_object (records, "notify::n-items", G_CALLBACK (items_changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (records, "notify::loading", G_CALLBACK (loaded_cb), self, G_CONNECT_SWAPPED);
  return records;
}

static void
show_kind (ShimKitPlace *self, guint kind)
{
  self->kind = kind;
  shim_record_list_set_search (self->records[kind], gtk_editable_get_text (GTK_EDITABLE (self->search_entry)));
  shim_growing_list_set_model (self->growing, G_LIST_MODEL (self->records[kind]));
  gtk_toggle_button_set_active (kind_button (self, kind), TRUE);
  items_changed_cb (self);
  show_selected (self);
}

static void
kind_toggled_cb (GtkToggleButton *button, ShimKitPlace *self)
{
  if (!gtk_toggle_button_get_active (button) || self->workspace == NULL)
    return;
  for (guint i = 0; i < N_KINDS; i++)
    if (kind_button (self, i) == button && i != self->kind)
      show_kind (self, i);
}

/* What was stored from a table is to be seen. */
static void
show_kind_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimKitPlace *self = SHIM_KIT_PLACE (widget);

  for (guint i = 0; i < N_KINDS; i++)
    if (g_str_equal (kind_names[i], g_variant_get_string (parameter, NULL)) && i != self->kind)
      show_kind (self, i);
}

static void
search_changed_cb (GtkSearchEntry *entry, ShimKitPlace *self)
{
  shim_list_show_first (self->list);
  shim_record_list_set_search (self->records[self->kind], gtk_editable_get_text (GTK_EDITABLE (entry)));
}

static void
stored_cb (ShimRecord *record, gpointer user_data)
{
  shim_kit_place_open_item (SHIM_KIT_PLACE (user_data), shim_record_get_kind (record)->name, record->id);
}

static void
edit_new (ShimKitPlace *self, ShimRecord *record)
{
  shim_item_editor_show (GTK_WIDGET (self), self->workspace, record, stored_cb);
}

static void
add_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  g_autoptr (ShimRecord) record = g_object_new (shim_kind_type_from_name (g_variant_get_string (parameter, NULL)), NULL);

  edit_new (SHIM_KIT_PLACE (widget), record);
}

static void proposed_cb (ShimRecord *record, gpointer user_data);

/* The body is stored: the lens that the photograph was taken with comes next. */
static void
stored_from_photo_cb (ShimRecord *record, gpointer user_data)
{
  ShimKitPlace *self = SHIM_KIT_PLACE (user_data);

  stored_cb (record, user_data);
  if (self->photo != NULL)
    shim_kit_photo_propose (GTK_WIDGET (self), self->workspace, self->photo, TRUE, proposed_cb, self);
}

static void
proposed_cb (ShimRecord *record, gpointer user_data)
{
  ShimKitPlace *self = SHIM_KIT_PLACE (user_data);

  if (record->id != NULL)
    shim_kit_place_open_item (self, shim_record_get_kind (record)->name, record->id);
  else
    shim_item_editor_show (GTK_WIDGET (self), self->workspace, record, stored_from_photo_cb);
}

/* One photograph leads to the items that took it; of several all that is new is added together. */
static void
read_photos (ShimKitPlace *self, GSList *files)
{
  g_autoptr (GStrvBuilder) paths = g_strv_builder_new ();
  g_auto (GStrv) strv = NULL;

  if (files->next == NULL)
    {
      g_set_object (&self->photo, G_FILE (files->data));
      shim_kit_photo_propose (GTK_WIDGET (self), self->workspace, self->photo, FALSE, proposed_cb, self);
      return;
    }
  for (GSList *link = files; link != NULL; link = link->next)
    if (g_file_peek_path (G_FILE (link->data)) != NULL)
      g_strv_builder_add (paths, g_file_peek_path (G_FILE (link->data)));
  strv = g_strv_builder_end (paths);
  shim_gather_dialog_show (GTK_WIDGET (self), self->workspace, (const char *const *) strv);
}

static void
photo_chosen_cb (GListModel *files, gpointer user_data)
{
  ShimKitPlace *self = SHIM_KIT_PLACE (user_data);
  GSList *list = NULL;

  for (guint i = g_list_model_get_n_items (files); i > 0; i--)
    list = g_slist_prepend (list, g_list_model_get_item (files, i - 1));
  read_photos (self, list);
  g_slist_free_full (list, g_object_unref);
}

static void
add_from_photo_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_choose_photographs (widget, _ ("Items from Photographs"), photo_chosen_cb, widget);
}

static void
import_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimKitPlace *self = SHIM_KIT_PLACE (widget);

  shim_import_dialog_choose (widget, self->workspace, kind_names[self->kind]);
}

static void
show_mounts_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_mounts_dialog_show (widget, SHIM_KIT_PLACE (widget)->workspace);
}

static gboolean
dropped_cb (GtkDropTarget *target, const GValue *value, double x, double y, ShimKitPlace *self)
{
  GSList *files = g_value_get_boxed (value);

  if (files == NULL)
    return FALSE;
  read_photos (self, files);
  return TRUE;
}

static void
show_archived_changed_cb (ShimKitPlace *self)
{
  for (guint i = 0; i < N_KINDS; i++)
    {
      g_autoptr (ShimQuery) query = shim_query_new ();

      shim_query_add_order (query, "label", FALSE);
      shim_query_set_include_archived (query, self->show_archived);
      shim_query_set_search (query, shim_record_list_get_search (self->records[i]));
      shim_record_list_set_query (self->records[i], query);
    }
}

/**
 * shim_kit_place_search:
 * @self: the place
 *
 * Puts the cursor into the search.
 */
void
shim_kit_place_search (ShimKitPlace *self)
{
  g_return_if_fail (SHIM_IS_KIT_PLACE (self));

  gtk_widget_grab_focus (GTK_WIDGET (self->search_entry));
}

/**
 * shim_kit_place_open_item:
 * @self: the place
 * @kind: "body", "lens", "converter" or "adapter"
 * @id: of the item
 */
void
shim_kit_place_open_item (ShimKitPlace *self, const char *kind, const char *id)
{
  g_return_if_fail (SHIM_IS_KIT_PLACE (self));

  for (guint i = 0; i < N_KINDS; i++)
    if (g_str_equal (kind_names[i], kind))
      {
        g_free (self->wanted_id);
        self->wanted_id = g_strdup (id);
        gtk_editable_set_text (GTK_EDITABLE (self->search_entry), "");
        if (i != self->kind)
          show_kind (self, i);
        else
          select_wanted (self);
        if (!self->show_archived)
          shim_reveal_archived (GTK_WIDGET (self), self->workspace, kind, id);
      }
}

enum
{
  PROP_SHOW_ARCHIVED = 1,
};

static void
shim_kit_place_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  g_value_set_boolean (value, SHIM_KIT_PLACE (object)->show_archived);
}

static void
shim_kit_place_set_property (GObject *object, guint id, const GValue *value, GParamSpec *pspec)
{
  ShimKitPlace *self = SHIM_KIT_PLACE (object);

  self->show_archived = g_value_get_boolean (value);
  if (self->workspace != NULL)
    show_archived_changed_cb (self);
}

/* Where one goes on by key: the list, or the search while it is empty, or the first step while there is no kit at all. */
static gboolean
shim_kit_place_grab_focus (GtkWidget *widget)
{
  ShimKitPlace *self = SHIM_KIT_PLACE (widget);

  if (g_str_equal (gtk_stack_get_visible_child_name (self->list_stack), "list"))
    return gtk_widget_grab_focus (GTK_WIDGET (self->list));
  if (g_strcmp0 (gtk_stack_get_visible_child_name (self->page_stack), "first-step") == 0)
    return gtk_widget_child_focus (GTK_WIDGET (self->page_stack), GTK_DIR_TAB_FORWARD);
  return gtk_widget_grab_focus (GTK_WIDGET (self->search_entry));
}

static void
shim_kit_place_dispose (GObject *object)
{
  ShimKitPlace *self = SHIM_KIT_PLACE (object);

  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_KIT_PLACE);
  for (guint i = 0; i < N_KINDS; i++)
    g_clear_object (&self->records[i]);
  g_clear_object (&self->growing);
  g_clear_object (&self->photo);
  g_clear_object (&self->selection);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->wanted_id, g_free);
  G_OBJECT_CLASS (shim_kit_place_parent_class)->dispose (object);
}

static void
shim_kit_place_class_init (ShimKitPlaceClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = shim_kit_place_dispose;
  widget_class->grab_focus = shim_kit_place_grab_focus;
  object_class->get_property = shim_kit_place_get_property;
  object_class->set_property = shim_kit_place_set_property;
  g_object_class_install_property (object_class, PROP_SHOW_ARCHIVED,
                                   g_param_spec_boolean ("show-archived", NULL, NULL, FALSE,
                                                         G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS));

  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/kit/shim-kit-place.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimKitPlace, adapters_button);
  gtk_widget_class_bind_template_child (widget_class, ShimKitPlace, bodies_button);
  gtk_widget_class_bind_template_child (widget_class, ShimKitPlace, converters_button);
  gtk_widget_class_bind_template_child (widget_class, ShimKitPlace, count_label);
  gtk_widget_class_bind_template_child (widget_class, ShimKitPlace, lenses_button);
  gtk_widget_class_bind_template_child (widget_class, ShimKitPlace, list);
  gtk_widget_class_bind_template_child (widget_class, ShimKitPlace, list_stack);
  gtk_widget_class_bind_template_child (widget_class, ShimKitPlace, page_stack);
  gtk_widget_class_bind_template_child (widget_class, ShimKitPlace, search_entry);
  gtk_widget_class_bind_template_callback (widget_class, kind_toggled_cb);
  gtk_widget_class_bind_template_callback (widget_class, search_changed_cb);
  gtk_widget_class_install_action (widget_class, "kit.add", "s", add_cb);
  gtk_widget_class_install_action (widget_class, "kit.add-from-photo", NULL, add_from_photo_cb);
  gtk_widget_class_install_action (widget_class, "kit.import", NULL, import_cb);
  gtk_widget_class_install_action (widget_class, "kit.show-mounts", NULL, show_mounts_cb);
  gtk_widget_class_install_action (widget_class, "kit.show-kind", "s", show_kind_cb);
  gtk_widget_class_install_property_action (widget_class, "kit.show-archived", "show-archived");
}

static void
shim_kit_place_init (ShimKitPlace *self)
{
  GtkDropTarget *drop = gtk_drop_target_new (GDK_TYPE_FILE_LIST, GDK_ACTION_COPY);
  g_autoptr (GtkListItemFactory) factory = NULL;

  gtk_widget_init_template (GTK_WIDGET (self));
  shim_search_escape_add (self->search_entry);
  shim_list_keys_add (GTK_WIDGET (self->list));
  shim_list_keys_select_on_activate (self->list);
  factory = shim_record_rows_new (self->list);
  gtk_list_view_set_factory (self->list, factory);
  g_signal_connect (drop, "drop", G_CALLBACK (dropped_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (drop));
}

/**
 * shim_kit_place_new:
 * @workspace: the register to show
 *
 * Returns: (transfer floating): the place Kit
 */
GtkWidget *
shim_kit_place_new (ShimWorkspace *workspace)
{
  ShimKitPlace *self = g_object_new (SHIM_TYPE_KIT_PLACE, NULL);

  self->workspace = g_object_ref (workspace);
  for (guint i = 0; i < N_KINDS; i++)
    self->records[i] = records_new (self, i);
  self->page = SHIM_ITEM_PAGE (shim_item_page_new (workspace));
  gtk_stack_add_child (self->page_stack, GTK_WIDGET (self->page));
  self->growing = shim_growing_list_new (self->list);
  self->selection = gtk_single_selection_new (g_object_ref (G_LIST_MODEL (self->growing)));
  gtk_single_selection_set_autoselect (self->selection, FALSE);
  gtk_single_selection_set_can_unselect (self->selection, FALSE);
  g_signal_connect_object (self->selection, "notify::selected", G_CALLBACK (show_selected), self, G_CONNECT_SWAPPED);
  gtk_list_view_set_model (self->list, GTK_SELECTION_MODEL (self->selection));
  show_kind (self, 0);
  return GTK_WIDGET (self);
}
