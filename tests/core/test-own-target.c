/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "frame-render.h"
#include "frame-truth.h"
#include "shim-own-measure.h"

/* The printed target in frames of the generator of tests/frames, whose truth comes from its own projection. Under a megapixel,
 * of the 24-megapixel sensor's pitch. */

typedef struct
{
  FrameScene scene;
  FrameTruth truth;
  ShimLuma luma;
  guint8 *px;
} Frame;

static void
frame_plain (Frame *frame)
{
  *frame = (Frame) { .px = NULL };
  frame_scene_init (&frame->scene);
  frame->scene.own_target = TRUE;
  frame->scene.width_px = 880;
  frame->scene.height_px = 680;
  frame->scene.sensor_width_mm = 5.28;
  frame->scene.distance_mm = 2600.0;
  frame->scene.aligned_mm = 120.0;
  frame->scene.length_mm = 240.0;
  frame->scene.delta_mm = 22.0;
}

static void
frame_render (Frame *frame)
{
  const int width = frame->scene.width_px, height = frame->scene.height_px;
  g_autoptr (GError) error = NULL;
  g_autofree guint8 *rgb = frame_render_pixels (&frame->scene, &error);

  g_assert_no_error (error);
  frame_truth_compute (&frame->scene, &frame->truth);
  frame->px = g_malloc ((gsize) width * height);
  for (int i = 0; i < width * height; i++)
    frame->px[i] = (guint8) lrint (0.299 * rgb[3 * i] + 0.587 * rgb[3 * i + 1] + 0.114 * rgb[3 * i + 2]);
  frame->luma = (ShimLuma) { { 0, 0, width, height }, width, height, (gsize) width, frame->px };
}

static gboolean
frame_find (const Frame *frame, ShimOwnTarget *target)
{
  g_autoptr (ShimReducedLuma) reduced = shim_reduced_luma_of (&frame->luma);

  return shim_own_target_find (reduced, frame->luma.picture_width, frame->luma.picture_height, target);
}

/* The generator's tick edge is the strip's fold, x = 0; its readings count from 120 mm before the zero. */
static double
distance_px (const ShimOwnTarget *target, double r_mm, const FrameMark *mark)
{
  const ShimPoint at = shim_own_target_point (target, r_mm, 0.0);

  return hypot (at.x - mark->upright.x, at.y - mark->upright.y);
}

static void
check_places (const Frame *frame, ShimOwnTarget *target, double allowed_px)
{
  g_assert_true (frame_find (frame, target));
  g_assert_true (target->has_discs);
  g_assert_true (shim_own_target_refine (&frame->luma, target));
  g_test_message ("%u bars, %.3f mm rms; zero %.2f px off, ends %.2f and %.2f", target->n_bars, target->residual_mm,
                  distance_px (target, 0.0, &frame->truth.aligned), distance_px (target, -120.0, &frame->truth.near_end),
                  distance_px (target, 120.0, &frame->truth.far_end));
  check_near (distance_px (target, 0.0, &frame->truth.aligned), 0.0, allowed_px);
  check_near (distance_px (target, -120.0, &frame->truth.near_end), 0.0, allowed_px);
  check_near (distance_px (target, 120.0, &frame->truth.far_end), 0.0, allowed_px);
}

static void
fill_request (const Frame *frame, ShimMeasureRequest *request)
{
  shim_measure_request_init (request);
  request->focal_mm = frame->scene.focal_mm;
  request->f_number = frame->scene.f_number;
  request->pixel_pitch_mm = frame->scene.sensor_width_mm / frame->scene.width_px;
  request->coc_mm = 0.030;
}

/* Rolled, the light uneven; nothing is given but what the blur needs. */
static void
test_measured (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  ShimMeasureRequest request;
  ShimOwnTarget target;
  Frame frame;

  frame_plain (&frame);
  frame.scene.roll_deg = 5.0;
  frame.scene.uneven = 0.5;
  frame_render (&frame);
  check_places (&frame, &target, 0.2);
  check_near (shim_own_target_aside_mm (&target), 0.0, 0.4);
  fill_request (&frame, &request);
  m = shim_own_measure (&frame.luma, &request, &target);
  g_test_message ("%s: offset %.2f (true %.2f) ± %.2f mm", shim_refusal_to_name (m->refusal), m->offset_mm,
                  frame.truth.delta_mm, m->offset_se_mm);
  g_assert_cmpstr (m->reason, ==, NULL);
  g_assert_true (m->own_target);
  g_assert_cmpint (m->far_side, ==, SHIM_FAR_UP);
  g_assert_true (m->angle_measured);
  check_near (m->angle_deg, 45.0, 0.4);
  check_near (m->distance_mm, 2600.0, 16.0);
  check_near ((m->offset_mm - frame.truth.delta_mm) / m->offset_se_mm, 0.0, 3.0);
  check_near ((m->offset_mm - frame.truth.delta_mm) / m->depth_of_field_mm, 0.0, 0.01);
  g_free (frame.px);
}

/* The sharp line so far beyond the strip that its ticks are gone: the marks are found, and no number is offered. The strip glued too
 * low on its card is told all the same. */
static void
test_out_of_focus (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  ShimMeasureRequest request;
  ShimOwnTarget target;
  Frame frame;

  frame_plain (&frame);
  frame.scene.f_number = 1.4;
  frame.scene.delta_mm = 240.0;
  frame.scene.own_card_up_mm = 4.0;
  frame_render (&frame);
  check_places (&frame, &target, 0.3);
  /* 4 mm upright are 4 √2 along a strip at 45°. */
  check_near (shim_own_target_aside_mm (&target), -4.0 * G_SQRT2, 0.5);
  fill_request (&frame, &request);
  m = shim_own_measure (&frame.luma, &request, &target);
  g_assert_true (m->own_target);
  g_assert_cmpint (m->refusal, !=, SHIM_REFUSAL_NONE);
  g_free (frame.px);
}

/* An ordinary ruler with rows of marks beside it is never taken for it. */
static void
test_other_things (void)
{
  ShimOwnTarget target;
  Frame frame;

  frame_plain (&frame);
  frame.scene.own_target = FALSE;
  frame.scene.clutter = FRAME_CLUTTER_CHECKER | FRAME_CLUTTER_TEXT | FRAME_CLUTTER_KEYS;
  frame_render (&frame);
  g_assert_false (frame_find (&frame, &target));
  g_free (frame.px);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/own-target/measured", test_measured);
  g_test_add_func ("/core/own-target/out-of-focus", test_out_of_focus);
  g_test_add_func ("/core/own-target/other-things", test_other_things);
  return g_test_run ();
}
