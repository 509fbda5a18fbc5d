/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-growing-list.h"
#include "shim-kinds.h"
#include "shim-list-keys.h"
#include "shim-list-scroll.h"
#include "shim-record-picker.h"
#include "shim-record-rows.h"
#include "shim-search-escape.h"

struct _ShimRecordPicker
{
  GtkBox parent_instance;

  /* Template widgets */
  GtkLabel *count_label;
  GtkListView *list;
  GtkSearchEntry *search_entry;
  GtkStack *stack;

  /* Owned */
  ShimWorkspace *workspace;
  ShimRecordList *records;
  ShimGrowingList *growing;
  GtkSingleSelection *selection;
  gboolean of_jobs;
  char *order_field;
  gboolean descending;
  gboolean archived;
  char *left_out;
  char *wanted_id;
  char *selected_id;
};

enum
{
  PROP_SELECTED_ID = 1,
  PROP_N_ITEMS,
  N_PROPS,
};

static GParamSpec *props[N_PROPS];

G_DEFINE_FINAL_TYPE (ShimRecordPicker, shim_record_picker, GTK_TYPE_BOX)

static guint
n_items (ShimRecordPicker *self)
{
  return self->records != NULL ? g_list_model_get_n_items (G_LIST_MODEL (self->records)) : 0;
}

static gboolean
is_searching (ShimRecordPicker *self)
{
  return self->records != NULL && *shim_record_list_get_search (self->records) != '\0';
}

static void
update_selected (ShimRecordPicker *self)
{
  guint position = gtk_single_selection_get_selected (self->selection);
  const char *id = position != GTK_INVALID_LIST_POSITION ? shim_record_list_get_id (self->records, position) : NULL;

  if (g_strcmp0 (id, self->selected_id) == 0)
    return;
  g_free (self->selected_id);
  self->selected_id = g_strdup (id);
  g_object_notify_by_pspec (G_OBJECT (self), props[PROP_SELECTED_ID]);
}

/* An item that was just stored is not in the list yet: it is selected once it arrives. */
static void
select_wanted (ShimRecordPicker *self)
{
  guint position;

  if (self->wanted_id == NULL || self->records == NULL || !shim_record_list_find (self->records, self->wanted_id, &position))
    return;
  g_clear_pointer (&self->wanted_id, g_free);
  shim_growing_list_show_all (self->growing);
  gtk_single_selection_set_selected (self->selection, position);
  shim_list_show_selected_later (self->list, self->workspace);
}

static void
update_count (ShimRecordPicker *self)
{
  guint n = n_items (self);
  g_autofree char *text = g_strdup_printf (self->of_jobs ? ngettext ("%u job", "%u jobs", n) : ngettext ("%u item", "%u items", n), n);

  /* While the rest of a long list is on its way its length is not known. */
  gtk_label_set_label (self->count_label, n > 0 && !shim_record_list_is_loading (self->records) ? text : "");
}

static void
n_items_changed_cb (ShimRecordPicker *self)
{
  update_count (self);
  gtk_stack_set_visible_child_name (self->stack, n_items (self) > 0 ? "list" : is_searching (self) ? "nothing-found" : "none");
  select_wanted (self);
  update_selected (self);
  g_object_notify_by_pspec (G_OBJECT (self), props[PROP_N_ITEMS]);
}

static void
loaded_cb (ShimRecordPicker *self)
{
  if (self->records != NULL && !shim_record_list_is_loading (self->records))
    update_count (self);
}

static void
search_changed_cb (GtkSearchEntry *entry, ShimRecordPicker *self)
{
  if (self->records == NULL)
    return;
  shim_list_show_first (self->list);
  shim_record_list_set_search (self->records, gtk_editable_get_text (GTK_EDITABLE (entry)));
}

static ShimQuery *
query_new (ShimRecordPicker *self)
{
  ShimQuery *query = shim_query_new ();

  shim_query_add_order (query, self->order_field, self->descending);
  shim_query_set_include_archived (query, self->archived);
  shim_query_leave_out (query, self->left_out);
  shim_query_set_search (query, gtk_editable_get_text (GTK_EDITABLE (self->search_entry)));
  return query;
}

/**
 * shim_record_picker_set_kind:
 * @self: a picker
 * @workspace: the register
 * @kind: "body", "lens", …
 * @order_field: field to sort by
 * @descending: whether the greatest comes first
 */
void
shim_record_picker_set_kind (ShimRecordPicker *self, ShimWorkspace *workspace, const char *kind, const char *order_field,
                             gboolean descending)
{
  g_autoptr (ShimQuery) query = NULL;

  g_return_if_fail (SHIM_IS_RECORD_PICKER (self));

  if (self->records != NULL)
    g_signal_handlers_disconnect_by_data (self->records, self);
  g_clear_object (&self->records);
  g_set_object (&self->workspace, workspace);
  g_free (self->order_field);
  self->order_field = g_strdup (order_field);
  self->descending = descending;
  self->of_jobs = g_str_equal (kind, "job");
  query = query_new (self);
  self->records = shim_record_list_new (workspace, shim_kind_type_from_name (kind), query);
  g_signal_connect_object (self->records, "notify::n-items", G_CALLBACK (n_items_changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->records, "notify::loading", G_CALLBACK (loaded_cb), self, G_CONNECT_SWAPPED);
  shim_growing_list_set_model (self->growing, G_LIST_MODEL (self->records));
  n_items_changed_cb (self);
}

/**
 * shim_record_picker_set_archived:
 * @self: a picker
 * @archived: whether archived records are shown too
 */
void
shim_record_picker_set_archived (ShimRecordPicker *self, gboolean archived)
{
  g_autoptr (ShimQuery) query = NULL;

  g_return_if_fail (SHIM_IS_RECORD_PICKER (self));

  self->archived = archived;
  if (self->records == NULL)
    return;
  query = query_new (self);
  shim_record_list_set_query (self->records, query);
}

/**
 * shim_record_picker_leave_out:
 * @self: a picker that has no kind yet
 * @id: of a record that is not offered
 */
void
shim_record_picker_leave_out (ShimRecordPicker *self, const char *id)
{
  g_return_if_fail (SHIM_IS_RECORD_PICKER (self));
  g_return_if_fail (self->records == NULL);

  g_free (self->left_out);
  self->left_out = g_strdup (id);
}

/**
 * shim_record_picker_get_selected_id:
 * @self: a picker
 *
 * Returns: (nullable) (transfer none): id of the selected record
 */
const char *
shim_record_picker_get_selected_id (ShimRecordPicker *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD_PICKER (self), NULL);

  return self->selected_id;
}

