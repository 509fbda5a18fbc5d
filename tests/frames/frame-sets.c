/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-sets.h"

#include "frame-batch.h"
#include "frame-grain.h"

#include <math.h>
#include <string.h>

/* Sets of frames by kind. Each kind is the good frame with one thing changed; every frame is drawn from set, seed and
 * index alone. */

/* What a good frame keeps between the sharp line and the ruler's ends, mm. */
#define CLEAR_MM 18.0

/* Random numbers of one frame, one after the other. */
typedef struct
{
  guint64 seed;
  guint64 n;
} Dice;

static double
between (Dice *dice, double low, double high)
{
  return low + (high - low) * frame_random (dice->seed, dice->n++);
}

static gboolean
one_in (Dice *dice, int n)
{
  return frame_random (dice->seed, dice->n++) * n < 1.0;
}

static double
pick (Dice *dice, const double *values, int n)
{
  return values[MIN (n - 1, (int) (frame_random (dice->seed, dice->n++) * n))];
}

static void
aim (FrameScene *scene, double reading_mm)
{
  double away = (scene->toward ? -1.0 : 1.0) * (reading_mm - scene->aligned_mm);

  scene->delta_mm = away * cos (scene->angle_deg * G_PI / 180.0);
}

static void
aim_clear (FrameScene *scene, Dice *dice)
{
  aim (scene, between (dice, CLEAR_MM, scene->length_mm - CLEAR_MM));
}

/* Sides, lens, light and speed as they come. */
static void
draw_good (FrameScene *scene, Dice *dice)
{
  static const double focals[] = { 35, 50, 50, 85, 105, 135, 200 };
  static const double f_numbers[] = { 1.4, 1.8, 2.0, 2.8 };
  static const double speeds[] = { 100, 100, 200, 400, 800 };

  frame_scene_init (scene);
  scene->seed = (guint32) frame_hash (dice->seed, 0, 1);
  scene->focal_mm = pick (dice, focals, G_N_ELEMENTS (focals));
  scene->f_number = pick (dice, f_numbers, G_N_ELEMENTS (f_numbers));
  scene->distance_mm = scene->focal_mm * between (dice, 46.0, 53.0);
  scene->aligned_mm = round (between (dice, 125.0, 175.0));
  scene->toward = one_in (dice, 3);
  scene->edge = one_in (dice, 3) ? FRAME_EDGE_AWAY : FRAME_EDGE_TARGET;
  scene->roll_deg = between (dice, -0.8, 0.8);
  scene->shift_x_mm = between (dice, -40.0, 40.0);
  scene->shift_y_mm = between (dice, -30.0, 30.0);
  scene->softness_px = between (dice, 0.5, 0.7);
  scene->uneven = between (dice, 0.0, 0.2);
  scene->uneven_deg = between (dice, 0.0, 360.0);
  scene->exposure = between (dice, 0.75, 1.15);
  scene->iso = (int) pick (dice, speeds, G_N_ELEMENTS (speeds));
  scene->quality = (int) between (dice, 96.0, 99.9);
  scene->subsampling = one_in (dice, 2) ? 444 : 420;
  scene->plane_unit_cm = one_in (dice, 3);
  aim_clear (scene, dice);
}

static void
draw_f4 (FrameScene *scene, Dice *dice)
{
  scene->f_number = 4.0;
}

static void
draw_iso6400 (FrameScene *scene, Dice *dice)
{
  scene->iso = 6400;
  scene->noise_everywhere = one_in (dice, 4);
}

static void
draw_lowcontrast (FrameScene *scene, Dice *dice)
{
  scene->tick_contrast = between (dice, 0.25, 0.5);
}

static void
draw_nearend (FrameScene *scene, Dice *dice)
{
  double inside = between (dice, 3.0, CLEAR_MM);

  aim (scene, one_in (dice, 2) ? inside : scene->length_mm - inside);
}

static void
draw_offruler (FrameScene *scene, Dice *dice)
{
  double beyond = between (dice, 8.0, 140.0);

  aim (scene, one_in (dice, 2) ? -beyond : scene->length_mm + beyond);
}

