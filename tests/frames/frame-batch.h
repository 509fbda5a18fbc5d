/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-scene.h"

G_BEGIN_DECLS

/**
 * FrameJob:
 *
 * A frame to be made.
 * @scene: what it shows; texts in it must live as long as the job
 * @name: file, relative to the folder
 * @taken: (nullable): owned text that @scene may point to
 * @subsec: (nullable): likewise
 * @setting: (nullable): for the truth
 * @run: (nullable): likewise
 * @notes: (nullable): likewise
 */
typedef struct
{
  FrameScene scene;
  char *name;
  char *taken;
  char *subsec;
  char *setting;
  char *run;
  char *notes;
} FrameJob;

void     frame_job_free    (FrameJob *job);
gboolean frame_batch_write (GPtrArray *jobs, const char *folder, GError **error);

G_END_DECLS
