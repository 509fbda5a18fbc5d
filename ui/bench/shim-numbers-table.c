/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-numbers-table.h"

/* A row: nothing but its cells. */
#define SHIM_TYPE_NUMBERS_ROW (shim_numbers_row_get_type ())
G_DECLARE_FINAL_TYPE (ShimNumbersRow, shim_numbers_row, SHIM, NUMBERS_ROW, GObject)

struct _ShimNumbersRow
{
  GObject parent_instance;
  char **cells;
};

G_DEFINE_FINAL_TYPE (ShimNumbersRow, shim_numbers_row, G_TYPE_OBJECT)

static void
shim_numbers_row_finalize (GObject *object)
{
  g_strfreev (SHIM_NUMBERS_ROW (object)->cells);
  G_OBJECT_CLASS (shim_numbers_row_parent_class)->finalize (object);
}

static void
shim_numbers_row_class_init (ShimNumbersRowClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = shim_numbers_row_finalize;
}

static void
shim_numbers_row_init (ShimNumbersRow *self)
{
}

struct _ShimNumbersTable
{
  GtkWidget parent_instance;

  GtkWidget *scroller;
  GtkColumnView *view;
  GListStore *rows;
};

G_DEFINE_FINAL_TYPE (ShimNumbersTable, shim_numbers_table, GTK_TYPE_WIDGET)

static void
setup_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer user_data)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_label_set_xalign (GTK_LABEL (label), GPOINTER_TO_UINT (user_data) == 0 ? 0.0f : 1.0f);
  gtk_widget_add_css_class (label, "numeric");
  gtk_list_item_set_child (item, label);
}

static void
bind_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer user_data)
{
  ShimNumbersRow *row = gtk_list_item_get_item (item);
  guint column = GPOINTER_TO_UINT (user_data);

  gtk_label_set_label (GTK_LABEL (gtk_list_item_get_child (item)),
                       column < g_strv_length (row->cells) ? row->cells[column] : "");
}

static void
shim_numbers_table_dispose (GObject *object)
{
  ShimNumbersTable *self = SHIM_NUMBERS_TABLE (object);

  g_clear_pointer (&self->scroller, gtk_widget_unparent);
  g_clear_object (&self->rows);
  G_OBJECT_CLASS (shim_numbers_table_parent_class)->dispose (object);
}

static void
shim_numbers_table_class_init (ShimNumbersTableClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = shim_numbers_table_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
shim_numbers_table_init (ShimNumbersTable *self)
{
  self->rows = g_list_store_new (SHIM_TYPE_NUMBERS_ROW);
  self->view = GTK_COLUMN_VIEW (
      gtk_column_view_new (GTK_SELECTION_MODEL (gtk_no_selection_new (G_LIST_MODEL (g_object_ref (self->rows))))));
  gtk_widget_add_css_class (GTK_WIDGET (self->view), "data-table");
  self->scroller = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (self->scroller), GTK_WIDGET (self->view));
  gtk_widget_set_parent (self->scroller, GTK_WIDGET (self));
}

/**
 * shim_numbers_table_new:
 *
 * Returns: a table without columns
 */
GtkWidget *
shim_numbers_table_new (void)
{
  return g_object_new (SHIM_TYPE_NUMBERS_TABLE, NULL);
}

/**
 * shim_numbers_table_set_columns:
 * @self: a table without columns
 * @titles: (array zero-terminated=1): of the columns, with their units
 */
void
shim_numbers_table_set_columns (ShimNumbersTable *self, const char *const *titles)
{
  g_return_if_fail (SHIM_IS_NUMBERS_TABLE (self));

  for (guint i = 0; titles[i] != NULL; i++)
    {
      GtkListItemFactory *factory = gtk_signal_list_item_factory_new ();
      GtkColumnViewColumn *column = gtk_column_view_column_new (titles[i], factory);

      g_signal_connect (factory, "setup", G_CALLBACK (setup_cb), GUINT_TO_POINTER (i));
      g_signal_connect (factory, "bind", G_CALLBACK (bind_cb), GUINT_TO_POINTER (i));
      gtk_column_view_column_set_expand (column, TRUE);
      gtk_column_view_append_column (self->view, column);
      g_object_unref (column);
    }
}

/**
 * shim_numbers_table_clear:
 * @self: a table
 */
void
shim_numbers_table_clear (ShimNumbersTable *self)
{
  g_return_if_fail (SHIM_IS_NUMBERS_TABLE (self));

  g_list_store_remove_all (self->rows);
}

/**
 * shim_numbers_table_add:
 * @self: a table
 * @cells: (array zero-terminated=1): one text a column
 */
void
shim_numbers_table_add (ShimNumbersTable *self, const char *const *cells)
{
  g_autoptr (ShimNumbersRow) row = NULL;

  g_return_if_fail (SHIM_IS_NUMBERS_TABLE (self));

  row = g_object_new (SHIM_TYPE_NUMBERS_ROW, NULL);
  row->cells = g_strdupv ((char **) cells);
  g_list_store_append (self->rows, row);
}

/**
 * shim_numbers_table_get_n_rows:
 * @self: a table
 *
 * Returns: how many rows it has
 */
guint
shim_numbers_table_get_n_rows (ShimNumbersTable *self)
{
  g_return_val_if_fail (SHIM_IS_NUMBERS_TABLE (self), 0);

  return g_list_model_get_n_items (G_LIST_MODEL (self->rows));
}
