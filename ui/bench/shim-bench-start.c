/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-start.h"
#include "shim-dialogs.h"
#include "shim-drop-down.h"
#include "shim-fit.h"
#include "shim-format.h"
#include "shim-lens-reach.h"
#include "shim-ops-bench.h"
#include "shim-optics.h"
#include "shim-settings.h"
#include "shim-workspace-ops.h"

struct _ShimBenchStart
{
  GtkWidget parent_instance;

  ShimWorkspace *workspace;
  gulong changed_handler;
  ShimBenchChoices *choices;
  gboolean is_current; /* they are those of the register, or these are on their way */
  gboolean wants_focus; /* somebody came by key before they were read */
  gboolean filling;
  gboolean distance_by_hand;

  /* template widgets */
  GtkCheckButton *angle_found_check;
  GtkSpinButton *angle_spin;
  GtkDropDown *body_drop_down;
  GtkDropDown *converter_drop_down;
  GtkWidget *converter_row;
  GtkSpinButton *distance_spin;
  GtkSpinButton *focal_spin;
  GtkWidget *header;
  GtkDropDown *lens_drop_down;
  AdwActionRow *lens_row;
  GtkWidget *open_button;
  GtkStack *stack;
  GtkWidget *tests_group;
  GtkListBox *tests_list;
};

G_DEFINE_FINAL_TYPE (ShimBenchStart, shim_bench_start, GTK_TYPE_WIDGET)

enum
{
  TEST_CHOSEN,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

/* The choice */

static ShimBody *
chosen_body (ShimBenchStart *self)
{
  return gtk_drop_down_get_selected_item (self->body_drop_down);
}

static ShimLens *
chosen_lens (ShimBenchStart *self)
{
  return gtk_drop_down_get_selected_item (self->lens_drop_down);
}

/* The first choice is "none". */
static ShimConverter *
chosen_converter (ShimBenchStart *self)
{
  gpointer item = gtk_drop_down_get_selected_item (self->converter_drop_down);

  return item != NULL && SHIM_IS_CONVERTER (item) && shim_record_get_id (item) != NULL ? item : NULL;
}

static void
set_distance (ShimBenchStart *self)
{
  const ShimConverter *converter = chosen_converter (self);
  double factor = converter != NULL && converter->factor > 0.0 ? converter->factor : 1.0;

  if (self->distance_by_hand)
    return;
  self->filling = TRUE;
  gtk_spin_button_set_value (self->distance_spin,
                             shim_optics_test_distance_mm (gtk_spin_button_get_value (self->focal_spin) * factor) /
                                 1000.0);
  self->filling = FALSE;
}

static void
focal_changed_cb (GtkSpinButton *spin, ShimBenchStart *self)
{
  set_distance (self);
}

static void
distance_changed_cb (GtkSpinButton *spin, ShimBenchStart *self)
{
  if (!self->filling)
    self->distance_by_hand = TRUE;
}

static void
lens_selected_cb (GtkDropDown *drop_down, GParamSpec *pspec, ShimBenchStart *self)
{
  const ShimLens *lens = chosen_lens (self);
  double longest_mm;

  gtk_widget_set_sensitive (self->open_button, chosen_body (self) != NULL && lens != NULL);
  if (lens == NULL || self->filling)
    return;
  self->distance_by_hand = FALSE;
  longest_mm = shim_lens_longest_mm (lens);
  gtk_spin_button_set_range (self->focal_spin, lens->focal_min_mm, longest_mm);
  gtk_widget_set_sensitive (GTK_WIDGET (self->focal_spin), longest_mm > lens->focal_min_mm);
  /* A test shows one focal length; the middle of a zoom's range stands for all of it best. */
  if (drop_down == self->lens_drop_down)
    gtk_spin_button_set_value (self->focal_spin, shim_lens_middle_mm (lens));
  set_distance (self);
}

static void
set_records (GtkDropDown *drop_down, GListStore *records)
{
  gtk_drop_down_set_model (drop_down, G_LIST_MODEL (records));
}

/* Only what fits on the body. */
static void
body_selected_cb (GtkDropDown *drop_down, GParamSpec *pspec, ShimBenchStart *self)
{
  g_autoptr (GListStore) lenses = g_list_store_new (SHIM_TYPE_LENS);
  g_autoptr (ShimLens) before = NULL;
  ShimBody *body = chosen_body (self);
  guint position = 0;

  if (self->choices == NULL || body == NULL || self->filling)
    return;
  g_set_object (&before, chosen_lens (self));
  for (guint i = 0; i < self->choices->lenses->len; i++)
    {
      ShimLens *lens = g_ptr_array_index (self->choices->lenses, i);

      if (shim_fit_lens_on_body (lens, body, self->choices->adapters, NULL) == SHIM_FIT_NO)
        continue;
      if (before != NULL &&
          g_strcmp0 (shim_record_get_id (SHIM_RECORD (lens)), shim_record_get_id (SHIM_RECORD (before))) == 0)
        position = g_list_model_get_n_items (G_LIST_MODEL (lenses));
      g_list_store_append (lenses, lens);
    }
  set_records (self->lens_drop_down, lenses);
  gtk_drop_down_set_selected (self->lens_drop_down, position);
  adw_action_row_set_subtitle (self->lens_row, g_list_model_get_n_items (G_LIST_MODEL (lenses)) == 0
                                                   ? _ ("No lens of the kit fits this body")
                                                   : NULL);
  lens_selected_cb (self->lens_drop_down, NULL, self);
}

/* Opening a test */

static void
opened_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimBenchStart) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimTest) test = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (test == NULL)
    shim_show_error (GTK_WIDGET (self), _ ("The Test Was Not Opened"), error);
  else
    g_signal_emit (self, signals[TEST_CHOSEN], 0, shim_record_get_id (SHIM_RECORD (test)));
}