/**
 * shim_record_picker_select:
 * @self: a picker
 * @id: of a record, perhaps one that is still on its way into the list
 */
void
shim_record_picker_select (ShimRecordPicker *self, const char *id)
{
  g_return_if_fail (SHIM_IS_RECORD_PICKER (self));

  g_free (self->wanted_id);
  self->wanted_id = g_strdup (id);
  gtk_editable_set_text (GTK_EDITABLE (self->search_entry), "");
  select_wanted (self);
}

/**
 * shim_record_picker_search:
 * @self: a picker
 *
 * Puts the cursor into the search.
 */
void
shim_record_picker_search (ShimRecordPicker *self)
{
  g_return_if_fail (SHIM_IS_RECORD_PICKER (self));

  gtk_widget_grab_focus (GTK_WIDGET (self->search_entry));
}

/**
 * shim_record_picker_is_empty:
 * @self: a picker
 *
 * Returns: whether there is no record of this kind at all
 */
gboolean
shim_record_picker_is_empty (ShimRecordPicker *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD_PICKER (self), TRUE);

  return n_items (self) == 0 && !is_searching (self);
}

static void
shim_record_picker_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  ShimRecordPicker *self = SHIM_RECORD_PICKER (object);

  if (id == PROP_SELECTED_ID)
    g_value_set_string (value, self->selected_id);
  else
    g_value_set_uint (value, n_items (self));
}

/* Where one goes on by key: the list, or the search while the list is empty. */
static gboolean
shim_record_picker_grab_focus (GtkWidget *widget)
{
  ShimRecordPicker *self = SHIM_RECORD_PICKER (widget);

  return gtk_widget_grab_focus (n_items (self) > 0 ? GTK_WIDGET (self->list) : GTK_WIDGET (self->search_entry));
}

static void
shim_record_picker_dispose (GObject *object)
{
  ShimRecordPicker *self = SHIM_RECORD_PICKER (object);

  if (self->records != NULL)
    g_signal_handlers_disconnect_by_data (self->records, self);
  if (self->selection != NULL)
    g_signal_handlers_disconnect_by_data (self->selection, self);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_RECORD_PICKER);
  g_clear_object (&self->records);
  g_clear_object (&self->workspace);
  g_clear_object (&self->growing);
  g_clear_object (&self->selection);
  g_clear_pointer (&self->order_field, g_free);
  g_clear_pointer (&self->left_out, g_free);
  g_clear_pointer (&self->wanted_id, g_free);
  g_clear_pointer (&self->selected_id, g_free);
  G_OBJECT_CLASS (shim_record_picker_parent_class)->dispose (object);
}

static void
shim_record_picker_class_init (ShimRecordPickerClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = shim_record_picker_dispose;
  object_class->get_property = shim_record_picker_get_property;
  widget_class->grab_focus = shim_record_picker_grab_focus;
  props[PROP_SELECTED_ID] = g_param_spec_string ("selected-id", NULL, NULL, NULL, G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  props[PROP_N_ITEMS] = g_param_spec_uint ("n-items", NULL, NULL, 0, G_MAXUINT, 0, G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, props);

  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/common/shim-record-picker.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimRecordPicker, count_label);
  gtk_widget_class_bind_template_child (widget_class, ShimRecordPicker, list);
  gtk_widget_class_bind_template_child (widget_class, ShimRecordPicker, search_entry);
  gtk_widget_class_bind_template_child (widget_class, ShimRecordPicker, stack);
  gtk_widget_class_bind_template_callback (widget_class, search_changed_cb);
}

static void
shim_record_picker_init (ShimRecordPicker *self)
{
  g_autoptr (GtkListItemFactory) factory = NULL;

  gtk_widget_init_template (GTK_WIDGET (self));
  shim_search_escape_add (self->search_entry);
  shim_list_keys_add (GTK_WIDGET (self->list));
  shim_list_keys_select_on_activate (self->list);
  factory = shim_record_rows_new (self->list);
  gtk_list_view_set_factory (self->list, factory);
  self->growing = shim_growing_list_new (self->list);
  self->selection = gtk_single_selection_new (g_object_ref (G_LIST_MODEL (self->growing)));
  gtk_single_selection_set_autoselect (self->selection, FALSE);
  gtk_single_selection_set_can_unselect (self->selection, FALSE);
  g_signal_connect_object (self->selection, "notify::selected", G_CALLBACK (update_selected), self, G_CONNECT_SWAPPED);
  gtk_list_view_set_model (self->list, GTK_SELECTION_MODEL (self->selection));
}
