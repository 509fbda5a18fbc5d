/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-scene.h"

G_BEGIN_DECLS

/**
 * FrameOptions:
 *
 * What the command line of shimbook-frames asks for.
 * @scene: one frame
 * @truth: (nullable): CSV file that gets a row per frame
 * @demo: make the demo's frames
 * @set: (nullable): name of a set to draw
 * @list_sets: print the names of the sets
 * @count: number of frames of the set
 * @rest: what stands beside the options: a file or a folder
 */
typedef struct
{
  FrameScene scene;
  char *truth;
  gboolean demo;
  char *set;
  gboolean list_sets;
  int count;
  char **rest;
} FrameOptions;

gboolean frame_options_parse (FrameOptions *options, int *argc, char ***argv, GError **error);
void     frame_options_clear (FrameOptions *options);

G_END_DECLS