static void
draw_sharpened (FrameScene *scene, Dice *dice)
{
  scene->sharpening = between (dice, 0.4, 1.6);
  scene->sharpening_px = between (dice, 0.6, 1.3);
}

static void
draw_q92 (FrameScene *scene, Dice *dice)
{
  scene->quality = (int) between (dice, 88.0, 95.9);
}

static void
draw_q80 (FrameScene *scene, Dice *dice)
{
  scene->quality = (int) between (dice, 72.0, 86.0);
  scene->subsampling = 420;
}

static void
draw_glare (FrameScene *scene, Dice *dice)
{
  scene->glare = between (dice, 0.1, 0.45);
  scene->glare_mm = between (dice, 20.0, scene->length_mm - 20.0);
  scene->veil = between (dice, 0.0, 0.08);
  scene->exposure = between (dice, 0.6, 0.85);
}

static void
draw_clipped (FrameScene *scene, Dice *dice)
{
  scene->exposure = between (dice, 1.5, 2.6);
}

static void
draw_dark (FrameScene *scene, Dice *dice)
{
  scene->exposure = between (dice, 0.004, 0.12);
}

static void
draw_shake (FrameScene *scene, Dice *dice)
{
  scene->shake_px = between (dice, 0.8, 3.5);
  scene->shake_deg = between (dice, 0.0, 180.0);
}

static void
draw_soft (FrameScene *scene, Dice *dice)
{
  scene->softness_px = between (dice, 0.9, 1.6);
}

static void
draw_distortion (FrameScene *scene, Dice *dice)
{
  scene->k1 = between (dice, -0.05, 0.04);
  scene->shift_x_mm = between (dice, -350.0, 350.0);
  scene->shift_y_mm = between (dice, -150.0, 150.0);
}

static void
draw_offaxis (FrameScene *scene, Dice *dice)
{
  scene->shift_x_mm = between (dice, -450.0, 450.0);
  scene->shift_y_mm = between (dice, -250.0, 250.0);
}

static void
draw_aberration (FrameScene *scene, Dice *dice)
{
  scene->aberration_px = between (dice, 0.5, 2.0) * (one_in (dice, 2) ? -1.0 : 1.0);
}

static void
draw_clutter (FrameScene *scene, Dice *dice)
{
  scene->clutter = one_in (dice, 3) ? FRAME_CLUTTER_ALL : (guint) between (dice, 1.0, FRAME_CLUTTER_ALL);
  scene->noise_everywhere = one_in (dice, 2);
}

static void
draw_inch (FrameScene *scene, Dice *dice)
{
  scene->scale = one_in (dice, 2) ? FRAME_SCALE_TENTHS : FRAME_SCALE_SIXTEENTHS;
  scene->length_mm = 304.8;
}

static void
draw_halfmm (FrameScene *scene, Dice *dice)
{
  static const double f_numbers[] = { 1.4, 1.8, 2.0, 2.8 };

  scene->scale = FRAME_SCALE_HALF_MM;
  /* Half millimetres are beyond the pixels at 50 f; half of the frames are taken from nearer. */
  if (one_in (dice, 2))
    scene->distance_mm = scene->focal_mm * between (dice, 24.0, 30.0);
  scene->f_number = pick (dice, f_numbers, G_N_ELEMENTS (f_numbers));
}

static void
draw_steel (FrameScene *scene, Dice *dice)
{
  scene->material = one_in (dice, 2) ? FRAME_MATERIAL_STEEL : FRAME_MATERIAL_DARK;
  scene->edge = one_in (dice, 2) ? FRAME_EDGE_BOTH : FRAME_EDGE_TARGET;
  scene->glare = between (dice, 0.0, 0.15);
  scene->glare_mm = between (dice, 0.0, scene->length_mm);
  scene->scratches = (int) between (dice, 0.0, 6.0);
}

static void
draw_wood (FrameScene *scene, Dice *dice)
{
  scene->material = FRAME_MATERIAL_WOOD;
  scene->scratches = (int) between (dice, 0.0, 5.0);
}

