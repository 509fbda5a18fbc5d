/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-lazy-rows.h"

/* A GtkListView keeps two hundred rows at hand, however few of them are on the screen. Making and measuring all of them takes longer than
 * anybody wants to wait, so those out of sight stay bare at first and are made while the window has nothing else to do: of a list that is
 * not shown only those that will be seen first. Freeing them takes as long again: rows of former contents wait for that, too. */

/* More than a screen shows; for a list that has no size yet. */
#define ROWS_FIRST 32
/* So many more than are in sight, above and below. */
#define ROWS_BEYOND 4
/* A share of a frame, so that the window goes on meanwhile. */
#define IDLE_US 8000
/* Until one row was measured. */
#define USUAL_HEIGHT_PX 48

#define DATA_KEY "shim-lazy-rows"

typedef struct
{
  GtkListItemFactory *factory; /* that this belongs to */
  GtkListView *list;           /* weak */
  gboolean at_once;
  const ShimRowFuncs *funcs;
  GHashTable *waiting; /* of GtkListItem that are bound but bare */
  GQueue left;         /* of GtkWidget: rows that the list let go of; they are taken again */
  GQueue left_holders; /* of GtkWidget: those that GTK put such rows into */
  guint idle;
  int height_px;
} LazyRows;

static void
lazy_rows_free (gpointer data)
{
  LazyRows *self = data;

  g_clear_weak_pointer (&self->list);
  g_clear_handle_id (&self->idle, g_source_remove);
  g_queue_clear_full (&self->left_holders, g_object_unref);
  g_queue_clear_full (&self->left, g_object_unref);
  g_hash_table_unref (self->waiting);
  g_free (self);
}

/* --- rows that the list let go of --- */

static gboolean
is_shown (LazyRows *self)
{
  return self->list != NULL && gtk_widget_get_mapped (GTK_WIDGET (self->list));
}

static void make_later (LazyRows *self);

/* Takes @widget. */
static void
free_later (LazyRows *self, GQueue *left, GtkWidget *widget)
{
  if (widget == NULL || !is_shown (self))
    {
      g_clear_object (&widget);
      return;
    }
  g_queue_push_tail (left, widget);
  make_later (self);
}

/* Returns whether time was left when all of them were freed. */
static gboolean
free_left (GQueue *left, gint64 until_us)
{
  while (!g_queue_is_empty (left))
    {
      if (g_get_monotonic_time () >= until_us)
        return FALSE;
      g_object_unref (g_queue_pop_head (left));
    }
  return TRUE;
}

/* What frees a widget is that the list lets go of it; holding it puts that off. */
static void
hold (GtkWidget *row)
{
  if (g_object_get_data (G_OBJECT (row), DATA_KEY) == NULL)
    g_object_set_data_full (G_OBJECT (row), DATA_KEY, g_object_ref (gtk_widget_get_parent (row)), g_object_unref);
}

/* --- in sight or not --- */

static double
height_of_rows (LazyRows *self, GtkAdjustment *adjustment)
{
  const guint n = g_list_model_get_n_items (G_LIST_MODEL (gtk_list_view_get_model (self->list)));
  const double known_px = self->height_px > 0 ? self->height_px : USUAL_HEIGHT_PX;
  const double mean_px = n > 0 ? gtk_adjustment_get_upper (adjustment) / n : 0.0;

  /* The list's own height is that of its former contents when these were changed just now. */
  return mean_px > 0.5 * known_px && mean_px < 2.0 * known_px ? mean_px : known_px;
}

static gboolean
is_in_sight (LazyRows *self, guint position)
{
  GtkAdjustment *adjustment = self->list != NULL ? gtk_scrollable_get_vadjustment (GTK_SCROLLABLE (self->list)) : NULL;
  double row_px, first, n_visible;

  if (adjustment == NULL || gtk_list_view_get_model (self->list) == NULL)
    return position < ROWS_FIRST;
  row_px = height_of_rows (self, adjustment);
  first = gtk_adjustment_get_value (adjustment) / row_px;
  n_visible = gtk_adjustment_get_page_size (adjustment) > row_px ? gtk_adjustment_get_page_size (adjustment) / row_px : ROWS_FIRST;
  return position + ROWS_BEYOND >= first && position <= first + n_visible + ROWS_BEYOND;
}

/* --- making a row --- */

static void
show_children (GtkWidget *row, gboolean visible)
{
  for (GtkWidget *child = gtk_widget_get_first_child (row); child != NULL; child = gtk_widget_get_next_sibling (child))
    gtk_widget_set_visible (child, visible);
}

/* Its widgets are kept for the next item; hidden ones cost nothing. */
static void
make_bare (LazyRows *self, GtkWidget *row)
{
  show_children (row, FALSE);
  gtk_widget_set_size_request (row, -1, self->height_px > 0 ? self->height_px : USUAL_HEIGHT_PX);
}

static void
make_row (LazyRows *self, GtkListItem *item)
{
  GtkWidget *row = gtk_list_item_get_child (item);

  if (gtk_widget_get_first_child (row) == NULL)
    self->funcs->build (GTK_BOX (row));
  if (!self->at_once)
    {
      show_children (row, TRUE);
      gtk_widget_set_size_request (row, -1, -1);
    }
  self->funcs->fill (item, row);
  if (self->height_px == 0)
    gtk_widget_measure (row, GTK_ORIENTATION_VERTICAL, -1, NULL, &self->height_px, NULL, NULL);
}

