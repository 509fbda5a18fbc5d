/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-demo.h"

#include "frame-batch.h"
#include "frame-grain.h"

#include <math.h>

/* The whole test of one pair of Tarn Valley School: an Orrin Two with a Velle 50mm f/1.8 at 2.5 m. The pair focuses
 * short of the target; each step of the setting moves it STEP_MM away from the camera, so that 0 is near +7. */
#define AT_ZERO_MM -47.0
#define STEP_MM 6.7
/* Scatter of autofocus, and how far apart the sharp plane ends when focus comes from near and from far. */
#define SCATTER_MM 4.0
#define APPROACH_MM 1.5
#define FRAMES 5
#define FIRST_NUMBER 2041

static const int settings[] = { 0, 5, 10, 7 };
/* Begin of the rounds, minutes and seconds after 10. */
static const int starts_s[] = { 1843, 1972, 2108, 2251 };

static FrameJob *
make_job (int round, int frame)
{
  FrameJob *job = g_new0 (FrameJob, 1);
  FrameScene *scene = &job->scene;
  int index = round * FRAMES + frame;
  int hundredths = starts_s[round] * 100 + frame * 530 + (int) (150.0 * frame_random (41, index));
  float scatter = frame_normal ((guint) frame_hash (2026, round, frame));

  frame_scene_init (scene);
  scene->seed = 500 + index;
  scene->quality = 97;
  scene->compact = TRUE;
  scene->focal_mm = 50.0;
  scene->f_number = 1.8;
  scene->distance_mm = 2500.0;
  /* The stand gives a little when the setting is keyed in. */
  scene->shift_x_mm = 0.3 * (frame_random (42, round) - 0.5);
  scene->shift_y_mm = 0.3 * (frame_random (43, round) - 0.5);
  scene->uneven = 0.08;
  scene->delta_mm = AT_ZERO_MM + STEP_MM * settings[round] + SCATTER_MM * scatter
                    + (frame % 2 == 0 ? -0.5 : 0.5) * APPROACH_MM;
  job->taken = g_strdup_printf ("2026:11:20 10:%02d:%02d", hundredths / 6000, hundredths / 100 % 60);
  job->subsec = g_strdup_printf ("%02d", hundredths % 100);
  job->name = g_strdup_printf ("round-%d/ORR_%d.jpg", round + 1, FIRST_NUMBER + index);
  job->setting = g_strdup_printf ("%d", settings[round]);
  job->run = g_strdup_printf ("round-%d", round + 1);
  job->notes = g_strdup (frame % 2 == 0 ? "from near" : "from far");
  scene->taken = job->taken;
  scene->subsec = job->subsec;
  return job;
}

/**
 * frame_demo_write:
 * @folder: a folder, made when missing
 * @error: return location for a #GError
 *
 * Writes round-1 to round-4, five frames each, and truth.csv.
 *
 * Returns: whether all was written
 */
gboolean
frame_demo_write (const char *folder, GError **error)
{
  g_autoptr (GPtrArray) jobs = g_ptr_array_new_with_free_func ((GDestroyNotify) frame_job_free);

  for (guint round = 0; round < G_N_ELEMENTS (settings); round++)
    for (int frame = 0; frame < FRAMES; frame++)
      g_ptr_array_add (jobs, make_job ((int) round, frame));
  return frame_batch_write (jobs, folder, error);
}