static void
draw_hand (FrameScene *scene, Dice *dice)
{
  scene->blob = TRUE;
  scene->blob_mm = between (dice, 20.0, scene->length_mm - 20.0);
  scene->scratches = (int) between (dice, 2.0, 10.0);
}

static void
draw_bothedges (FrameScene *scene, Dice *dice)
{
  scene->edge = FRAME_EDGE_BOTH;
  scene->numerals = one_in (dice, 2);
}

static void
draw_sideways (FrameScene *scene, Dice *dice)
{
  static const double turns[] = { 90, 180, 270 };

  scene->turn_deg = (int) pick (dice, turns, G_N_ELEMENTS (turns));
  scene->tag_orientation = !one_in (dice, 3);
}

static void
draw_rolled (FrameScene *scene, Dice *dice)
{
  scene->roll_deg = between (dice, 1.0, 5.0) * (one_in (dice, 2) ? -1.0 : 1.0);
}

static void
draw_angles (FrameScene *scene, Dice *dice)
{
  scene->angle_deg = between (dice, 30.0, 60.0);
  scene->far_down = one_in (dice, 4);
  aim_clear (scene, dice);
}

/* Coarser pixels want a nearer camera; both as told and too far are tried. */
static void
draw_12mp (FrameScene *scene, Dice *dice)
{
  scene->width_px = 4288;
  scene->height_px = 2848;
  scene->distance_mm = scene->focal_mm * between (dice, 28.0, 52.0);
}

static void
draw_60mp (FrameScene *scene, Dice *dice)
{
  gboolean more = one_in (dice, 4);

  scene->width_px = more ? 12288 : 9504;
  scene->height_px = more ? 8192 : 6336;
}

static void
draw_apsc (FrameScene *scene, Dice *dice)
{
  scene->sensor_width_mm = 23.6;
  scene->width_px = one_in (dice, 2) ? 6000 : 4928;
  scene->height_px = scene->width_px * 2 / 3 / 8 * 8;
}

static void
draw_mft (FrameScene *scene, Dice *dice)
{
  scene->sensor_width_mm = 17.3;
  scene->width_px = 5184;
  scene->height_px = 3888;
}

static void
draw_noexif (FrameScene *scene, Dice *dice)
{
  scene->write_exif = FALSE;
}

static void
draw_nolens (FrameScene *scene, Dice *dice)
{
  scene->write_lens = FALSE;
}

static void
draw_wronglens (FrameScene *scene, Dice *dice)
{
  if (one_in (dice, 2))
    scene->exif_f_number = scene->f_number * (one_in (dice, 2) ? 2.0 : 0.5);
  else
    scene->exif_focal_mm = scene->focal_mm * (one_in (dice, 2) ? 1.5 : 0.7);
}

static void
draw_bayer (FrameScene *scene, Dice *dice)
{
  scene->bayer = TRUE;
}

/* The printed target: its ticks reach 120 mm to each side of the target line. */
static void
draw_owntarget (FrameScene *scene, Dice *dice)
{
  static const double pixels[] = { 4240, 6000, 6000, 8256 };
  static const double turns[] = { 0, 0, 90, 180, 270 };

  scene->own_target = TRUE;
  scene->length_mm = 240.0;
  scene->aligned_mm = 120.0;
  scene->toward = FALSE;
  scene->far_down = FALSE;
  scene->edge = FRAME_EDGE_TARGET;
  scene->ruler_width_mm = 44.0;
  scene->angle_deg = 45.0;
  scene->distance_mm = scene->focal_mm * between (dice, 30.0, 70.0);
  scene->roll_deg = between (dice, -5.0, 5.0);
  scene->shift_x_mm = between (dice, -80.0, 120.0);
  scene->shift_y_mm = between (dice, -60.0, 60.0);
  scene->clutter = one_in (dice, 2) ? FRAME_CLUTTER_ALL : 0;
  scene->uneven = between (dice, 0.0, 0.5);
  scene->width_px = (int) pick (dice, pixels, G_N_ELEMENTS (pixels));
  scene->height_px = scene->width_px * 2 / 3;
  scene->turn_deg = (int) pick (dice, turns, G_N_ELEMENTS (turns));
  scene->tag_orientation = one_in (dice, 2);
  if (one_in (dice, 8))
    aim (scene, one_in (dice, 2) ? between (dice, -80.0, -20.0) : between (dice, 260.0, 320.0));
  else
    aim_clear (scene, dice);
}

