/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>

#include "shim-growing-list.h"
#include "shim-lazy-rows.h"

/* Long lists: shown from their beginning, complete soon, and let go of without a trace. */

#define N_ITEMS 5000

static guint n_labels; /* that are alive */

static void
label_gone_cb (gpointer data, GObject *where_it_was)
{
  n_labels--;
}

static void
build_row (GtkBox *row)
{
  GtkWidget *label = gtk_label_new (NULL);

  n_labels++;
  g_object_weak_ref (G_OBJECT (label), label_gone_cb, NULL);
  gtk_box_append (row, label);
}

static void
fill_row (GtkListItem *item, GtkWidget *row)
{
  gtk_label_set_label (GTK_LABEL (gtk_widget_get_first_child (row)), gtk_string_object_get_string (gtk_list_item_get_item (item)));
}

static const ShimRowFuncs row_funcs = { build_row, fill_row, NULL };

/* --- the model by itself --- */

static guint next_number;

static void
splice (GListStore *store, guint position, guint removed, guint added)
{
  g_autoptr (GPtrArray) fresh = g_ptr_array_new_with_free_func (g_object_unref);

  for (guint i = 0; i < added; i++)
    {
      g_autofree char *text = g_strdup_printf ("Row %u", next_number++);

      g_ptr_array_add (fresh, gtk_string_object_new (text));
    }
  g_list_store_splice (store, position, removed, fresh->pdata, added);
}

/* Keeps to what it is told. */
static void
mirror_cb (GListModel *list, guint position, guint removed, guint added, GListStore *mirror)
{
  g_autoptr (GPtrArray) fresh = g_ptr_array_new_with_free_func (g_object_unref);

  for (guint i = 0; i < added; i++)
    g_ptr_array_add (fresh, g_list_model_get_item (list, position + i));
  g_list_store_splice (mirror, position, removed, fresh->pdata, added);
}

static void
assert_same_beginning (GListModel *part, GListModel *whole)
{
  g_assert_cmpuint (g_list_model_get_n_items (part), <=, g_list_model_get_n_items (whole));
  for (guint i = 0; i < g_list_model_get_n_items (part); i++)
    {
      g_autoptr (GObject) mine = g_list_model_get_item (part, i), other = g_list_model_get_item (whole, i);

      g_assert_true (mine == other);
    }
}

static void
test_changes (void)
{
  GtkWidget *list = g_object_ref_sink (gtk_list_view_new (NULL, NULL));
  g_autoptr (ShimGrowingList) growing = shim_growing_list_new (GTK_LIST_VIEW (list));
  g_autoptr (GListStore) store = g_list_store_new (GTK_TYPE_STRING_OBJECT), mirror = g_list_store_new (GTK_TYPE_STRING_OBJECT);

  g_signal_connect (growing, "items-changed", G_CALLBACK (mirror_cb), mirror);
  shim_growing_list_set_model (growing, G_LIST_MODEL (store));
  for (guint i = 0; i < 400; i++)
    {
      const guint n = g_list_model_get_n_items (G_LIST_MODEL (store));
      const guint position = (guint) g_test_rand_int_range (0, (int) n + 1);
      const guint removed = (guint) g_test_rand_int_range (0, (int) (n - position) + 1);

      splice (store, position, i % 4 == 0 ? removed : MIN (removed, 3), (guint) g_test_rand_int_range (0, i % 5 == 0 ? 200 : 4));
      if (i % 50 == 49)
        shim_growing_list_show_all (growing);
      g_assert_cmpuint (g_list_model_get_n_items (G_LIST_MODEL (growing)), ==, g_list_model_get_n_items (G_LIST_MODEL (mirror)));
      assert_same_beginning (G_LIST_MODEL (mirror), G_LIST_MODEL (store));
      if (g_list_model_get_n_items (G_LIST_MODEL (store)) > 0)
        g_assert_cmpuint (g_list_model_get_n_items (G_LIST_MODEL (growing)), >, 0);
    }
  g_object_unref (list);
}

/* --- in a window --- */

typedef struct
{
  GtkWidget *window;
  GtkWidget *scrolled;
  GtkListView *list;
  ShimGrowingList *growing;
  GListStore *store;
  GtkSingleSelection *selection;
  guint n_frames;
} Fixture;

static void
painted_cb (Fixture *self)
{
  self->n_frames++;
}

static void
set_up (Fixture *self, gconstpointer data)
{
  g_autoptr (GtkListItemFactory) factory = NULL;

  self->store = g_list_store_new (GTK_TYPE_STRING_OBJECT);
  splice (self->store, 0, 0, N_ITEMS);
  self->list = GTK_LIST_VIEW (gtk_list_view_new (NULL, NULL));
  self->growing = shim_growing_list_new (self->list);
  shim_growing_list_set_model (self->growing, G_LIST_MODEL (self->store));
  self->selection = gtk_single_selection_new (g_object_ref (G_LIST_MODEL (self->growing)));
  gtk_single_selection_set_autoselect (self->selection, FALSE);
  factory = shim_lazy_rows_new (self->list, &row_funcs);
  gtk_list_view_set_factory (self->list, factory);
  gtk_list_view_set_model (self->list, GTK_SELECTION_MODEL (self->selection));
  self->scrolled = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (self->scrolled), GTK_WIDGET (self->list));
  self->window = gtk_window_new ();
  gtk_window_set_default_size (GTK_WINDOW (self->window), 300, 600);
  gtk_window_set_child (GTK_WINDOW (self->window), self->scrolled);
  gtk_window_present (GTK_WINDOW (self->window));
  g_signal_connect_swapped (gtk_widget_get_frame_clock (self->window), "after-paint", G_CALLBACK (painted_cb), self);
}