/* Returns whether time was left when all of them were made. */
static gboolean
make_waiting (LazyRows *self, gboolean in_sight, gint64 until_us)
{
  GHashTableIter iter;
  gpointer item;

  g_hash_table_iter_init (&iter, self->waiting);
  while (g_hash_table_iter_next (&iter, &item, NULL))
    {
      if (g_get_monotonic_time () >= until_us)
        return FALSE;
      if (in_sight && !is_in_sight (self, gtk_list_item_get_position (item)))
        continue;
      g_hash_table_iter_remove (&iter);
      make_row (self, item);
    }
  return TRUE;
}

static gboolean
idle_cb (gpointer user_data)
{
  LazyRows *self = user_data;
  const gint64 until_us = g_get_monotonic_time () + IDLE_US;
  /* The last row may be the last to hold it. */
  g_autoptr (GtkListItemFactory) factory = g_object_ref (self->factory);

  if (!make_waiting (self, TRUE, until_us) || !free_left (&self->left_holders, until_us)
      || !free_left (&self->left, until_us) || (is_shown (self) && !make_waiting (self, FALSE, until_us)))
    return G_SOURCE_CONTINUE;
  self->idle = 0;
  return G_SOURCE_REMOVE;
}

static void
make_later (LazyRows *self)
{
  if (self->idle == 0)
    self->idle = g_idle_add (idle_cb, self);
}

static void
scrolled_cb (GtkListItemFactory *factory)
{
  make_waiting (g_object_get_data (G_OBJECT (factory), DATA_KEY), TRUE, G_MAXINT64);
}

static void
mapped_cb (GtkListItemFactory *factory)
{
  LazyRows *self = g_object_get_data (G_OBJECT (factory), DATA_KEY);
  GtkAdjustment *adjustment = gtk_scrollable_get_vadjustment (GTK_SCROLLABLE (self->list));

  make_waiting (self, TRUE, G_MAXINT64);
  make_later (self);
  if (adjustment == NULL || g_signal_handler_find (adjustment, G_SIGNAL_MATCH_DATA, 0, 0, NULL, NULL, factory) != 0)
    return;
  g_signal_connect_object (adjustment, "value-changed", G_CALLBACK (scrolled_cb), factory, G_CONNECT_SWAPPED);
}

/* --- the factory --- */

static void
setup_cb (GtkSignalListItemFactory *factory, GtkListItem *item, LazyRows *self)
{
  GtkWidget *row = g_queue_pop_tail (&self->left);

  if (row == NULL)
    row = g_object_ref_sink (gtk_box_new (GTK_ORIENTATION_VERTICAL, 0));
  if (self->at_once)
    self->funcs->build (GTK_BOX (row));
  else
    make_bare (self, row);
  /* When the list lets go of the item, GTK takes the row out before it says so. */
  g_object_set_data_full (G_OBJECT (item), DATA_KEY, row, g_object_unref);
  gtk_list_item_set_child (item, row);
}

static void
bind_cb (GtkSignalListItemFactory *factory, GtkListItem *item, LazyRows *self)
{
  hold (gtk_list_item_get_child (item));
  if (self->at_once || (is_shown (self) && is_in_sight (self, gtk_list_item_get_position (item))))
    {
      make_row (self, item);
      return;
    }
  /* What it showed before is not to be taken for the new item. */
  make_bare (self, gtk_list_item_get_child (item));
  g_hash_table_add (self->waiting, item);
  make_later (self);
}

static void
unbind_cb (GtkSignalListItemFactory *factory, GtkListItem *item, LazyRows *self)
{
  if (!g_hash_table_remove (self->waiting, item) && self->funcs->clear != NULL)
    self->funcs->clear (item, gtk_list_item_get_child (item));
}

/* Also where a row goes without being unbound. */
static void
teardown_cb (GtkSignalListItemFactory *factory, GtkListItem *item, LazyRows *self)
{
  GtkWidget *row = g_object_steal_data (G_OBJECT (item), DATA_KEY);

  g_hash_table_remove (self->waiting, item);
  free_later (self, &self->left_holders, g_object_steal_data (G_OBJECT (row), DATA_KEY));
  free_later (self, &self->left, row);
}

/**
 * shim_lazy_rows_new:
 * @list: (nullable): the list that the rows are for; %NULL = a short one, whose rows are all made at once and may be added to by others
 * @funcs: what they look like; not copied
 *
 * Returns: (transfer full): makes rows that are in sight at once, and all others when there is time
 */
GtkListItemFactory *
shim_lazy_rows_new (GtkListView *list, const ShimRowFuncs *funcs)
{
  GtkListItemFactory *factory;
  LazyRows *self;

  g_return_val_if_fail (list == NULL || GTK_IS_LIST_VIEW (list), NULL);
  g_return_val_if_fail (funcs != NULL, NULL);

  factory = gtk_signal_list_item_factory_new ();
  self = g_new0 (LazyRows, 1);
  self->factory = factory;
  g_set_weak_pointer (&self->list, list);
  self->at_once = list == NULL;
  self->funcs = funcs;
  self->waiting = g_hash_table_new (NULL, NULL);
  g_signal_connect (factory, "setup", G_CALLBACK (setup_cb), self);
  g_signal_connect (factory, "bind", G_CALLBACK (bind_cb), self);
  g_signal_connect (factory, "unbind", G_CALLBACK (unbind_cb), self);
  g_signal_connect (factory, "teardown", G_CALLBACK (teardown_cb), self);
  g_object_set_data_full (G_OBJECT (factory), DATA_KEY, self, lazy_rows_free);
  if (list != NULL)
    g_signal_connect_object (list, "map", G_CALLBACK (mapped_cb), factory, G_CONNECT_SWAPPED);
  return factory;
}