static void
draw_noruler (FrameScene *scene, Dice *dice)
{
  scene->ruler = FALSE;
  scene->clutter = FRAME_CLUTTER_ALL;
}

/* Several of the ordinary troubles at once. */
static void
draw_mixed (FrameScene *scene, Dice *dice)
{
  static void (*const troubles[]) (FrameScene *, Dice *) = { draw_clutter, draw_rolled, draw_sharpened, draw_bayer,
                                                             draw_sideways, draw_wood, draw_q80, draw_offaxis,
                                                             draw_hand, draw_glare };

  for (guint i = 0; i < G_N_ELEMENTS (troubles); i++)
    if (one_in (dice, 4))
      troubles[i](scene, dice);
}

static void
draw_nothing_more (FrameScene *scene, Dice *dice)
{
}

/* One to three troubles of all, from those that a careful person runs into to what should have been seen in the finder. */
static void
draw_hard (FrameScene *scene, Dice *dice)
{
  static void (*const troubles[]) (FrameScene *, Dice *) = {
    draw_f4, draw_iso6400, draw_lowcontrast, draw_nearend, draw_offruler, draw_sharpened, draw_q92, draw_q80, draw_glare,
    draw_clipped, draw_dark, draw_shake, draw_soft, draw_aberration, draw_clutter, draw_inch, draw_halfmm, draw_steel,
    draw_wood, draw_hand, draw_bothedges, draw_sideways, draw_rolled, draw_12mp, draw_apsc, draw_noexif, draw_nolens,
    draw_wronglens, draw_bayer,
  };
  const int n = 1 + (int) between (dice, 0.0, 2.999);

  for (int i = 0; i < n; i++)
    troubles[(int) between (dice, 0.0, G_N_ELEMENTS (troubles) - 0.001)](scene, dice);
}

static const struct
{
  const char *name;
  void (*change) (FrameScene *, Dice *);
  const char *about;
} sets[] = {
  { "good", draw_nothing_more, "35 to 200 mm, f/1.4 to f/2.8, up to ISO 800, sharp line clear of the ends" },
  { "f4", draw_f4, "f/4" },
  { "iso6400", draw_iso6400, "ISO 6400, some with noise all over the picture" },
  { "lowcontrast", draw_lowcontrast, "ticks with a quarter to a half of the usual contrast" },
  { "nearend", draw_nearend, "sharp line 3 to 18 mm inside an end of the ruler" },
  { "offruler", draw_offruler, "sharp line 8 to 140 mm beyond an end" },
  { "sharpened", draw_sharpened, "sharpened in the camera" },
  { "q92", draw_q92, "JPEG quality 88 to 95" },
  { "q80", draw_q80, "JPEG quality 72 to 86" },
  { "glare", draw_glare, "a bright spot on the ruler and stray light" },
  { "clipped", draw_clipped, "over-exposed, most of them on the ruler" },
  { "dark", draw_dark, "three to eight stops under-exposed" },
  { "shake", draw_shake, "smeared by 0.8 to 3.5 px" },
  { "soft", draw_soft, "a lens soft all over" },
  { "distortion", draw_distortion, "barrel and pincushion distortion, away from the centre" },
  { "offaxis", draw_offaxis, "ruler away from the picture's centre" },
  { "aberration", draw_aberration, "spherical aberration" },
  { "clutter", draw_clutter, "checkerboards, blinds, books, text, keys, gratings around" },
  { "inch", draw_inch, "tenths or sixteenths of an inch" },
  { "halfmm", draw_halfmm, "half-millimetre ticks, half of them from nearer" },
  { "steel", draw_steel, "brushed steel, dark ticks or light ones on dark, shine and scratches" },
  { "wood", draw_wood, "grain" },
  { "hand", draw_hand, "a finger over the tick edge, scratches" },
  { "bothedges", draw_bothedges, "ticks at both edges, with or without numerals" },
  { "sideways", draw_sideways, "camera turned, recorded or not" },
  { "rolled", draw_rolled, "camera rolled by 1 to 5 degrees" },
  { "angles", draw_angles, "ruler at 30 to 60 degrees, some with the far end down" },
  { "12mp", draw_12mp, "12 megapixels, 28 to 52 focal lengths away" },
  { "60mp", draw_60mp, "60 or 100 megapixels" },
  { "apsc", draw_apsc, "sensor 23.6 mm wide" },
  { "mft", draw_mft, "sensor 17.3 mm wide" },
  { "noexif", draw_noexif, "no metadata at all" },
  { "nolens", draw_nolens, "metadata without focal length and f-number" },
  { "wronglens", draw_wronglens, "metadata with a wrong focal length or f-number" },
  { "bayer", draw_bayer, "through a colour mosaic" },
  { "noruler", draw_noruler, "clutter and a card, but no ruler" },
  { "owntarget", draw_owntarget, "the printed target, 30 to 70 focal lengths away, rolled, half of them in clutter, 12 to 45 megapixels, some off the strip" },
  { "mixed", draw_mixed, "several troubles at once" },
  { "hard", draw_hard, "one to three troubles of all kinds, the worst too" },
};