static void
tear_down (Fixture *self, gconstpointer data)
{
  gtk_window_destroy (GTK_WINDOW (self->window));
  g_object_unref (self->selection);
  g_object_unref (self->growing);
  g_object_unref (self->store);
  while (n_labels > 0)
    g_main_context_iteration (NULL, TRUE);
}

static guint
n_shown (Fixture *self)
{
  return g_list_model_get_n_items (G_LIST_MODEL (self->growing));
}

static void
wait_until_complete (Fixture *self)
{
  while (n_shown (self) < g_list_model_get_n_items (G_LIST_MODEL (self->store)))
    g_main_context_iteration (NULL, TRUE);
}

static void
wait_for_frame (Fixture *self)
{
  const guint before = self->n_frames;

  while (self->n_frames == before)
    g_main_context_iteration (NULL, TRUE);
}

static void
test_growing (Fixture *self, gconstpointer data)
{
  wait_for_frame (self);
  g_assert_cmpuint (n_shown (self), >, 10);
  g_assert_cmpuint (n_shown (self), <, 100);
  wait_until_complete (self);
  /* Half a second at sixty a second. */
  g_assert_cmpuint (self->n_frames, <, 30);

  /* Another list begins at its beginning, too; what comes at its end waits. */
  splice (self->store, 0, N_ITEMS, 32);
  splice (self->store, 32, 0, N_ITEMS);
  wait_for_frame (self);
  g_assert_cmpuint (n_shown (self), <, 100);
  wait_until_complete (self);
}

/* Neither does the beginning slip out of sight because its former first row is found further down. */
static void
test_beginning (Fixture *self, gconstpointer data)
{
  GtkAdjustment *adjustment = gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (self->scrolled));
  g_autoptr (GObject) first = g_list_model_get_item (G_LIST_MODEL (self->store), 0);
  g_autoptr (GPtrArray) rows = g_ptr_array_new_with_free_func (g_object_unref);

  wait_until_complete (self);
  for (guint i = 0; i < 50; i++)
    g_ptr_array_add (rows, i == 10 ? g_object_ref (first) : G_OBJECT (gtk_string_object_new ("Another")));
  g_list_store_splice (self->store, 0, N_ITEMS, rows->pdata, rows->len);
  wait_for_frame (self);
  wait_for_frame (self);
  g_assert_cmpfloat (gtk_adjustment_get_value (adjustment), ==, 0.0);
}

/* Who has scrolled is not to meet an end that is none. */
static void
test_scrolled (Fixture *self, gconstpointer data)
{
  wait_for_frame (self);
  g_assert_cmpuint (n_shown (self), <, N_ITEMS);
  gtk_adjustment_set_value (gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (self->scrolled)), 40.0);
  wait_for_frame (self);
  wait_for_frame (self);
  g_assert_cmpuint (n_shown (self), ==, N_ITEMS);
}

static void
test_far_row (Fixture *self, gconstpointer data)
{
  GtkAdjustment *adjustment = gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (self->scrolled));
  g_autoptr (GObject) wanted = g_list_model_get_item (G_LIST_MODEL (self->store), N_ITEMS - 1);

  wait_for_frame (self);
  shim_growing_list_show_all (self->growing);
  gtk_single_selection_set_selected (self->selection, N_ITEMS - 1);
  g_assert_true (gtk_single_selection_get_selected_item (self->selection) == wanted);
  gtk_widget_activate_action (GTK_WIDGET (self->list), "list.scroll-to-item", "u", N_ITEMS - 1);
  while (gtk_adjustment_get_value (adjustment) < 1000.0)
    g_main_context_iteration (NULL, TRUE);

  /* It stays selected while rows before it come and go, and while all others are exchanged. */
  splice (self->store, 10, 5, 300);
  g_assert_true (gtk_single_selection_get_selected_item (self->selection) == wanted);
  splice (self->store, 0, g_list_model_get_n_items (G_LIST_MODEL (self->store)) - 1, N_ITEMS);
  g_assert_true (gtk_single_selection_get_selected_item (self->selection) == wanted);
  g_assert_cmpuint (gtk_single_selection_get_selected (self->selection), ==, N_ITEMS);
}

/* Rows are freed behind, and there are never more than the list needs at a time. */
static void
test_rows_are_freed (Fixture *self, gconstpointer data)
{
  wait_until_complete (self);
  while (n_labels < 100)
    g_main_context_iteration (NULL, TRUE);
  for (guint i = 0; i < 5; i++)
    {
      splice (self->store, 0, g_list_model_get_n_items (G_LIST_MODEL (self->store)), 20);
      wait_for_frame (self);
    }
  while (n_labels > 20)
    g_main_context_iteration (NULL, TRUE);
}

int
main (int argc, char *argv[])
{
  gtk_test_init (&argc, &argv, NULL);
  adw_init ();
  g_test_add_func ("/window/list-rows/changes", test_changes);
  g_test_add ("/window/list-rows/growing", Fixture, NULL, set_up, test_growing, tear_down);
  g_test_add ("/window/list-rows/beginning", Fixture, NULL, set_up, test_beginning, tear_down);
  g_test_add ("/window/list-rows/scrolled", Fixture, NULL, set_up, test_scrolled, tear_down);
  g_test_add ("/window/list-rows/far-row", Fixture, NULL, set_up, test_far_row, tear_down);
  g_test_add ("/window/list-rows/rows-are-freed", Fixture, NULL, set_up, test_rows_are_freed, tear_down);
  return g_test_run ();
}
