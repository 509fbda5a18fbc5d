/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-demo.h"
#include "frame-options.h"
#include "frame-render.h"
#include "frame-sets.h"

#include <errno.h>
#include <glib/gstdio.h>

/* Appends one row, and the names of the columns to a new file. */
static gboolean
append_truth (const char *csv, const char *path, const FrameScene *scene, GError **error)
{
  g_autofree char *name = g_path_get_basename (path);
  gboolean is_new = !g_file_test (csv, G_FILE_TEST_EXISTS);
  FILE *file = g_fopen (csv, "a");

  if (file == NULL)
    {
      g_set_error (error, FRAME_ERROR, FRAME_ERROR_WRITE, "%s cannot be written: %s.", csv, g_strerror (errno));
      return FALSE;
    }
  if (is_new)
    frame_truth_header (file);
  frame_truth_row (file, name, scene, NULL, NULL, NULL);
  if (fclose (file) == 0)
    return TRUE;
  g_set_error (error, FRAME_ERROR, FRAME_ERROR_WRITE, "%s cannot be written: %s.", csv, g_strerror (errno));
  return FALSE;
}

static void
print_truth (const char *path, const FrameTruth *truth)
{
  g_print ("%s: sharp at %.2f mm of the ruler, offset %+.2f mm%s; target line at %.1f, %.1f px of the upright picture\n",
           path, truth->sharp.reading_mm, truth->delta_mm, truth->on_ruler ? "" : " (off the ruler)",
           truth->aligned.upright.x, truth->aligned.upright.y);
}

static void
list_sets (void)
{
  const char *const *names = frame_set_names ();

  for (int i = 0; names[i] != NULL; i++)
    g_print ("%-12s %s\n", names[i], frame_set_about (names[i]));
}

static gboolean
run (const FrameOptions *options, GError **error)
{
  const char *path = options->rest ? options->rest[0] : NULL;
  FrameTruth truth;

  if (options->list_sets)
    {
      list_sets ();
      return TRUE;
    }
  if (path == NULL || options->rest[1] != NULL)
    {
      g_set_error (error, FRAME_ERROR, FRAME_ERROR_SCENE, "Name one file or folder to be written.");
      return FALSE;
    }
  if (options->demo)
    return frame_demo_write (path, error);
  if (options->set != NULL)
    return frame_set_write (options->set, options->scene.seed, options->count, path, error);
  if (!frame_render_file (&options->scene, path, &truth, error)
      || (options->truth != NULL && !append_truth (options->truth, path, &options->scene, error)))
    return FALSE;
  print_truth (path, &truth);
  return TRUE;
}

int
main (int argc, char **argv)
{
  /* Static: the texts of the scene are borrowed from the command line for as long as the program runs. */
  static FrameOptions options;
  g_autoptr (GError) error = NULL;
  gboolean done = frame_options_parse (&options, &argc, &argv, &error) && run (&options, &error);

  if (!done)
    g_printerr ("shimbook-frames: %s\n", error->message);
  frame_options_clear (&options);
  return done ? 0 : 1;
}
