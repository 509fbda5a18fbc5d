/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-format.h"
#include "shim-set-up-page.h"
#include "shim-set-up.h"

#define USUAL_ANGLE_DEG 45.0

struct _ShimSetUpPage
{
  AdwBin parent_instance;

  /* template widgets */
  GtkLabel *aperture_label;
  GtkLabel *distance_label;
  AdwActionRow *distance_row;
  GtkLabel *field_label;
  AdwActionRow *field_row;
  GtkLabel *light_label;
  AdwActionRow *light_row;
  GtkLabel *picture_label;
  AdwActionRow *picture_row;
  GtkLabel *ruler_label;
  AdwActionRow *ruler_row;
  GtkLabel *start_label;
  AdwActionRow *start_row;
  GtkLabel *step_label;
  AdwActionRow *step_row;
  GtkLabel *tolerance_label;
  AdwActionRow *tolerance_row;
};

G_DEFINE_FINAL_TYPE (ShimSetUpPage, shim_set_up_page, ADW_TYPE_BIN)

static void
shim_set_up_page_dispose (GObject *object)
{
  /* AdwBin would let go of a child once more that went with the template. */
  adw_bin_set_child (ADW_BIN (object), NULL);
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_SET_UP_PAGE);
  G_OBJECT_CLASS (shim_set_up_page_parent_class)->dispose (object);
}

static void
shim_set_up_page_class_init (ShimSetUpPageClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_set_up_page_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-set-up-page.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, aperture_label);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, distance_label);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, distance_row);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, field_label);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, field_row);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, light_label);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, light_row);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, picture_label);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, picture_row);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, ruler_label);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, ruler_row);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, start_label);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, start_row);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, step_label);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, step_row);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, tolerance_label);
  gtk_widget_class_bind_template_child (widget_class, ShimSetUpPage, tolerance_row);
}

