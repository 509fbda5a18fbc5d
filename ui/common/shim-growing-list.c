/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-growing-list.h"

/* More than a screen shows. */
#define ROWS_FIRST 32
/* So many cost a few milliseconds, even bare ones. */
#define ROWS_STEP 40
/* A GtkListView makes no more than about two hundred rows: all that come after these cost nothing. */
#define ROWS_MADE 232
/* The frame that shows the first rows must not wait for the first step. */
#define FRAMES_FIRST 1

struct _ShimGrowingList
{
  GObject parent_instance;

  GtkListView *list; /* weak */
  GListModel *model;
  guint n_all;
  guint n_shown;
  guint tick;
  guint n_frames; /* since there was something to add */
};

static void shim_growing_list_iface_init (GListModelInterface *iface);

G_DEFINE_FINAL_TYPE_WITH_CODE (ShimGrowingList, shim_growing_list, G_TYPE_OBJECT,
                               G_IMPLEMENT_INTERFACE (G_TYPE_LIST_MODEL, shim_growing_list_iface_init))

/* --- growing --- */

static void
stop (ShimGrowingList *self)
{
  if (self->list != NULL && self->tick != 0)
    gtk_widget_remove_tick_callback (GTK_WIDGET (self->list), self->tick);
  self->tick = 0;
}

static void
show_more (ShimGrowingList *self, guint n_shown)
{
  const guint before = self->n_shown;

  if (n_shown >= ROWS_MADE || n_shown > self->n_all)
    n_shown = self->n_all;
  self->n_shown = n_shown;
  if (self->n_shown == self->n_all)
    stop (self);
  g_list_model_items_changed (G_LIST_MODEL (self), before, 0, self->n_shown - before);
}

static gboolean
is_scrolled (ShimGrowingList *self)
{
  GtkAdjustment *adjustment = gtk_scrollable_get_vadjustment (GTK_SCROLLABLE (self->list));

  return adjustment != NULL && gtk_adjustment_get_value (adjustment) > 0.0;
}

static gboolean
tick_cb (GtkWidget *list, GdkFrameClock *clock, gpointer user_data)
{
  ShimGrowingList *self = user_data;

  if (is_scrolled (self))
    show_more (self, self->n_all);
  else if (self->n_frames++ >= FRAMES_FIRST)
    show_more (self, self->n_shown + ROWS_STEP);
  return G_SOURCE_CONTINUE;
}

static void
grow (ShimGrowingList *self)
{
  if (self->n_shown == self->n_all || self->list == NULL)
    {
      stop (self);
      return;
    }
  if (self->tick != 0)
    return;
  self->n_frames = 0;
  self->tick = gtk_widget_add_tick_callback (GTK_WIDGET (self->list), tick_cb, self, NULL);
}

/* --- following the model --- */

/* What comes at the end waits for its turn; no fewer rows are shown than were in its place. */
static void
items_changed_cb (ShimGrowingList *self, guint position, guint removed, guint added)
{
  const guint before = self->n_shown;
  const guint from = MIN (position, before), taken = MIN (removed, before - from);
  /* Who looks at the beginning goes on doing so; GTK would stay with the row that was the first one. */
  const gboolean stays_first = position == 0 && taken > 0 && self->list != NULL && !is_scrolled (self);
  const guint put = from + taken < before ? added : MIN (added, MAX (taken, ROWS_FIRST > from ? ROWS_FIRST - from : 0));

  self->n_all = self->n_all - removed + added;
  self->n_shown = before - taken + put;
  if (taken > 0 || put > 0)
    g_list_model_items_changed (G_LIST_MODEL (self), from, taken, put);
  if (stays_first && self->n_shown > 0)
    gtk_widget_activate_action (GTK_WIDGET (self->list), "list.scroll-to-item", "u", 0);
  grow (self);
}

/* --- the model that it is itself --- */

static gpointer
shim_growing_list_get_item (GListModel *model, guint position)
{
  ShimGrowingList *self = SHIM_GROWING_LIST (model);

  return position < self->n_shown ? g_list_model_get_item (self->model, position) : NULL;
}

static GType
shim_growing_list_get_item_type (GListModel *model)
{
  return G_TYPE_OBJECT;
}

static guint
shim_growing_list_get_n_items (GListModel *model)
{
  return SHIM_GROWING_LIST (model)->n_shown;
}

static void
shim_growing_list_iface_init (GListModelInterface *iface)
{
  iface->get_item = shim_growing_list_get_item;
  iface->get_item_type = shim_growing_list_get_item_type;
  iface->get_n_items = shim_growing_list_get_n_items;
}

static gboolean
key_pressed_cb (ShimGrowingList *self)
{
  shim_growing_list_show_all (self);
  return GDK_EVENT_PROPAGATE;
}

/**
 * shim_growing_list_new:
 * @list: that will show it
 *
 * Returns: (transfer full): a list without a model
 */
ShimGrowingList *
shim_growing_list_new (GtkListView *list)
{
  ShimGrowingList *self;
  GtkEventController *keys;

  g_return_val_if_fail (GTK_IS_LIST_VIEW (list), NULL);

  self = g_object_new (SHIM_TYPE_GROWING_LIST, NULL);
  g_set_weak_pointer (&self->list, list);
  keys = gtk_event_controller_key_new ();
  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect_object (keys, "key-pressed", G_CALLBACK (key_pressed_cb), self, G_CONNECT_SWAPPED);
  gtk_widget_add_controller (GTK_WIDGET (list), keys);
  return self;
}

/**
 * shim_growing_list_set_model:
 * @self: a list
 * @model: (nullable): of which it shows the rows
 */
void
shim_growing_list_set_model (ShimGrowingList *self, GListModel *model)
{
  g_return_if_fail (SHIM_IS_GROWING_LIST (self));
  g_return_if_fail (model == NULL || G_IS_LIST_MODEL (model));

  if (model == self->model)
    return;
  if (self->model != NULL)
    {
      g_signal_handlers_disconnect_by_data (self->model, self);
      /* Where one list takes the place of another GTK looks through all of the new one for rows of the old one. */
      items_changed_cb (self, 0, self->n_all, 0);
    }
  g_set_object (&self->model, model);
  if (model == NULL)
    return;
  g_signal_connect_object (model, "items-changed", G_CALLBACK (items_changed_cb), self, G_CONNECT_SWAPPED);
  items_changed_cb (self, 0, 0, g_list_model_get_n_items (model));
}

/**
 * shim_growing_list_show_all:
 * @self: a list
 *
 * Shows all rows of the model now.
 */
void
shim_growing_list_show_all (ShimGrowingList *self)
{
  g_return_if_fail (SHIM_IS_GROWING_LIST (self));

  if (self->n_shown < self->n_all)
    show_more (self, self->n_all);
}

static void
shim_growing_list_dispose (GObject *object)
{
  ShimGrowingList *self = SHIM_GROWING_LIST (object);

  stop (self);
  g_clear_weak_pointer (&self->list);
  g_clear_object (&self->model);
  self->n_all = self->n_shown = 0;
  G_OBJECT_CLASS (shim_growing_list_parent_class)->dispose (object);
}

static void
shim_growing_list_class_init (ShimGrowingListClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = shim_growing_list_dispose;
}

static void
shim_growing_list_init (ShimGrowingList *self)
{
}
