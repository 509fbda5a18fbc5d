/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-growing-list.h"
#include "shim-list-keys.h"
#include "shim-list-scroll.h"
#include "shim-ops-test.h"
#include "shim-pair-filters.h"
#include "shim-pair-list.h"
#include "shim-pair-matrix.h"
#include "shim-pair-page.h"
#include "shim-pair-rows.h"
#include "shim-pairs-place.h"

struct _ShimPairsPlace
{
  GtkBox parent_instance;

  /* Template widgets */
  ShimPairFilters *filters;
  GtkLabel *hint_label;
  GtkListView *list;
  AdwStatusPage *nothing_page;
  GtkStack *stack;
  GtkToggleButton *table_button;
  GtkScrolledWindow *table_window;
  GtkStack *view_stack;

  /* Owned */
  ShimWorkspace *workspace;
  ShimPairGrid *grid;
  ShimPairList *pairs;

  /* Borrowed */
  ShimPairPage *page;
};

G_DEFINE_FINAL_TYPE (ShimPairsPlace, shim_pairs_place, GTK_TYPE_BOX)

/* The list has only the pairs that somebody began: of the others the register knows nothing but that they fit. */
static void
update_words (ShimPairsPlace *self, gboolean as_table, gboolean is_any)
{
  gtk_widget_set_visible (GTK_WIDGET (self->hint_label), is_any);
  gtk_label_set_label (self->hint_label, as_table ? _ ("Arrows move, Enter opens a pair")
                                                  : _ ("Arrows move, Enter opens a pair. Pairs that nobody began yet stand in the table."));
  adw_status_page_set_description (self->nothing_page,
                                   as_table ? _ ("No pair answers to this search or filter.")
                                            : _ ("No pair that was begun answers to this search or filter. Pairs that nobody "
                                                 "began yet stand in the table."));
}

static void
update_view (ShimPairsPlace *self)
{
  gboolean as_table = gtk_toggle_button_get_active (self->table_button);
  guint n_lenses, n_bodies;
  const char *name = as_table ? "table" : "list";

  if (self->grid == NULL)
    return;
  n_lenses = g_list_model_get_n_items (G_LIST_MODEL (shim_pair_grid_get_lenses (self->grid)));
  n_bodies = g_list_model_get_n_items (G_LIST_MODEL (shim_pair_grid_get_bodies (self->grid)));
  if (n_lenses == 0 || n_bodies == 0)
    name = shim_pair_filters_is_any (self->filters) ? "nothing" : "empty";
  else if (!as_table && g_list_model_get_n_items (G_LIST_MODEL (self->pairs)) == 0)
    name = "nothing";
  gtk_stack_set_visible_child_name (self->view_stack, name);
  update_words (self, as_table || n_lenses == 0 || n_bodies == 0, g_str_equal (name, "table") || g_str_equal (name, "list"));
}

static void
view_toggled_cb (ShimPairsPlace *self)
{
  update_view (self);
}

static void
filters_changed_cb (ShimPairsPlace *self)
{
  ShimPairFilter filter;

  if (self->grid == NULL)
    return;
  shim_pair_filters_get (self->filters, &filter);
  shim_list_show_first (self->list);
  shim_pair_list_set_filter (self->pairs, &filter);
  shim_pair_grid_set_filter (self->grid, &filter);
  update_view (self);
}

static void
show_all_cb (ShimPairsPlace *self)
{
  shim_pair_filters_clear (self->filters);
}

typedef struct
{
  char *body;
  char *lens;
} PairKey;

static void
pair_key_free (PairKey *key)
{
  g_free (key->body);
  g_free (key->lens);
  g_free (key);
}

static gpointer
find_pair_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const PairKey *key = data;

  return shim_ops_test_find_pair (reg, key->body, key->lens, NULL, TRUE, error);
}

static void
pair_found_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimPairsPlace) self = SHIM_PAIRS_PLACE (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) pair = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (pair != NULL)
    shim_pairs_place_open (self, pair->id);
  else
    shim_show_error (GTK_WIDGET (self), _ ("This Pair Cannot Be Shown"), error);
}

static void
opened_cb (ShimPairMatrix *matrix, guint row, guint column, ShimPairsPlace *self)
{
  const ShimPairNow *now = shim_pair_grid_get_cell (self->grid, row, column);
  PairKey *key;

  if (now != NULL && now->pair != NULL)
    {
      shim_pairs_place_open (self, now->pair);
      return;
    }
  key = g_new (PairKey, 1);
  *key = (PairKey) { g_strdup (shim_record_list_get_id (shim_pair_grid_get_bodies (self->grid), column)),
                     g_strdup (shim_record_list_get_id (shim_pair_grid_get_lenses (self->grid), row)) };
  shim_workspace_call_async (self->workspace, find_pair_func, key, (GDestroyNotify) pair_key_free, g_object_unref, NULL,
                             pair_found_cb, g_object_ref (self));
}

static void
list_activated_cb (GtkListView *list, guint position, ShimPairsPlace *self)
{
  g_autoptr (ShimPairItem) item = g_list_model_get_item (G_LIST_MODEL (self->pairs), position);

  if (item != NULL)
    shim_pairs_place_open (self, shim_pair_item_get_now (item)->pair);
}

static void
leave_cb (ShimPairsPlace *self)
{
  gtk_stack_set_visible_child_name (self->stack, "all");
  gtk_widget_grab_focus (gtk_scrolled_window_get_child (self->table_window));
}