static void
shim_set_up_page_init (ShimSetUpPage *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * shim_set_up_page_new:
 *
 * Returns: an empty page
 */
GtkWidget *
shim_set_up_page_new (void)
{
  return g_object_new (SHIM_TYPE_SET_UP_PAGE, NULL);
}

static void
show_length (GtkLabel *label, double length_mm)
{
  g_autofree char *text = shim_bench_text_length (length_mm);

  gtk_label_set_label (label, text);
}

static void
show_place (ShimSetUpPage *self, const ShimTestSummary *summary, const ShimSetUp *set_up, double angle_deg)
{
  g_autofree char *least = shim_bench_text_length (set_up->least_mm);
  g_autofree char *start = shim_bench_text_length (set_up->start_mm);
  g_autofree char *width = shim_bench_text_length (set_up->field_width_mm);
  g_autofree char *height = shim_bench_text_length (set_up->field_height_mm);
  g_autofree char *along = shim_bench_text_length (set_up->ruler_field_mm);
  g_autofree char *angle = shim_format_number (angle_deg, 0);
  g_autofree char *px = shim_format_number (set_up->px_per_mm, 1);
  g_autofree char *distance_text = NULL;
  g_autofree char *ruler_text = NULL;
  g_autofree char *picture = NULL;
  g_autofree char *picture_text = NULL;

  show_length (self->distance_label, summary->test->distance_mm);
  distance_text = g_strdup_printf (_ ("%s to %s make sense, 25 to 50 times the focal length: nearer than you "
                                      "photograph, the result "
                                      "need not hold; farther, the ruler's ticks run together. Measure from the "
                                      "image plane mark."),
                                   least, start);
  adw_action_row_set_subtitle (self->distance_row, distance_text);

  show_length (self->ruler_label, set_up->ruler_wanted_mm);
  ruler_text = g_strdup_printf (_ ("At least, half the depth of field; %s are better. Lean it back at %s°, its "
                                   "middle level with the "
                                   "target's face and close beside it."),
                                along, angle);
  adw_action_row_set_subtitle (self->ruler_row, ruler_text);

  picture = isnan (set_up->field_width_mm) ? g_strdup ("–") : g_strdup_printf (_ ("%s × %s"), width, height);
  gtk_label_set_label (self->picture_label, picture);
  picture_text = isnan (set_up->px_per_mm)
                     ? g_strdup (_ ("Aim the chosen focus point at the target's face, square to it."))
                     : g_strdup_printf (_ ("Aim the chosen focus point at the target's face, square to it. A "
                                           "millimetre of the ruler "
                                           "gets %s pixels."),
                                        px);
  adw_action_row_set_subtitle (self->picture_row, picture_text);
}

static const char *
step_source_text (ShimStepSource source)
{
  switch (source)
    {
    case SHIM_STEP_MEASURED:
      return _ ("As this test measured it.");
    case SHIM_STEP_BODY:
      return _ ("As other tests of this body found it.");
    case SHIM_STEP_COMMON:
    default:
      return _ ("A guess from common practice, until this body is measured.");
    }
}

static void
show_expectation (ShimSetUpPage *self, const ShimTestSummary *summary, const ShimSetUp *set_up)
{
  g_autofree char *near_text = shim_bench_text_length (summary->near_mm);
  g_autofree char *far_text = shim_bench_text_length (summary->far_mm);
  g_autofree char *coc = shim_format_number (summary->coc_mm, 3);
  g_autofree char *along = shim_bench_text_length (set_up->ruler_field_mm);
  g_autofree char *step = shim_bench_text_length (set_up->step_on_ruler_mm);
  g_autofree char *setting = shim_bench_text_setting (summary->start_setting);
  g_autofree char *field_text = NULL;
  g_autofree char *step_text = NULL;
  g_autofree char *tolerance = shim_bench_text_length (summary->tolerance_mm);
  g_autofree char *tolerance_value = g_strdup_printf (_ ("± %s"), tolerance);
  g_autofree char *tolerance_text = NULL;
  g_autofree char *share = shim_format_number (summary->test->tolerance_share * 100.0, 0);

  show_length (self->field_label, summary->depth_of_field_mm);
  field_text =
      g_strdup_printf (_ ("From %s to %s, which is %s along the ruler, with a circle of confusion of %s mm."),
                       near_text, far_text, along, coc);
  adw_action_row_set_subtitle (self->field_row, field_text);

  gtk_label_set_label (self->tolerance_label, tolerance_value);
  tolerance_text = g_strdup_printf (_ ("%s %% of the depth of field, either side."), share);
  adw_action_row_set_subtitle (self->tolerance_row, tolerance_text);

  show_length (self->step_label, fabs (summary->expected_step_mm));
  step_text = g_strdup_printf (_ ("Moves the sharp line by about %s along the ruler. %s"), step,
                               step_source_text (summary->step_source));
  adw_action_row_set_subtitle (self->step_row, step_text);

  gtk_label_set_label (self->start_label, setting);
  adw_action_row_set_subtitle (self->start_row, summary->prediction != NULL ? summary->prediction->sentence : "");
}

static void
show_camera (ShimSetUpPage *self, const ShimTestSummary *summary, const ShimSetUp *set_up)
{
  g_autofree char *aperture = shim_format_f_number (summary->test->f_number);
  g_autofree char *lux = shim_format_number (set_up->light_lx, 0);
  g_autofree char *light = g_strdup_printf (_ ("%s lx"), lux);

  gtk_label_set_label (self->aperture_label, aperture);
  gtk_label_set_label (self->light_label, light);
  adw_action_row_set_subtitle (self->light_row,
                               _ ("Or more, even and without flicker: enough for 1/125 s at ISO 400, and for the "
                                  "focus sensors to be sure."));
}

/**
 * shim_set_up_page_show:
 * @self: a page
 * @summary: the test to set up
 */
void
shim_set_up_page_show (ShimSetUpPage *self, const ShimTestSummary *summary)
{
  ShimSetUpInput input;
  ShimSetUp set_up;
  double angle_deg;

  g_return_if_fail (SHIM_IS_SET_UP_PAGE (self));
  g_return_if_fail (summary != NULL);

  /* A test that was opened without an angle leaves it to the photographs; this is the one to set up. */
  angle_deg = isnan (summary->test->angle_deg) ? USUAL_ANGLE_DEG : summary->test->angle_deg;
  input = (ShimSetUpInput){
    .focal_mm = summary->test->focal_mm,
    .f_number = summary->test->f_number,
    .distance_mm = summary->test->distance_mm,
    .angle_deg = angle_deg,
    .coc_mm = summary->coc_mm,
    .format_width_mm = summary->body->format_width_mm,
    .format_height_mm = summary->body->format_height_mm,
    .pixel_pitch_um = summary->body->pixel_pitch_um,
    .step_mm = summary->expected_step_mm,
  };
  if (!shim_set_up_work_out (&input, &set_up))
    {
      const double unknown = NAN;

      set_up = (ShimSetUp){ unknown, unknown, unknown, unknown, unknown, { unknown, unknown, unknown, unknown },
                            unknown, unknown, unknown, unknown, unknown };
    }
  show_place (self, summary, &set_up, angle_deg);
  show_expectation (self, summary, &set_up);
  show_camera (self, summary, &set_up);
}
