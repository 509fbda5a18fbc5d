/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-folder-scan.h"
#include "shim-folder-watch.h"

/* While something is being written, and when nobody told of anything (network folders do not always tell). */
#define BUSY_MS 250
#define IDLE_MS 2000
/* A burst of events is one look. */
#define EVENT_MS 50

struct _ShimFolderWatch
{
  GObject parent_instance;

  char *folder;
  ShimFolderScan *scan;      /* in the hands of the looking thread while @looking */
  GFileMonitor *monitor;
  GMainContext *context;
  GSource *timer;
  gboolean looking;
  gboolean look_again;
  gboolean stopped;
  guint n_pending;
};

G_DEFINE_FINAL_TYPE (ShimFolderWatch, shim_folder_watch, G_TYPE_OBJECT)

enum
{
  FRAME,
  PROBLEM,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

static void look (ShimFolderWatch *self);

static void
clear_timer (ShimFolderWatch *self)
{
  if (self->timer == NULL)
    return;
  g_source_destroy (self->timer);
  g_clear_pointer (&self->timer, g_source_unref);
}

static gboolean
timer_cb (gpointer user_data)
{
  ShimFolderWatch *self = user_data;

  clear_timer (self);
  look (self);
  return G_SOURCE_REMOVE;
}

static void
look_in (ShimFolderWatch *self, guint ms)
{
  clear_timer (self);
  self->timer = g_timeout_source_new (ms);
  g_source_set_callback (self->timer, timer_cb, self, NULL);
  g_source_attach (self->timer, self->context);
}

/* A thread of its own: a folder on a network may take its time. */
static void
look_thread (GTask *task, gpointer source, gpointer scan, GCancellable *cancellable)
{
  g_task_return_pointer (task, shim_folder_scan_look (scan, g_get_monotonic_time ()),
                         (GDestroyNotify) shim_folder_news_free);
}

static void
emit_all (ShimFolderWatch *self, GPtrArray *texts, guint signal)
{
  for (guint i = 0; i < texts->len && !self->stopped; i++)
    g_signal_emit (self, signals[signal], 0, g_ptr_array_index (texts, i));
}

static void
looked_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimFolderWatch) self = user_data;
  g_autoptr (ShimFolderNews) news = g_task_propagate_pointer (G_TASK (result), NULL);

  self->looking = FALSE;
  if (self->stopped)
    return;
  self->n_pending = news->n_pending;
  emit_all (self, news->complete, FRAME);
  emit_all (self, news->problems, PROBLEM);
  if (self->stopped)
    return;
  if (self->look_again)
    look_in (self, EVENT_MS);
  else
    look_in (self, self->n_pending > 0 ? BUSY_MS : IDLE_MS);
  self->look_again = FALSE;
}

/* The task holds the scan, not the watch; the callback holds the watch, in this context alone. */
static void
look (ShimFolderWatch *self)
{
  g_autoptr (GTask) task = NULL;

  if (self->stopped)
    return;
  if (self->looking)
    {
      self->look_again = TRUE;
      return;
    }
  clear_timer (self);
  self->looking = TRUE;
  task = g_task_new (NULL, NULL, looked_cb, g_object_ref (self));
  g_task_set_task_data (task, shim_folder_scan_ref (self->scan), (GDestroyNotify) shim_folder_scan_unref);
  g_task_run_in_thread (task, look_thread);
}

static void
monitor_cb (ShimFolderWatch *self)
{
  if (self->looking)
    self->look_again = TRUE;
  else if (!self->stopped)
    look_in (self, EVENT_MS);
}

/**
 * shim_folder_watch_new:
 * @folder: (type filename): the folder
 * @error: a #GFileError when it cannot be read
 *
 * Returns: (transfer full) (nullable): the watch
 */
ShimFolderWatch *
shim_folder_watch_new (const char *folder, GError **error)
{
  g_autoptr (ShimFolderWatch) self = NULL;
  g_autoptr (GFile) file = NULL;

  g_return_val_if_fail (folder != NULL, NULL);

  self = g_object_new (SHIM_TYPE_FOLDER_WATCH, NULL);
  self->folder = g_canonicalize_filename (folder, NULL);
  self->scan = shim_folder_scan_new (self->folder);
  file = g_file_new_for_path (self->folder);
  /* Without a monitor it is looked through all the same. Listening begins before looking, so nothing falls in
   * between. */
  self->monitor = g_file_monitor_directory (file, G_FILE_MONITOR_WATCH_MOVES, NULL, NULL);
  if (self->monitor != NULL)
    g_signal_connect_object (self->monitor, "changed", G_CALLBACK (monitor_cb), self, G_CONNECT_SWAPPED);
  if (!shim_folder_scan_start (self->scan, error))
    return NULL;
  look_in (self, IDLE_MS);
  return g_steal_pointer (&self);
}

/**
 * shim_folder_watch_get_folder:
 * @self: a watch
 *
 * Returns: (transfer none) (type filename): its folder
 */
const char *
shim_folder_watch_get_folder (ShimFolderWatch *self)
{
  g_return_val_if_fail (SHIM_IS_FOLDER_WATCH (self), NULL);

  return self->folder;
}

/**
 * shim_folder_watch_get_n_pending:
 * @self: a watch
 *
 * Returns: photographs that are there but not complete yet
 */
guint
shim_folder_watch_get_n_pending (ShimFolderWatch *self)
{
  g_return_val_if_fail (SHIM_IS_FOLDER_WATCH (self), 0);

  return self->n_pending;
}

/**
 * shim_folder_watch_rescan:
 * @self: a watch
 *
 * Looks through the folder at once.
 */
void
shim_folder_watch_rescan (ShimFolderWatch *self)
{
  g_return_if_fail (SHIM_IS_FOLDER_WATCH (self));

  look (self);
}

/**
 * shim_folder_watch_stop:
 * @self: a watch
 *
 * No signal comes any more.
 */
void
shim_folder_watch_stop (ShimFolderWatch *self)
{
  g_return_if_fail (SHIM_IS_FOLDER_WATCH (self));

  self->stopped = TRUE;
  clear_timer (self);
  if (self->monitor != NULL)
    g_file_monitor_cancel (self->monitor);
}

static void
shim_folder_watch_dispose (GObject *object)
{
  ShimFolderWatch *self = SHIM_FOLDER_WATCH (object);

  shim_folder_watch_stop (self);
  g_clear_object (&self->monitor);
  G_OBJECT_CLASS (shim_folder_watch_parent_class)->dispose (object);
}

static void
shim_folder_watch_finalize (GObject *object)
{
  ShimFolderWatch *self = SHIM_FOLDER_WATCH (object);

  g_clear_pointer (&self->scan, shim_folder_scan_unref);
  g_free (self->folder);
  g_main_context_unref (self->context);
  G_OBJECT_CLASS (shim_folder_watch_parent_class)->finalize (object);
}

static void
shim_folder_watch_class_init (ShimFolderWatchClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->dispose = shim_folder_watch_dispose;
  object_class->finalize = shim_folder_watch_finalize;

  /**
   * ShimFolderWatch::frame:
   * @self: a watch
   * @path: (type filename): a photograph that has become complete
   */
  signals[FRAME] = g_signal_new ("frame", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                 G_TYPE_NONE, 1, G_TYPE_STRING);

  /**
   * ShimFolderWatch::problem:
   * @self: a watch
   * @sentence: what is wrong
   */
  signals[PROBLEM] = g_signal_new ("problem", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                   G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
shim_folder_watch_init (ShimFolderWatch *self)
{
  self->context = g_main_context_ref_thread_default ();
}
