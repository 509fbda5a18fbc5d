/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-format.h"
#include "shim-lazy-rows.h"
#include "shim-pair-cell.h"
#include "shim-pair-list.h"
#include "shim-pair-rows.h"
#include "shim-state-badge.h"

/* A row of the list of pairs: who, setting, residual, age, state. */

static GtkWidget *
label_new (int width_chars, float xalign)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_label_set_xalign (GTK_LABEL (label), xalign);
  gtk_label_set_width_chars (GTK_LABEL (label), width_chars);
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_END);
  gtk_widget_add_css_class (label, "numeric");
  return label;
}

/* Two lines, the second one small. */
static GtkWidget *
two_lines_new (GtkWidget *upper, float xalign)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0), *lower = label_new (0, xalign);

  gtk_widget_add_css_class (lower, "caption");
  gtk_widget_add_css_class (lower, "dim-label");
  gtk_widget_set_valign (box, GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (box), upper);
  gtk_box_append (GTK_BOX (box), lower);
  return box;
}

static void
set_two_lines (GtkWidget *box, const char *upper, const char *lower)
{
  gtk_label_set_label (GTK_LABEL (gtk_widget_get_first_child (box)), upper);
  gtk_label_set_label (GTK_LABEL (gtk_widget_get_last_child (box)), lower);
  gtk_widget_set_visible (gtk_widget_get_last_child (box), *lower != '\0');
}

static void
build_row (GtkBox *row)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget *name = two_lines_new (label_new (12, 0.0f), 0.0f), *residual = two_lines_new (label_new (15, 1.0f), 1.0f);
  GtkWidget *setting = label_new (7, 1.0f), *age = label_new (9, 1.0f);

  gtk_label_set_wrap (GTK_LABEL (gtk_widget_get_last_child (name)), TRUE);
  gtk_label_set_ellipsize (GTK_LABEL (gtk_widget_get_last_child (name)), PANGO_ELLIPSIZE_NONE);
  gtk_widget_set_hexpand (name, TRUE);
  gtk_widget_add_css_class (setting, "heading");
  gtk_widget_add_css_class (age, "dim-label");
  gtk_widget_set_size_request (box, -1, 42);
  gtk_widget_set_margin_top (box, 3);
  gtk_widget_set_margin_bottom (box, 3);
  gtk_widget_set_margin_start (box, 12);
  gtk_widget_set_margin_end (box, 12);
  gtk_box_append (GTK_BOX (box), name);
  gtk_box_append (GTK_BOX (box), setting);
  gtk_box_append (GTK_BOX (box), residual);
  gtk_box_append (GTK_BOX (box), age);
  gtk_box_append (row, box);
}

/* Why it is due; the first reason stands for all, which are on its page. */
static const char *
reason_of (const ShimPairNow *now)
{
  if (now->conflict)
    return _ ("Another copy of this model needs another value on this body.");
  for (guint bit = 1; bit != 0 && bit <= now->reasons; bit <<= 1)
    if (now->reasons & bit)
      return _ (shim_due_reason_to_sentence (bit));
  return "";
}

static char *
share_of (const ShimPairNow *now)
{
  if (isnan (now->error_tolerances))
    return g_strdup ("");
  return g_strdup_printf (_ ("%.0f %% of the tolerance"), 100.0 * now->error_tolerances);
}

static char *
name_of (ShimPairItem *pair)
{
  ShimConverter *converter = shim_pair_item_get_converter (pair);
  const char *lens = shim_pair_item_get_lens (pair)->label, *body = shim_pair_item_get_body (pair)->label;

  if (converter == NULL)
    return g_strdup_printf (_ ("%s on %s"), lens, body);
  return g_strdup_printf (_ ("%s + %s on %s"), lens, converter->label, body);
}

static void
fill_row (GtkListItem *item, GtkWidget *row)
{
  ShimPairItem *pair = gtk_list_item_get_item (item);
  const ShimPairNow *now = shim_pair_item_get_now (pair);
  GtkWidget *box = gtk_widget_get_first_child (row);
  GtkWidget *name = gtk_widget_get_first_child (box);
  GtkWidget *setting = gtk_widget_get_next_sibling (name), *residual = gtk_widget_get_next_sibling (setting);
  GtkWidget *age = gtk_widget_get_next_sibling (residual);
  GtkWidget *badge = shim_state_badge_new (now->state), *sign;
  g_autofree char *name_text = name_of (pair), *setting_text = shim_pair_cell_value (now);
  g_autofree char *residual_text = isnan (now->residual_mm) ? g_strdup ("")
                                                           : shim_format_signed_error (now->residual_mm, now->residual_se_mm, "mm");
  g_autofree char *share_text = share_of (now);
  g_autofree char *age_text = isnan (now->age_days) ? g_strdup ("") : shim_format_age_days ((gint64) now->age_days);

  set_two_lines (name, name_text, reason_of (now));
  gtk_label_set_label (GTK_LABEL (setting), setting_text);
  set_two_lines (residual, residual_text, share_text);
  gtk_label_set_label (GTK_LABEL (age), age_text);
  gtk_widget_set_size_request (badge, 120, -1);
  if (now->conflict)
    {
      sign = gtk_image_new_from_icon_name ("dialog-warning-symbolic");
      gtk_widget_add_css_class (sign, "warning");
      gtk_widget_set_tooltip_text (sign, _ ("Another copy of this model needs another value on this body"));
      gtk_box_append (GTK_BOX (badge), sign);
    }
  gtk_box_append (GTK_BOX (box), badge);
}

static void
clear_row (GtkListItem *item, GtkWidget *row)
{
  GtkWidget *box = gtk_widget_get_first_child (row);

  gtk_box_remove (GTK_BOX (box), gtk_widget_get_last_child (box));
}

static const ShimRowFuncs row_funcs = { build_row, fill_row, clear_row };

/**
 * shim_pair_rows_new:
 * @list: the list that the rows are for
 *
 * Returns: (transfer full): makes the rows of a #GtkListView over a #ShimPairList
 */
GtkListItemFactory *
shim_pair_rows_new (GtkListView *list)
{
  return shim_lazy_rows_new (list, &row_funcs);
}
