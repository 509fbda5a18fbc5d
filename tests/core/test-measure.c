/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "check-values.h"
#include "frame-render.h"
#include "frame-truth.h"
#include "shim-measure.h"

/* Whole frames of a known truth, by the generator of tests/frames, which shares no code with the program. 6
 * megapixels of the 24-megapixel sensor's pitch. */

typedef struct
{
  FrameScene scene;
  FrameTruth truth;
  ShimMeasureRequest request;
  gboolean turned; /* the camera was held turned: the picture is measured lying on its side */
  ShimLuma luma;
  guint8 *px;
} Frame;

/* A point of the upright scene in the picture that is measured. */
static ShimPoint
place (const Frame *frame, const FrameMark *mark)
{
  if (frame->turned)
    return (ShimPoint) { frame->scene.height_px - mark->upright.y, mark->upright.x };
  return (ShimPoint) { mark->upright.x, mark->upright.y };
}

static void
frame_plain (Frame *frame)
{
  *frame = (Frame) { .px = NULL };
  frame_scene_init (&frame->scene);
  frame->scene.width_px = 3000;
  frame->scene.height_px = 2000;
  frame->scene.sensor_width_mm = 18.0;
  frame->scene.delta_mm = 14.0;
  frame->scene.seed = 7;
}

/* Renders the scene; the request says what a photograph's metadata would, and where the target is. */
static void
frame_render (Frame *frame)
{
  g_autoptr (GError) error = NULL;
  g_autofree guint8 *rgb = frame_render_pixels (&frame->scene, &error);
  int width, height;

  g_assert_no_error (error);
  frame_truth_compute (&frame->scene, &frame->truth);
  width = frame->turned ? frame->scene.height_px : frame->scene.width_px;
  height = frame->turned ? frame->scene.width_px : frame->scene.height_px;
  frame->px = g_malloc ((gsize) width * height);
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      {
        const int column = frame->turned ? y : x, row = frame->turned ? frame->scene.height_px - 1 - x : y;
        const guint8 *p = rgb + 3 * ((gsize) row * frame->scene.width_px + column);

        frame->px[(gsize) y * width + x] = (guint8) lrint (0.299 * p[0] + 0.587 * p[1] + 0.114 * p[2]);
      }
  frame->luma = (ShimLuma) { { 0, 0, width, height }, width, height, (gsize) width, frame->px };

  shim_measure_request_init (&frame->request);
  frame->request.has_target = TRUE;
  frame->request.target_px = place (frame, &frame->truth.aligned);
  frame->request.focal_mm = frame->scene.focal_mm;
  frame->request.f_number = frame->scene.f_number;
  frame->request.distance_mm = 100.0 * rint (frame->scene.distance_mm / 100.0);
  frame->request.pixel_pitch_mm = frame->scene.sensor_width_mm / frame->scene.width_px;
  frame->request.coc_mm = 0.030;
}

/* Measured within 3.5 of its standard errors and a fiftieth of the depth of field. */
static ShimMeasurement *
check_measured (const Frame *frame)
{
  ShimMeasurement *m = shim_measure_luma (&frame->luma, &frame->request, NULL);
  const ShimPoint sharp = place (frame, &frame->truth.sharp);

  g_test_message ("%s: offset %.2f (true %.2f) ± %.2f mm", shim_refusal_to_name (m->refusal), m->offset_mm,
                  frame->truth.delta_mm, m->offset_se_mm);
  g_assert_cmpstr (m->reason, ==, NULL);
  g_assert_cmpint (m->refusal, ==, SHIM_REFUSAL_NONE);
  check_near ((m->offset_mm - frame->truth.delta_mm) / m->offset_se_mm, 0.0, 3.5);
  if (isfinite (m->depth_of_field_mm))
    check_near ((m->offset_mm - frame->truth.delta_mm) / m->depth_of_field_mm, 0.0, 0.02);
  check_near (hypot (m->sharp_px.x - sharp.x, m->sharp_px.y - sharp.y), 0.0,
              4.0 * m->offset_se_mm / m->mm_per_px + 1.0);
  check_near (fabs (shim_measurement_reading_at (m, m->sharp_px) - m->sharp_reading_mm), 0.0, 0.01);
  return m;
}

/* Whether a doubt is said that has these words. */
static gboolean
has_warning (const ShimMeasurement *m, const char *words)
{
  for (guint i = 0; m->warnings != NULL && m->warnings[i] != NULL; i++)
    if (strstr (m->warnings[i], words) != NULL)
      return TRUE;
  return FALSE;
}

static void
test_found (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  Frame frame;

  frame_plain (&frame);
  frame_render (&frame);
  m = check_measured (&frame);
  check_near (m->angle_deg, 45.0, 0.5);
  check_near (m->distance_mm, 2500.0, 15.0);
  g_assert_cmpint (m->far_side, ==, SHIM_FAR_UP);
  check_near (m->tick_mm, 1.0, 1e-9);
  check_near (m->target_px.x, frame.truth.aligned.upright.x, 1.0);
  check_near (m->target_px.y, frame.truth.aligned.upright.y, 0.2);
  g_assert_cmpuint (m->n_curve, >, 10);
  g_assert_false (has_warning (m, "how far apart the ticks are"));
  g_free (frame.px);
}

