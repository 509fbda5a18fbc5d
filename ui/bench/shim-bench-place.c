/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-bench-place.h"
#include "shim-bench-start.h"
#include "shim-bench-test.h"

struct _ShimBenchPlace
{
  AdwBin parent_instance;

  ShimWorkspace *workspace;

  /* template widgets */
  GtkStack *stack;
  ShimBenchStart *start;
  ShimBenchTest *test;
};

G_DEFINE_FINAL_TYPE (ShimBenchPlace, shim_bench_place, ADW_TYPE_BIN)

enum
{
  PROP_0,
  PROP_WORKSPACE,
  N_PROPS,
};

static GParamSpec *properties[N_PROPS];

static void
test_chosen_cb (ShimBenchStart *start, const char *test, ShimBenchPlace *self)
{
  shim_bench_place_show_test (self, test);
}

static void
leave_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimBenchPlace *self = SHIM_BENCH_PLACE (widget);

  gtk_stack_set_visible_child (self->stack, GTK_WIDGET (self->start));
  shim_bench_test_leave (self->test);
  shim_bench_start_refresh (self->start);
}

static void
shim_bench_place_constructed (GObject *object)
{
  ShimBenchPlace *self = SHIM_BENCH_PLACE (object);

  G_OBJECT_CLASS (shim_bench_place_parent_class)->constructed (object);
  shim_bench_start_set_workspace (self->start, self->workspace);
  shim_bench_test_set_workspace (self->test, self->workspace);
}

static void
shim_bench_place_set_property (GObject *object, guint prop_id, const GValue *value, GParamSpec *pspec)
{
  if (prop_id == PROP_WORKSPACE)
    SHIM_BENCH_PLACE (object)->workspace = g_value_dup_object (value);
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, prop_id, pspec);
}

static void
shim_bench_place_dispose (GObject *object)
{
  g_clear_object (&SHIM_BENCH_PLACE (object)->workspace);
  /* AdwBin would let go of a child once more that went with the template. */
  adw_bin_set_child (ADW_BIN (object), NULL);
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_BENCH_PLACE);
  G_OBJECT_CLASS (shim_bench_place_parent_class)->dispose (object);
}

static void
shim_bench_place_class_init (ShimBenchPlaceClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->constructed = shim_bench_place_constructed;
  object_class->set_property = shim_bench_place_set_property;
  object_class->dispose = shim_bench_place_dispose;
  properties[PROP_WORKSPACE] =
      g_param_spec_object ("workspace", NULL, NULL, SHIM_TYPE_WORKSPACE,
                           G_PARAM_WRITABLE | G_PARAM_CONSTRUCT_ONLY | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);
  gtk_widget_class_install_action (widget_class, "bench.leave", NULL, leave_cb);
  g_type_ensure (SHIM_TYPE_BENCH_START);
  g_type_ensure (SHIM_TYPE_BENCH_TEST);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-bench-place.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimBenchPlace, stack);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchPlace, start);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchPlace, test);
  gtk_widget_class_bind_template_callback (widget_class, test_chosen_cb);
}

static void
shim_bench_place_init (ShimBenchPlace *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * shim_bench_place_new:
 * @workspace: the register
 *
 * Returns: the place
 */
GtkWidget *
shim_bench_place_new (ShimWorkspace *workspace)
{
  return g_object_new (SHIM_TYPE_BENCH_PLACE, "workspace", workspace, NULL);
}

/**
 * shim_bench_place_show_pair:
 * @self: the place
 * @pair: id of the pair to set up a test for
 */
void
shim_bench_place_show_pair (ShimBenchPlace *self, const char *pair)
{
  g_return_if_fail (SHIM_IS_BENCH_PLACE (self));

  gtk_stack_set_visible_child (self->stack, GTK_WIDGET (self->start));
  shim_bench_test_leave (self->test);
  shim_bench_start_choose_pair (self->start, pair);
}

/**
 * shim_bench_place_show_test:
 * @self: the place
 * @test: id of the test to go on with
 */
void
shim_bench_place_show_test (ShimBenchPlace *self, const char *test)
{
  g_return_if_fail (SHIM_IS_BENCH_PLACE (self));

  shim_bench_test_open (self->test, test);
  gtk_stack_set_visible_child (self->stack, GTK_WIDGET (self->test));
}
