/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-batch.h"

#include "frame-render.h"

#include <errno.h>
#include <glib/gstdio.h>

typedef struct
{
  const char *folder;
  GMutex lock;
  GError *error; /* the first one */
} Batch;

void
frame_job_free (FrameJob *job)
{
  g_free (job->name);
  g_free (job->taken);
  g_free (job->subsec);
  g_free (job->setting);
  g_free (job->run);
  g_free (job->notes);
  g_free (job);
}

static void
keep_error (Batch *batch, GError *error)
{
  g_mutex_lock (&batch->lock);
  if (batch->error == NULL)
    batch->error = error;
  else
    g_error_free (error);
  g_mutex_unlock (&batch->lock);
}

static void
make_frame (gpointer item, gpointer user_data)
{
  const FrameJob *job = item;
  Batch *batch = user_data;
  g_autofree char *path = g_build_filename (batch->folder, job->name, NULL);
  g_autofree char *parent = g_path_get_dirname (path);
  GError *error = NULL;

  if (g_mkdir_with_parents (parent, 0755) != 0)
    g_set_error (&error, FRAME_ERROR, FRAME_ERROR_WRITE, "The folder %s cannot be made: %s.", parent, g_strerror (errno));
  else
    frame_render_file (&job->scene, path, NULL, &error);
  if (error != NULL)
    keep_error (batch, error);
}

static gboolean
write_truth (GPtrArray *jobs, const char *folder, GError **error)
{
  g_autofree char *path = g_build_filename (folder, "truth.csv", NULL);
  FILE *csv = g_fopen (path, "w");

  if (csv == NULL)
    {
      g_set_error (error, FRAME_ERROR, FRAME_ERROR_WRITE, "%s cannot be written: %s.", path, g_strerror (errno));
      return FALSE;
    }
  frame_truth_header (csv);
  for (guint i = 0; i < jobs->len; i++)
    {
      const FrameJob *job = jobs->pdata[i];

      frame_truth_row (csv, job->name, &job->scene, job->setting, job->run, job->notes);
    }
  if (fclose (csv) == 0)
    return TRUE;
  g_set_error (error, FRAME_ERROR, FRAME_ERROR_WRITE, "%s cannot be written: %s.", path, g_strerror (errno));
  return FALSE;
}

/**
 * frame_batch_write:
 * @jobs: (element-type FrameJob): the frames
 * @folder: where they and truth.csv are written
 * @error: return location for a #GError
 *
 * Makes the frames on all cores.
 *
 * Returns: whether all were written
 */
gboolean
frame_batch_write (GPtrArray *jobs, const char *folder, GError **error)
{
  Batch batch = { .folder = folder };
  GThreadPool *pool = g_thread_pool_new (make_frame, &batch, (int) g_get_num_processors (), FALSE, error);

  if (pool == NULL)
    return FALSE;
  g_mutex_init (&batch.lock);
  for (guint i = 0; i < jobs->len; i++)
    g_thread_pool_push (pool, jobs->pdata[i], NULL);
  g_thread_pool_free (pool, FALSE, TRUE);
  g_mutex_clear (&batch.lock);
  if (batch.error != NULL)
    {
      g_propagate_error (error, batch.error);
      return FALSE;
    }
  return write_truth (jobs, folder, error);
}