static void
open_clicked_cb (GtkButton *button, ShimBenchStart *self)
{
  ShimBody *body = chosen_body (self);
  ShimLens *lens = chosen_lens (self);
  ShimConverter *converter = chosen_converter (self);
  ShimOpenTest request;

  if (body == NULL || lens == NULL)
    return;
  shim_open_test_init (&request);
  request.tolerance_share = shim_settings_tolerance_share ();
  request.body = shim_record_get_id (SHIM_RECORD (body));
  request.lens = shim_record_get_id (SHIM_RECORD (lens));
  request.converter = converter != NULL ? shim_record_get_id (SHIM_RECORD (converter)) : NULL;
  if (lens->focal_max_mm > lens->focal_min_mm)
    request.focal_mm = gtk_spin_button_get_value (self->focal_spin);
  if (self->distance_by_hand)
    request.distance_mm = gtk_spin_button_get_value (self->distance_spin) * 1000.0;
  request.angle_deg =
      gtk_check_button_get_active (self->angle_found_check) ? NAN : gtk_spin_button_get_value (self->angle_spin);
  shim_workspace_open_test_async (self->workspace, &request, NULL, opened_cb, g_object_ref (self));
}

static void
test_activated_cb (GtkListBox *list, GtkListBoxRow *row, ShimBenchStart *self)
{
  guint index = (guint) gtk_list_box_row_get_index (row);
  const ShimTestItems *items;

  if (self->choices == NULL || index >= self->choices->tests->len)
    return;
  items = g_ptr_array_index (self->choices->tests, index);
  g_signal_emit (self, signals[TEST_CHOSEN], 0, shim_record_get_id (SHIM_RECORD (items->test)));
}

/* Filling */

static GtkWidget *
test_row_new (const ShimTestItems *items)
{
  GtkWidget *row = adw_action_row_new ();
  g_autofree char *title = NULL;
  g_autofree char *focal = shim_format_focal (items->test->focal_mm, items->test->focal_mm);
  g_autofree char *begun = shim_format_time (items->test->started_at);
  g_autofree char *subtitle = g_strdup_printf (_ ("%s, begun %s"), focal, begun);

  if (items->converter != NULL)
    title = g_strdup_printf (_ ("%s, %s with %s"), items->body->label, items->lens->label, items->converter->label);
  else
    title = g_strdup_printf (_ ("%s, %s"), items->body->label, items->lens->label);
  adw_preferences_row_set_use_markup (ADW_PREFERENCES_ROW (row), FALSE);
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), title);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), subtitle);
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name ("go-next-symbolic"));
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), TRUE);
  return row;
}

static void
fill_tests (ShimBenchStart *self)
{
  GtkListBoxRow *row;

  while ((row = gtk_list_box_get_row_at_index (self->tests_list, 0)) != NULL)
    gtk_list_box_remove (self->tests_list, GTK_WIDGET (row));
  for (guint i = 0; i < self->choices->tests->len; i++)
    gtk_list_box_append (self->tests_list, test_row_new (g_ptr_array_index (self->choices->tests, i)));
  gtk_widget_set_visible (self->tests_group, self->choices->tests->len > 0);
}