/**
 * shim_pairs_place_search:
 * @self: the place
 *
 * Puts the cursor into the search of lenses.
 */
void
shim_pairs_place_search (ShimPairsPlace *self)
{
  g_return_if_fail (SHIM_IS_PAIRS_PLACE (self));

  gtk_stack_set_visible_child_name (self->stack, "all");
  shim_pair_filters_search (self->filters);
}

/**
 * shim_pairs_place_open:
 * @self: the place
 * @pair: id of a pair
 *
 * Shows the page of a pair.
 */
void
shim_pairs_place_open (ShimPairsPlace *self, const char *pair)
{
  g_return_if_fail (SHIM_IS_PAIRS_PLACE (self));

  shim_pair_page_show (self->page, pair);
  gtk_stack_set_visible_child (self->stack, GTK_WIDGET (self->page));
}

static gboolean
shim_pairs_place_grab_focus (GtkWidget *widget)
{
  ShimPairsPlace *self = SHIM_PAIRS_PLACE (widget);

  if (gtk_stack_get_visible_child (self->stack) == GTK_WIDGET (self->page))
    return gtk_widget_child_focus (GTK_WIDGET (self->page), GTK_DIR_TAB_FORWARD);
  if (gtk_toggle_button_get_active (self->table_button))
    return gtk_widget_grab_focus (gtk_scrolled_window_get_child (self->table_window));
  return gtk_widget_grab_focus (GTK_WIDGET (self->list));
}

static void
shim_pairs_place_dispose (GObject *object)
{
  ShimPairsPlace *self = SHIM_PAIRS_PLACE (object);

  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_PAIRS_PLACE);
  g_clear_object (&self->pairs);
  g_clear_object (&self->grid);
  g_clear_object (&self->workspace);
  G_OBJECT_CLASS (shim_pairs_place_parent_class)->dispose (object);
}

static void
shim_pairs_place_class_init (ShimPairsPlaceClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_pairs_place_dispose;
  widget_class->grab_focus = shim_pairs_place_grab_focus;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/pairs/shim-pairs-place.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimPairsPlace, filters);
  gtk_widget_class_bind_template_child (widget_class, ShimPairsPlace, hint_label);
  gtk_widget_class_bind_template_child (widget_class, ShimPairsPlace, list);
  gtk_widget_class_bind_template_child (widget_class, ShimPairsPlace, nothing_page);
  gtk_widget_class_bind_template_child (widget_class, ShimPairsPlace, stack);
  gtk_widget_class_bind_template_child (widget_class, ShimPairsPlace, table_button);
  gtk_widget_class_bind_template_child (widget_class, ShimPairsPlace, table_window);
  gtk_widget_class_bind_template_child (widget_class, ShimPairsPlace, view_stack);
  gtk_widget_class_bind_template_callback (widget_class, filters_changed_cb);
  gtk_widget_class_bind_template_callback (widget_class, list_activated_cb);
  gtk_widget_class_bind_template_callback (widget_class, show_all_cb);
  gtk_widget_class_bind_template_callback (widget_class, view_toggled_cb);
}

static void
shim_pairs_place_init (ShimPairsPlace *self)
{
  g_type_ensure (SHIM_TYPE_PAIR_FILTERS);
  gtk_widget_init_template (GTK_WIDGET (self));
  shim_list_keys_add (GTK_WIDGET (self->list));
}

static void
show_list (ShimPairsPlace *self)
{
  g_autoptr (GtkListItemFactory) factory = shim_pair_rows_new (self->list);
  g_autoptr (GtkSingleSelection) selection = NULL;
  ShimGrowingList *growing = shim_growing_list_new (self->list);
  const ShimPairFilter filter = { .order = SHIM_PAIR_ORDER_WORST };

  self->pairs = shim_pair_list_new (self->workspace, &filter);
  shim_growing_list_set_model (growing, G_LIST_MODEL (self->pairs));
  selection = gtk_single_selection_new (G_LIST_MODEL (growing));
  gtk_list_view_set_factory (self->list, factory);
  gtk_list_view_set_model (self->list, GTK_SELECTION_MODEL (selection));
  g_signal_connect_object (self->pairs, "notify::n-items", G_CALLBACK (update_view), self, G_CONNECT_SWAPPED);
}

/**
 * shim_pairs_place_new:
 * @workspace: the register to show
 *
 * Returns: (transfer floating): the place Pairs
 */
GtkWidget *
shim_pairs_place_new (ShimWorkspace *workspace)
{
  ShimPairsPlace *self = g_object_new (SHIM_TYPE_PAIRS_PLACE, NULL);
  GtkWidget *matrix;

  self->workspace = g_object_ref (workspace);
  self->page = SHIM_PAIR_PAGE (shim_pair_page_new (workspace));
  g_signal_connect_object (self->page, "leave", G_CALLBACK (leave_cb), self, G_CONNECT_SWAPPED);
  gtk_stack_add_child (self->stack, GTK_WIDGET (self->page));
  show_list (self);
  self->grid = shim_pair_grid_new (workspace);
  matrix = shim_pair_matrix_new (self->grid);
  g_signal_connect_object (matrix, "opened", G_CALLBACK (opened_cb), self, 0);
  gtk_scrolled_window_set_child (self->table_window, matrix);
  g_signal_connect_object (self->grid, "cells-changed", G_CALLBACK (update_view), self, G_CONNECT_SWAPPED);
  shim_pair_filters_set_workspace (self->filters, workspace);
  update_view (self);
  return GTK_WIDGET (self);
}
