/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-format.h"
#include "shim-kinds.h"
#include "shim-lazy-rows.h"
#include "shim-record-rows.h"

/* Two lines for a record in a list: what it is called, and what tells it from others. There is room for more at their end. */

static void
build_row (GtkBox *row)
{
  GtkWidget *lines = gtk_box_new (GTK_ORIENTATION_VERTICAL, 2);
  GtkWidget *title = gtk_label_new (NULL), *subtitle = gtk_label_new (NULL);

  gtk_label_set_xalign (GTK_LABEL (title), 0.0);
  gtk_label_set_ellipsize (GTK_LABEL (title), PANGO_ELLIPSIZE_END);
  gtk_label_set_xalign (GTK_LABEL (subtitle), 0.0);
  gtk_label_set_ellipsize (GTK_LABEL (subtitle), PANGO_ELLIPSIZE_END);
  gtk_widget_add_css_class (subtitle, "caption");
  gtk_widget_add_css_class (subtitle, "dim-label");
  gtk_widget_set_margin_top (lines, 6);
  gtk_widget_set_margin_bottom (lines, 6);
  gtk_widget_set_hexpand (lines, TRUE);
  gtk_box_append (GTK_BOX (lines), title);
  gtk_box_append (GTK_BOX (lines), subtitle);
  gtk_orientable_set_orientation (GTK_ORIENTABLE (row), GTK_ORIENTATION_HORIZONTAL);
  gtk_box_set_spacing (row, 9);
  gtk_box_append (row, lines);
}

static void
update_row (ShimRecord *record, GParamSpec *pspec, GtkWidget *box)
{
  GtkWidget *title = gtk_widget_get_first_child (gtk_widget_get_first_child (box));
  g_autofree char *label = NULL, *serial = NULL, *maker = NULL, *model = NULL, *product = NULL;
  g_autoptr (GString) under = g_string_new (NULL);
  gboolean archived;

  if (SHIM_IS_JOB (record))
    g_object_get (record, "name", &label, "on-date", &maker, "place", &model, "archived", &archived, NULL);
  else
    g_object_get (record, "label", &label, "serial", &serial, "archived", &archived, NULL);
  if (!SHIM_IS_JOB (record) && !SHIM_IS_ADAPTER (record))
    g_object_get (record, "maker", &maker, "model", &model, NULL);
  product = shim_format_product (maker, model);
  if (product != NULL)
    g_string_append (under, product);
  if (serial != NULL)
    g_string_append_printf (under, "%s%s", under->len > 0 ? " · " : "", serial);
  if (archived)
    g_string_append_printf (under, "%s%s", under->len > 0 ? " · " : "", _ ("archived"));
  gtk_label_set_label (GTK_LABEL (title), label);
  gtk_label_set_label (GTK_LABEL (gtk_widget_get_next_sibling (title)), under->str);
}

static void
fill_row (GtkListItem *item, GtkWidget *row)
{
  ShimRecord *record = gtk_list_item_get_item (item);

  g_signal_connect (record, "notify", G_CALLBACK (update_row), row);
  update_row (record, NULL, row);
}

static void
clear_row (GtkListItem *item, GtkWidget *row)
{
  g_signal_handlers_disconnect_by_func (gtk_list_item_get_item (item), update_row, row);
}

static const ShimRowFuncs row_funcs = { build_row, fill_row, clear_row };

/**
 * shim_record_rows_new:
 * @list: (nullable): as for shim_lazy_rows_new()
 *
 * Returns: (transfer full): makes the rows of a #GtkListView over bodies, lenses, converters, adapters or jobs
 */
GtkListItemFactory *
shim_record_rows_new (GtkListView *list)
{
  return shim_lazy_rows_new (list, &row_funcs);
}