/* A strip that is 8 pixels off at one end, and only the pixels it needs. */
static void
test_strip (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  ShimRect rect;
  Frame frame;

  frame_plain (&frame);
  frame.turned = TRUE;
  frame_render (&frame);
  frame.request.has_strip = TRUE;
  frame.request.strip_a_px = place (&frame, &frame.truth.mark1);
  frame.request.strip_a_px.y += 8.0;
  frame.request.strip_b_px = place (&frame, &frame.truth.mark2);
  frame.request.strip_b_px.y -= 3.0;
  g_assert_true (shim_measure_rect (&frame.request, frame.luma.picture_width, frame.luma.picture_height, &rect));
  g_assert_cmpint (rect.width * rect.height, <, frame.luma.picture_width * frame.luma.picture_height / 8);
  frame.luma.px += (gsize) rect.y * frame.luma.stride + rect.x;
  frame.luma.rect = rect;
  m = check_measured (&frame);
  g_free (frame.px);
}

static void
test_dark_ruler_rolled (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  Frame frame;

  frame_plain (&frame);
  frame.scene.material = FRAME_MATERIAL_DARK;
  frame.scene.roll_deg = 3.0;
  frame.scene.toward = TRUE;
  frame.scene.angle_deg = 50.0;
  frame.scene.clutter = FRAME_CLUTTER_TEXT | FRAME_CLUTTER_KEYS;
  frame_render (&frame);
  m = check_measured (&frame);
  check_near (m->angle_deg, 50.0, 1.0);
  g_free (frame.px);
}

/* Without focal length and f-number there is no depth of field, the angle is taken as 45° with a doubt, and nothing checks the
 * spacing of the ticks. */
static void
test_no_lens (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  Frame frame;

  frame_plain (&frame);
  frame_render (&frame);
  frame.request.focal_mm = frame.request.f_number = frame.request.distance_mm = NAN;
  m = check_measured (&frame);
  g_assert_true (isnan (m->depth_of_field_mm));
  g_assert_false (m->angle_measured);
  g_assert_true (has_warning (m, "how far apart the ticks are"));
  g_free (frame.px);
}

static void
test_inches (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  Frame frame;

  frame_plain (&frame);
  frame.scene.scale = FRAME_SCALE_SIXTEENTHS;
  frame.scene.f_number = 1.4;
  frame_render (&frame);
  m = check_measured (&frame);
  check_near (m->tick_mm, 25.4 / 16.0, 1e-9);
  g_free (frame.px);
}

/* So coarse pixels that the finest ticks are beyond half a cycle per pixel. */
static void
frame_coarse (Frame *frame, FrameScale scale, double pitch_mm)
{
  frame_plain (frame);
  frame->scene.width_px = 1500;
  frame->scene.height_px = 1000;
  frame->scene.sensor_width_mm = frame->scene.width_px * pitch_mm;
  frame->scene.scale = scale;
}

static void
test_beyond_pixels (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  Frame frame;

  /* as of 12 megapixels on 36 × 24 mm */
  frame_coarse (&frame, FRAME_SCALE_MM, 36.0 / 4242.0);
  frame_render (&frame);
  m = check_measured (&frame);
  check_near (m->tick_mm, 5.0, 1e-9);
  g_assert_cmpfloat (m->offset_se_mm, <, 0.015 * m->depth_of_field_mm);
  check_near (m->softness_px, frame.scene.softness_px, 0.1);
  g_assert_true (has_warning (m, "too fine for the pixels"));
  g_free (frame.px);
}

/* Of sixteenths only the longer ones are found here. Naming the finest, with the distance recorded, is not taken for those. */
static void
test_beyond_pixels_named (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  Frame frame;

  frame_coarse (&frame, FRAME_SCALE_SIXTEENTHS, 0.0115);
  frame_render (&frame);
  frame.request.tick_mm = 25.4 / 16.0;
  m = check_measured (&frame);
  check_near (m->distance_mm, 2500.0, 25.0);
  g_free (frame.px);
}

static void
test_off_ruler (void)
{
  static const struct { double delta; ShimRefusal refusal; } cases[] = {
    { -125.0, SHIM_REFUSAL_OFF_RULER_NEAR }, { 132.0, SHIM_REFUSAL_OFF_RULER_FAR },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimMeasurement) m = NULL;
      Frame frame;

      frame_plain (&frame);
      frame.scene.f_number = 2.8;
      frame.scene.delta_mm = cases[i].delta;
      frame_render (&frame);
      m = shim_measure_luma (&frame.luma, &frame.request, NULL);
      g_assert_cmpint (m->refusal, ==, cases[i].refusal);
      g_assert_true (isnan (m->offset_mm));
      g_assert_cmpfloat (fabs (m->offset_bound_mm), >, 90.0);
      g_assert_cmpfloat (fabs (m->offset_bound_mm), <, fabs (cases[i].delta) + 3.0);
      g_assert_cmpfloat (m->offset_bound_mm * cases[i].delta, >, 0.0);
      g_free (frame.px);
    }
}

