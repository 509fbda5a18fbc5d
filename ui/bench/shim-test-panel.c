/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-setting-spin.h"
#include "shim-test-panel.h"

struct _ShimTestPanel
{
  GtkWidget parent_instance;

  char *test; /* id of the test shown */
  ShimAdvice advice;
  gboolean by_hand; /* whether the person chose the setting, so that advice must not change it */
  gboolean showing;

  /* template widgets */
  GtkButton *accept_button;
  GtkLabel *accepted_label;
  GtkWidget *advice_box;
  GtkLabel *advice_label;
  GtkDropDown *approach_drop_down;
  GtkButton *keyed_button;
  GtkSwitch *reference_switch;
  GtkAdjustment *setting_adjustment;
  GtkWidget *setting_list;
  GtkSpinButton *setting_spin;
};

G_DEFINE_FINAL_TYPE (ShimTestPanel, shim_test_panel, GTK_TYPE_WIDGET)

static gboolean
wants_another_setting (ShimTestPanel *self)
{
  return (self->advice.action == SHIM_ADVICE_TRY || self->advice.action == SHIM_ADVICE_START) &&
         self->advice.setting != (int) shim_test_panel_get_setting (self);
}

/* The button says what the person has done at the camera; nothing is done to the camera from here. */
static void
update_buttons (ShimTestPanel *self)
{
  gboolean wanted = wants_another_setting (self);
  g_autofree char *setting = shim_bench_text_setting (self->advice.setting);
  g_autofree char *label = g_strdup_printf (_ ("I Keyed In %s"), setting);

  gtk_button_set_label (self->keyed_button, label);
  gtk_widget_set_visible (GTK_WIDGET (self->keyed_button), wanted);
  if (wanted)
    gtk_widget_add_css_class (GTK_WIDGET (self->keyed_button), "suggested-action");
  if (self->advice.action == SHIM_ADVICE_ACCEPT)
    gtk_widget_add_css_class (GTK_WIDGET (self->accept_button), "suggested-action");
  else
    gtk_widget_remove_css_class (GTK_WIDGET (self->accept_button), "suggested-action");
}

static void
keyed_clicked_cb (GtkButton *button, ShimTestPanel *self)
{
  gtk_spin_button_set_value (self->setting_spin, self->advice.setting);
  gtk_switch_set_active (self->reference_switch, FALSE);
}

static void
setting_changed_cb (GtkSpinButton *spin, ShimTestPanel *self)
{
  if (!self->showing)
    self->by_hand = TRUE;
  update_buttons (self);
}

static void
reference_toggled_cb (GtkSwitch *reference, GParamSpec *pspec, ShimTestPanel *self)
{
  gtk_widget_set_sensitive (GTK_WIDGET (self->setting_spin), !gtk_switch_get_active (reference));
}

static void
shim_test_panel_dispose (GObject *object)
{
  g_clear_pointer (&SHIM_TEST_PANEL (object)->test, g_free);
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_TEST_PANEL);
  G_OBJECT_CLASS (shim_test_panel_parent_class)->dispose (object);
}

static void
shim_test_panel_class_init (ShimTestPanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_test_panel_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-test-panel.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimTestPanel, accept_button);
  gtk_widget_class_bind_template_child (widget_class, ShimTestPanel, accepted_label);
  gtk_widget_class_bind_template_child (widget_class, ShimTestPanel, advice_box);
  gtk_widget_class_bind_template_child (widget_class, ShimTestPanel, advice_label);
  gtk_widget_class_bind_template_child (widget_class, ShimTestPanel, approach_drop_down);
  gtk_widget_class_bind_template_child (widget_class, ShimTestPanel, keyed_button);
  gtk_widget_class_bind_template_child (widget_class, ShimTestPanel, reference_switch);
  gtk_widget_class_bind_template_child (widget_class, ShimTestPanel, setting_adjustment);
  gtk_widget_class_bind_template_child (widget_class, ShimTestPanel, setting_list);
  gtk_widget_class_bind_template_child (widget_class, ShimTestPanel, setting_spin);
  gtk_widget_class_bind_template_callback (widget_class, keyed_clicked_cb);
  gtk_widget_class_bind_template_callback (widget_class, reference_toggled_cb);
  gtk_widget_class_bind_template_callback (widget_class, setting_changed_cb);
}