static void
fill_converters (ShimBenchStart *self)
{
  g_autoptr (GListStore) converters = g_list_store_new (SHIM_TYPE_CONVERTER);
  g_autoptr (ShimConverter) none = shim_converter_new ();

  g_object_set (none, "label", _ ("None"), NULL);
  g_list_store_append (converters, none);
  for (guint i = 0; i < self->choices->converters->len; i++)
    g_list_store_append (converters, g_ptr_array_index (self->choices->converters, i));
  set_records (self->converter_drop_down, converters);
  gtk_widget_set_visible (self->converter_row, self->choices->converters->len > 0);
}

static guint
position_of (GtkDropDown *drop_down, const char *id)
{
  GListModel *model = gtk_drop_down_get_model (drop_down);

  for (guint i = 0; id != NULL && model != NULL && i < g_list_model_get_n_items (model); i++)
    {
      g_autoptr (ShimRecord) record = g_list_model_get_item (model, i);

      if (g_strcmp0 (shim_record_get_id (record), id) == 0)
        return i;
    }
  return GTK_INVALID_LIST_POSITION;
}

static void
select_record (GtkDropDown *drop_down, const char *id)
{
  guint position = position_of (drop_down, id);

  if (position != GTK_INVALID_LIST_POSITION)
    gtk_drop_down_set_selected (drop_down, position);
}

static void
fill (ShimBenchStart *self)
{
  g_autoptr (GListStore) bodies = g_list_store_new (SHIM_TYPE_BODY);
  ShimBody *body = chosen_body (self);
  g_autofree char *before = body != NULL ? g_strdup (shim_record_get_id (SHIM_RECORD (body))) : NULL;

  for (guint i = 0; i < self->choices->bodies->len; i++)
    g_list_store_append (bodies, g_ptr_array_index (self->choices->bodies, i));
  self->filling = TRUE;
  set_records (self->body_drop_down, bodies);
  select_record (self->body_drop_down, before);
  fill_converters (self);
  self->filling = FALSE;
  body_selected_cb (self->body_drop_down, NULL, self);
  fill_tests (self);
  gtk_stack_set_visible_child_name (self->stack, self->choices->bodies->len > 0 && self->choices->lenses->len > 0
                                                     ? "choose"
                                                     : "empty");
}

static void
choices_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimBenchStart) self = user_data;
  g_autoptr (GError) error = NULL;
  ShimBenchChoices *choices = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (self->workspace != SHIM_WORKSPACE (source))
    {
      shim_bench_choices_free (choices);
      return;
    }
  if (choices == NULL)
    {
      self->is_current = FALSE;
      shim_show_error (GTK_WIDGET (self), _ ("The Kit Cannot Be Read"), error);
      return;
    }
  g_clear_pointer (&self->choices, shim_bench_choices_free);
  self->choices = choices;
  fill (self);
  if (self->wants_focus && gtk_widget_get_mapped (GTK_WIDGET (self)))
    gtk_widget_child_focus (GTK_WIDGET (self->stack), GTK_DIR_TAB_FORWARD);
  self->wants_focus = FALSE;
}

/* All bodies and lenses of a store-room are many: they are read when somebody is about to choose. */
static void
read_choices (ShimBenchStart *self)
{
  if (self->workspace == NULL || self->is_current)
    return;
  self->is_current = TRUE;
  shim_workspace_call_async (self->workspace, shim_ops_bench_choices_func, NULL, NULL, (GDestroyNotify) shim_bench_choices_free, NULL,
                             choices_cb, g_object_ref (self));
}

/**
 * shim_bench_start_refresh:
 * @self: a page with a workspace
 *
 * Reads anew what can be chosen, at once or when the page is shown next.
 */
void
shim_bench_start_refresh (ShimBenchStart *self)
{
  g_return_if_fail (SHIM_IS_BENCH_START (self));

  self->is_current = FALSE;
  if (gtk_widget_get_mapped (GTK_WIDGET (self)))
    read_choices (self);
}

static void
shim_bench_start_map (GtkWidget *widget)
{
  GTK_WIDGET_CLASS (shim_bench_start_parent_class)->map (widget);
  read_choices (SHIM_BENCH_START (widget));
}

static gboolean
shim_bench_start_focus (GtkWidget *widget, GtkDirectionType direction)
{
  ShimBenchStart *self = SHIM_BENCH_START (widget);

  self->wants_focus = self->choices == NULL;
  return !self->wants_focus && GTK_WIDGET_CLASS (shim_bench_start_parent_class)->focus (widget, direction);
}

static void
changed_cb (ShimWorkspace *workspace, ShimBenchStart *self)
{
  shim_bench_start_refresh (self);
}

