/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-preferences.h"
#include "shim-settings.h"

struct _ShimPreferences
{
  AdwPreferencesWindow parent_instance;

  /* Template widgets */
  GtkSpinButton *days_spin;
  AdwComboRow *paper_row;
  GtkSpinButton *tolerance_spin;
};

G_DEFINE_FINAL_TYPE (ShimPreferences, shim_preferences, ADW_TYPE_PREFERENCES_WINDOW)

/* Kept as a share, shown in percent. */
static gboolean
percent_from_share (GValue *value, GVariant *variant, gpointer user_data)
{
  g_value_set_double (value, g_variant_get_double (variant) * 100.0);
  return TRUE;
}

static GVariant *
share_from_percent (const GValue *value, const GVariantType *type, gpointer user_data)
{
  return g_variant_new_double (g_value_get_double (value) / 100.0);
}

static gboolean
row_from_paper (GValue *value, GVariant *variant, gpointer user_data)
{
  g_value_set_uint (value, g_str_equal (g_variant_get_string (variant, NULL), "letter") ? 1 : 0);
  return TRUE;
}

static GVariant *
paper_from_row (const GValue *value, const GVariantType *type, gpointer user_data)
{
  return g_variant_new_string (g_value_get_uint (value) == 1 ? "letter" : "a4");
}

static void
shim_preferences_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_PREFERENCES);
  G_OBJECT_CLASS (shim_preferences_parent_class)->dispose (object);
}

static void
shim_preferences_class_init (ShimPreferencesClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_preferences_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/shim-preferences.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimPreferences, days_spin);
  gtk_widget_class_bind_template_child (widget_class, ShimPreferences, paper_row);
  gtk_widget_class_bind_template_child (widget_class, ShimPreferences, tolerance_spin);
}

static void
shim_preferences_init (ShimPreferences *self)
{
  GSettings *settings = shim_settings_get ();

  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_widget_set_sensitive (GTK_WIDGET (self), settings != NULL);
  if (settings == NULL)
    return;
  g_settings_bind (settings, "due-after-days", gtk_spin_button_get_adjustment (self->days_spin), "value", G_SETTINGS_BIND_DEFAULT);
  g_settings_bind_with_mapping (settings, "tolerance-share", gtk_spin_button_get_adjustment (self->tolerance_spin), "value",
                                G_SETTINGS_BIND_DEFAULT, percent_from_share, share_from_percent, NULL, NULL);
  g_settings_bind_with_mapping (settings, "paper", self->paper_row, "selected", G_SETTINGS_BIND_DEFAULT, row_from_paper,
                                paper_from_row, NULL, NULL);
}

/**
 * shim_preferences_new:
 * @parent: window it belongs to
 *
 * Returns: (transfer none): the dialog; show it with gtk_window_present()
 */
ShimPreferences *
shim_preferences_new (GtkWindow *parent)
{
  return g_object_new (SHIM_TYPE_PREFERENCES, "transient-for", parent, NULL);
}