/**
 * frame_set_names:
 *
 * Returns: (transfer none) (array zero-terminated=1): the names of all sets
 */
const char *const *
frame_set_names (void)
{
  static const char *names[G_N_ELEMENTS (sets) + 1];

  for (guint i = 0; i < G_N_ELEMENTS (sets); i++)
    names[i] = sets[i].name;
  return names;
}

/* What is in a set, in a few words; NULL when there is none of that name. */
const char *
frame_set_about (const char *name)
{
  for (guint i = 0; i < G_N_ELEMENTS (sets); i++)
    if (strcmp (sets[i].name, name) == 0)
      return sets[i].about;
  return NULL;
}

/**
 * frame_set_draw:
 * @name: of a set
 * @seed: for other frames of the same kind
 * @index: of the frame, from 0
 * @scene: (out): the frame; its texts are literals
 * @error: return location for a #GError
 *
 * Returns: whether there is such a set
 */
gboolean
frame_set_draw (const char *name, guint32 seed, int index, FrameScene *scene, GError **error)
{
  for (guint i = 0; i < G_N_ELEMENTS (sets); i++)
    if (strcmp (sets[i].name, name) == 0)
      {
        /* The same lens, place and light for a frame of every set, so that the change alone can be judged. */
        Dice dice = { frame_hash (seed, index, 9), 0 };

        draw_good (scene, &dice);
        dice = (Dice){ frame_hash (seed, index, 100 + i), 0 };
        sets[i].change (scene, &dice);
        return TRUE;
      }
  g_set_error (error, FRAME_ERROR, FRAME_ERROR_SCENE, "There is no set \"%s\"; --list-sets names them.", name);
  return FALSE;
}

/**
 * frame_set_write:
 * @name: of a set, or "all"
 * @seed: for other frames of the same kind
 * @count: frames per set
 * @folder: where they and truth.csv are written
 * @error: return location for a #GError
 *
 * Returns: whether all were written
 */
gboolean
frame_set_write (const char *name, guint32 seed, int count, const char *folder, GError **error)
{
  g_autoptr (GPtrArray) jobs = g_ptr_array_new_with_free_func ((GDestroyNotify) frame_job_free);
  gboolean all = strcmp (name, "all") == 0;
  FrameScene unused;

  if (!all && !frame_set_draw (name, seed, 0, &unused, error))
    return FALSE;
  for (guint i = 0; i < G_N_ELEMENTS (sets); i++)
    for (int k = 0; k < count && (all || strcmp (sets[i].name, name) == 0); k++)
      {
        FrameJob *job = g_new0 (FrameJob, 1);

        frame_set_draw (sets[i].name, seed, k, &job->scene, NULL);
        job->name = g_strdup_printf ("%s-%03d.jpg", sets[i].name, k);
        job->run = g_strdup (sets[i].name);
        g_ptr_array_add (jobs, job);
      }
  return frame_batch_write (jobs, folder, error);
}