static void
shim_test_panel_init (ShimTestPanel *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  shim_setting_spin_prepare (self->setting_spin);
}

/**
 * shim_test_panel_new:
 *
 * Returns: an empty panel
 */
GtkWidget *
shim_test_panel_new (void)
{
  return g_object_new (SHIM_TYPE_TEST_PANEL, NULL);
}

/* Where the camera most likely stands: at the setting of the last round, else at the one to start with. */
static int
likely_setting (const ShimTestSummary *summary)
{
  for (guint i = summary->rounds->len; i > 0; i--)
    {
      const ShimRoundSummary *round = g_ptr_array_index (summary->rounds, i - 1);

      if (!round->is_reference)
        return (int) round->round->setting;
    }
  return summary->advice.setting;
}

/**
 * shim_test_panel_show:
 * @self: a panel
 * @summary: the test in hand
 */
void
shim_test_panel_show (ShimTestPanel *self, const ShimTestSummary *summary)
{
  const char *test;

  g_return_if_fail (SHIM_IS_TEST_PANEL (self));
  g_return_if_fail (summary != NULL);

  test = shim_record_get_id (SHIM_RECORD (summary->test));
  self->showing = TRUE;
  if (g_strcmp0 (self->test, test) != 0)
    {
      g_free (self->test);
      self->test = g_strdup (test);
      self->by_hand = FALSE;
      gtk_switch_set_active (self->reference_switch, FALSE);
    }
  self->advice = summary->advice;
  gtk_label_set_label (self->advice_label, summary->advice_sentence);
  gtk_adjustment_set_lower (self->setting_adjustment, summary->range.min);
  gtk_adjustment_set_upper (self->setting_adjustment, summary->range.max);
  if (!self->by_hand)
    gtk_spin_button_set_value (self->setting_spin, likely_setting (summary));
  self->showing = FALSE;
  update_buttons (self);
}

/**
 * shim_test_panel_get_setting:
 * @self: a panel
 *
 * Returns: the setting that the camera has now
 */
gint64
shim_test_panel_get_setting (ShimTestPanel *self)
{
  g_return_val_if_fail (SHIM_IS_TEST_PANEL (self), 0);

  return gtk_spin_button_get_value_as_int (self->setting_spin);
}

/**
 * shim_test_panel_is_reference:
 * @self: a panel
 *
 * Returns: whether the next frames are focused on the image sensor itself
 */
gboolean
shim_test_panel_is_reference (ShimTestPanel *self)
{
  g_return_val_if_fail (SHIM_IS_TEST_PANEL (self), FALSE);

  return gtk_switch_get_active (self->reference_switch);
}

/**
 * shim_test_panel_set_accepted:
 * @self: a panel
 * @sentence: (nullable): which setting is accepted and where it is kept
 */
void
shim_test_panel_set_accepted (ShimTestPanel *self, const char *sentence)
{
  g_return_if_fail (SHIM_IS_TEST_PANEL (self));

  gtk_label_set_label (self->accepted_label, sentence != NULL ? sentence : "");
  gtk_widget_set_visible (GTK_WIDGET (self->accepted_label), sentence != NULL);
}

/**
 * shim_test_panel_get_approach:
 * @self: a panel
 * @turn_is_far: where frames go by turns: whether it is the far side's turn
 *
 * Returns: from which side the next frame is focused: "near", "far" or "unknown"
 */
const char *
shim_test_panel_get_approach (ShimTestPanel *self, gboolean turn_is_far)
{
  static const char *const approaches[] = { "unknown", "near", "far" };
  guint selected;

  g_return_val_if_fail (SHIM_IS_TEST_PANEL (self), "unknown");

  selected = gtk_drop_down_get_selected (self->approach_drop_down);
  if (selected < G_N_ELEMENTS (approaches))
    return approaches[selected];
  return turn_is_far ? "far" : "near";
}
