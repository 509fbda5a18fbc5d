/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-truth.h"

#include "frame-camera.h"
#include "frame-ruler.h"

#include <math.h>

static int
tag_of_turn (int turn_deg)
{
  switch (turn_deg)
    {
    case 90:
      return 6;
    case 180:
      return 3;
    case 270:
      return 8;
    default:
      return 1;
    }
}

/* From the picture in which the scene stands upright to the pixels as stored. */
static FramePoint
to_stored (const FrameScene *scene, FramePoint p)
{
  switch (scene->turn_deg)
    {
    case 90:
      return (FramePoint){ p.y, scene->height_px - p.x };
    case 180:
      return (FramePoint){ scene->width_px - p.x, scene->height_px - p.y };
    case 270:
      return (FramePoint){ scene->width_px - p.y, p.x };
    default:
      return p;
    }
}

/* Without metadata there is no tag either, and the picture is shown as it is stored. */
static gboolean
is_shown_upright (const FrameScene *scene)
{
  return scene->write_exif && scene->tag_orientation;
}

/**
 * frame_truth_mark:
 * @scene: a scene
 * @reading_mm: a reading, which may lie beyond the ruler
 * @mark: (out): the point on the tick edge
 */
void
frame_truth_mark (const FrameScene *scene, double reading_mm, FrameMark *mark)
{
  FrameCamera camera;
  FramePoint p;
  double xyz[3];

  frame_camera_init (&camera, scene);
  frame_scene_on_edge (scene, reading_mm, xyz);
  frame_camera_project (&camera, xyz, &p.x, &p.y);
  mark->reading_mm = reading_mm;
  mark->stored = to_stored (scene, p);
  mark->upright = is_shown_upright (scene) ? p : mark->stored;
}

/**
 * frame_truth_compute:
 * @scene: a scene
 * @truth: (out): what ought to be found in its frame
 */
void
frame_truth_compute (const FrameScene *scene, FrameTruth *truth)
{
  double sharp = frame_scene_sharp_mm (scene), length = scene->length_mm;

  truth->delta_mm = scene->delta_mm;
  truth->on_ruler = sharp >= 0.0 && sharp <= length;
  truth->orientation = is_shown_upright (scene) ? tag_of_turn (scene->turn_deg) : 1;
  truth->stored_width = scene->width_px;
  truth->stored_height = scene->height_px;
  frame_truth_mark (scene, scene->aligned_mm, &truth->aligned);
  frame_truth_mark (scene, scene->toward ? length : 0.0, &truth->near_end);
  frame_truth_mark (scene, scene->toward ? 0.0 : length, &truth->far_end);
  frame_truth_mark (scene, length / 6.0, &truth->mark1);
  frame_truth_mark (scene, length * 5.0 / 6.0, &truth->mark2);
  frame_truth_mark (scene, sharp, &truth->sharp);
}

/* Numbers in the file have a point, whatever the language. */
static void
put (FILE *csv, const char *format, double value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  fputs (g_ascii_formatd (text, sizeof text, format, value), csv);
  fputc (',', csv);
}

static void
put_point (FILE *csv, const FramePoint *p)
{
  put (csv, "%.3f", p->x);
  put (csv, "%.3f", p->y);
}

/**
 * frame_truth_header:
 * @csv: an open file
 *
 * Writes the names of the columns. x and y are in the stored pixels, up_x and up_y in the upright picture; *_cm are
 * readings in cm whatever the scale.
 */
void
frame_truth_header (FILE *csv)
{
  fputs ("file,focal_mm,f_number,distance_mm,ruler_angle_deg,aligned_reading_cm,true_sharp_reading_cm,delta_mm,"
         "on_ruler,setting,run,direction,tick_edge,orientation,aligned_x,aligned_y,mark1_cm,mark1_x,mark1_y,mark2_cm,"
         "mark2_x,mark2_y,true_x,true_y,body_serial,lens_serial,notes,"
         "aligned_up_x,aligned_up_y,mark1_up_x,mark1_up_y,mark2_up_x,mark2_up_y,true_up_x,true_up_y,"
         "tick_mm,length_mm,far_up,width_px,height_px,pitch_mm,roll_deg,iso,softness_px\n",
         csv);
}

static const char *
edge_name (FrameEdge edge)
{
  return edge == FRAME_EDGE_TARGET ? "toward target" : edge == FRAME_EDGE_AWAY ? "away from target" : "both";
}

static void
put_extra (FILE *csv, const FrameScene *scene, const FrameTruth *truth)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  put_point (csv, &truth->aligned.upright);
  put_point (csv, &truth->mark1.upright);
  put_point (csv, &truth->mark2.upright);
  put_point (csv, &truth->sharp.upright);
  put (csv, "%g", frame_ruler_tick_mm (scene->scale));
  put (csv, "%g", scene->length_mm);
  fputs (scene->far_down ? "no," : "yes,", csv);
  put (csv, "%.0f", scene->width_px);
  put (csv, "%.0f", scene->height_px);
  put (csv, "%.7f", frame_scene_pitch_mm (scene));
  put (csv, "%g", scene->roll_deg);
  put (csv, "%.0f", scene->iso);
  fputs (g_ascii_formatd (text, sizeof text, "%g", scene->softness_px), csv);
  fputc ('\n', csv);
}

/**
 * frame_truth_row:
 * @csv: an open file
 * @file: name of the frame
 * @scene: its scene
 * @setting: (nullable): setting of the body, for frames of a test
 * @run: (nullable): name of the round
 * @notes: (nullable): without commas
 */
void
frame_truth_row (FILE *csv, const char *file, const FrameScene *scene, const char *setting, const char *run,
                 const char *notes)
{
  FrameTruth truth;

  frame_truth_compute (scene, &truth);
  fprintf (csv, "%s,", file);
  put (csv, "%g", scene->focal_mm);
  put (csv, "%g", scene->f_number);
  put (csv, "%g", scene->distance_mm);
  put (csv, "%g", scene->angle_deg);
  put (csv, "%.4f", scene->aligned_mm / 10.0);
  put (csv, "%.5f", truth.sharp.reading_mm / 10.0);
  put (csv, "%.4f", truth.delta_mm);
  fprintf (csv, "%s,%s,%s,%s,%s,%d,", truth.on_ruler ? "yes" : "no", setting ? setting : "", run ? run : "",
           scene->toward ? "toward" : "away", edge_name (scene->edge), truth.orientation);
  put_point (csv, &truth.aligned.stored);
  put (csv, "%g", truth.mark1.reading_mm / 10.0);
  put_point (csv, &truth.mark1.stored);
  put (csv, "%g", truth.mark2.reading_mm / 10.0);
  put_point (csv, &truth.mark2.stored);
  put_point (csv, &truth.sharp.stored);
  fprintf (csv, "%s,%s,%s,", scene->body_serial, scene->lens_serial, notes ? notes : "");
  put_extra (csv, scene, &truth);
}