/* So far off that all ticks are gone everywhere: the long edges tell the side, and the bound is the ruler's end. */
static void
test_far_off_ruler (void)
{
  static const struct { double delta; ShimRefusal refusal; } cases[] = {
    { -260.0, SHIM_REFUSAL_OFF_RULER_NEAR }, { 280.0, SHIM_REFUSAL_OFF_RULER_FAR },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimMeasurement) m = NULL;
      Frame frame;

      frame_plain (&frame);
      frame.scene.f_number = 1.4;
      frame.scene.delta_mm = cases[i].delta;
      frame_render (&frame);
      m = shim_measure_luma (&frame.luma, &frame.request, NULL);
      g_assert_cmpint (m->refusal, ==, cases[i].refusal);
      g_assert_cmpint (m->far_side, ==, SHIM_FAR_UP);
      g_assert_true (isnan (m->offset_mm));
      /* the ruler reaches 106 mm to each side of the target, in depth */
      g_assert_cmpfloat (fabs (m->offset_bound_mm), >, 60.0);
      g_assert_cmpfloat (fabs (m->offset_bound_mm), <, 110.0);
      g_assert_cmpfloat (m->offset_bound_mm * cases[i].delta, >, 0.0);
      /* the same with a strip given */
      g_clear_pointer (&m, shim_measurement_free);
      frame.request.has_strip = TRUE;
      frame.request.strip_a_px = place (&frame, &frame.truth.mark1);
      frame.request.strip_b_px = place (&frame, &frame.truth.mark2);
      m = shim_measure_luma (&frame.luma, &frame.request, NULL);
      g_assert_cmpint (m->refusal, ==, cases[i].refusal);
      g_free (frame.px);
    }
}

/* A finger lies over the ticks near the sharp line: the ruler does not end there. */
static void
test_finger (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  Frame frame;

  frame_plain (&frame);
  frame.scene.f_number = 1.4;
  frame.scene.blob = TRUE;
  frame.scene.blob_mm = 160.0;
  frame_render (&frame);
  m = check_measured (&frame);
  g_assert_cmpfloat (m->last_reading_mm - m->first_reading_mm, >, 200.0);
  g_free (frame.px);
}

static ShimRefusal
refusal_of (Frame *frame)
{
  g_autoptr (ShimMeasurement) m = NULL;

  frame_render (frame);
  m = shim_measure_luma (&frame->luma, &frame->request, NULL);
  g_free (frame->px);
  g_assert_cmpstr (m->reason, !=, NULL);
  g_assert_true (isnan (m->offset_mm));
  return m->refusal;
}

static void
test_refusals (void)
{
  Frame frame;

  frame_plain (&frame);
  frame.scene.tick_contrast = 0.0;
  frame.scene.numerals = FALSE;
  g_assert_cmpint (refusal_of (&frame), ==, SHIM_REFUSAL_NO_RULER);

  frame_plain (&frame);
  frame.scene.length_mm = 20.0;
  frame.scene.aligned_mm = 10.0;
  g_assert_cmpint (refusal_of (&frame), !=, SHIM_REFUSAL_NONE);
}

static void
test_no_target (void)
{
  g_autoptr (ShimMeasurement) m = NULL;
  Frame frame;

  frame_plain (&frame);
  frame_render (&frame);
  frame.request.has_target = FALSE;
  m = shim_measure_luma (&frame.luma, &frame.request, NULL);
  g_assert_cmpint (m->refusal, ==, SHIM_REFUSAL_NO_TARGET);
  g_assert_true (isfinite (m->sharp_reading_mm));
  check_near (m->sharp_px.y, frame.truth.sharp.upright.y, 4.0);
  g_free (frame.px);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/measure/found", test_found);
  g_test_add_func ("/core/measure/strip", test_strip);
  g_test_add_func ("/core/measure/dark-ruler-rolled", test_dark_ruler_rolled);
  g_test_add_func ("/core/measure/no-lens", test_no_lens);
  g_test_add_func ("/core/measure/inches", test_inches);
  g_test_add_func ("/core/measure/beyond-pixels", test_beyond_pixels);
  g_test_add_func ("/core/measure/beyond-pixels-named", test_beyond_pixels_named);
  g_test_add_func ("/core/measure/off-ruler", test_off_ruler);
  g_test_add_func ("/core/measure/far-off-ruler", test_far_off_ruler);
  g_test_add_func ("/core/measure/finger", test_finger);
  g_test_add_func ("/core/measure/refusals", test_refusals);
  g_test_add_func ("/core/measure/no-target", test_no_target);
  return g_test_run ();
}