static void
pair_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimBenchStart) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPair) pair = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (pair == NULL)
    {
      shim_show_error (GTK_WIDGET (self), _ ("The Pair Cannot Be Read"), error);
      return;
    }
  select_record (self->body_drop_down, pair->body);
  select_record (self->lens_drop_down, pair->lens);
  if (pair->converter != NULL)
    select_record (self->converter_drop_down, pair->converter);
  else
    gtk_drop_down_set_selected (self->converter_drop_down, 0);
}

/**
 * shim_bench_start_choose_pair:
 * @self: a page with a workspace
 * @pair: id of the pair to choose
 */
void
shim_bench_start_choose_pair (ShimBenchStart *self, const char *pair)
{
  g_return_if_fail (SHIM_IS_BENCH_START (self));

  /* Calls run in the order they are made: what can be chosen is there when the pair comes. */
  read_choices (self);
  shim_workspace_get_async (self->workspace, SHIM_TYPE_PAIR, pair, NULL, pair_cb, g_object_ref (self));
}

static void
shim_bench_start_dispose (GObject *object)
{
  ShimBenchStart *self = SHIM_BENCH_START (object);

  shim_bench_start_set_workspace (self, NULL);
  g_clear_pointer (&self->choices, shim_bench_choices_free);
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_BENCH_START);
  G_OBJECT_CLASS (shim_bench_start_parent_class)->dispose (object);
}

static void
shim_bench_start_class_init (ShimBenchStartClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_bench_start_dispose;
  widget_class->focus = shim_bench_start_focus;
  widget_class->map = shim_bench_start_map;
  signals[TEST_CHOSEN] = g_signal_new ("test-chosen", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                       NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-bench-start.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, angle_found_check);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, angle_spin);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, body_drop_down);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, converter_drop_down);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, converter_row);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, distance_spin);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, focal_spin);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, header);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, lens_drop_down);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, lens_row);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, open_button);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, stack);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, tests_group);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchStart, tests_list);
  gtk_widget_class_bind_template_callback (widget_class, body_selected_cb);
  gtk_widget_class_bind_template_callback (widget_class, focal_changed_cb);
  gtk_widget_class_bind_template_callback (widget_class, lens_selected_cb);
  gtk_widget_class_bind_template_callback (widget_class, open_clicked_cb);
  gtk_widget_class_bind_template_callback (widget_class, test_activated_cb);
}

static void
show_label_of (GtkDropDown *drop_down, GType type)
{
  g_autoptr (GtkExpression) label = gtk_property_expression_new (type, NULL, "label");

  gtk_drop_down_set_expression (drop_down, label); /* what is searched */
  shim_drop_down_shorten (drop_down);
}

static void
shim_bench_start_init (ShimBenchStart *self)
{
  self->filling = TRUE;
  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_spin_button_set_increments (self->focal_spin, 1.0, 10.0);
  gtk_spin_button_set_range (self->focal_spin, 1.0, 5000.0);
  gtk_spin_button_set_increments (self->distance_spin, 0.1, 1.0);
  gtk_spin_button_set_range (self->distance_spin, 0.1, 500.0);
  gtk_spin_button_set_increments (self->angle_spin, 1.0, 5.0);
  gtk_spin_button_set_range (self->angle_spin, 10.0, 80.0);
  gtk_spin_button_set_value (self->angle_spin, 45.0);
  show_label_of (self->body_drop_down, SHIM_TYPE_BODY);
  show_label_of (self->lens_drop_down, SHIM_TYPE_LENS);
  show_label_of (self->converter_drop_down, SHIM_TYPE_CONVERTER);
  g_signal_connect (self->distance_spin, "value-changed", G_CALLBACK (distance_changed_cb), self);
  self->filling = FALSE;
}

/**
 * shim_bench_start_new:
 *
 * Returns: a page without a workspace
 */
GtkWidget *
shim_bench_start_new (void)
{
  return g_object_new (SHIM_TYPE_BENCH_START, NULL);
}

/**
 * shim_bench_start_set_workspace:
 * @self: a page
 * @workspace: (nullable): the register
 */
void
shim_bench_start_set_workspace (ShimBenchStart *self, ShimWorkspace *workspace)
{
  g_return_if_fail (SHIM_IS_BENCH_START (self));

  if (self->workspace != NULL)
    g_clear_signal_handler (&self->changed_handler, self->workspace);
  g_set_object (&self->workspace, workspace);
  if (workspace == NULL)
    return;
  self->changed_handler = g_signal_connect (workspace, "changed", G_CALLBACK (changed_cb), self);
  shim_bench_start_refresh (self);
}
