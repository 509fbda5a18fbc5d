/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-bench-test-private.h"
#include "shim-dialogs.h"
#include "shim-workspace-error.h"

/* Frames come in one after the other, whether they were chosen, dropped or found in the watched folder: the round
 * that they belong to is decided when their turn comes, by the setting the panel shows then. */

static void next_frame (ShimBenchTest *self);

static void
show_progress (ShimBenchTest *self)
{
  if (self->n_wanted <= self->n_added)
    self->n_wanted = self->n_added = 0;
  _shim_bench_test_show_busy (self);
}

typedef struct
{
  ShimBenchTest *self; /* a reference */
  char *test;          /* id of the test the frame is for */
  char *path;
  char *round;
  gboolean override;
  GCancellable *cancellable; /* by the person, or because the test is left */
} Adding;

static void
adding_free (Adding *adding)
{
  g_object_unref (adding->self);
  g_free (adding->test);
  g_free (adding->path);
  g_free (adding->round);
  g_object_unref (adding->cancellable);
  g_free (adding);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Adding, adding_free)

static gboolean
moved_on (const Adding *adding)
{
  return g_strcmp0 (adding->self->test, adding->test) != 0;
}

/* What waits for its turn. */
typedef struct
{
  char *path;
  gboolean override;
} Waiting;

static void
waiting_free (Waiting *waiting)
{
  g_free (waiting->path);
  g_free (waiting);
}

static void
wait_for_turn (ShimBenchTest *self, const char *path, gboolean override)
{
  Waiting *waiting = g_new0 (Waiting, 1);

  waiting->path = g_strdup (path);
  waiting->override = override;
  g_queue_push_tail (&self->waiting, waiting);
  self->n_wanted++;
}

static void
override_cb (gpointer user_data)
{
  ShimBenchTest *self = user_data;

  for (guint i = 0; i < self->refused->len; i++)
    wait_for_turn (self, g_ptr_array_index (self->refused, i), TRUE);
  g_ptr_array_set_size (self->refused, 0);
  show_progress (self);
  next_frame (self);
}

/* Frames of another pair are not stored, unless the person knows better than the photographs. Asked once for all
   that came together. */
static void
ask_to_override (ShimBenchTest *self)
{
  g_autofree char *heading =
      g_strdup_printf (ngettext ("Store %u Frame All the Same?", "Store %u Frames All the Same?", self->refused->len),
                       self->refused->len);

  shim_confirm (GTK_WIDGET (self), heading, self->refused_reason, _ ("_Store"), FALSE, override_cb, self, NULL);
}

static void
frame_done (ShimBenchTest *self)
{
  self->adding = FALSE;
  self->n_added++;
  show_progress (self);
  if (g_queue_is_empty (&self->waiting) && self->refused->len > 0)
    ask_to_override (self);
  next_frame (self);
}

static void
remember_refused (ShimBenchTest *self, const char *path, const char *reason)
{
  if (self->refused->len == 0)
    {
      g_free (self->refused_reason);
      self->refused_reason = g_strdup (reason);
    }
  g_ptr_array_add (self->refused, g_strdup (path));
}

static void
remember_added (ShimBenchTest *self, const ShimAddedFrame *added)
{
  g_free (self->frame_to_select);
  self->frame_to_select = g_strdup (shim_record_get_id (SHIM_RECORD (added->frame)));
  self->turn_is_far = !self->turn_is_far;
}

static void
added_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Adding) adding = user_data;
  g_autoptr (GError) error = NULL;
  GPtrArray *all = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  const ShimAddedFrame *added = all != NULL && all->len > 0 ? g_ptr_array_index (all, 0) : NULL;

  if (added != NULL && added->frame != NULL)
    remember_added (adding->self, added);
  else if (added != NULL && g_error_matches (added->error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION))
    remember_refused (adding->self, adding->path, added->error->message);
  else if (!g_cancellable_is_cancelled (adding->cancellable))
    shim_show_error (GTK_WIDGET (adding->self), _ ("A Frame Was Not Stored"), added != NULL ? added->error : error);
  g_clear_pointer (&all, g_ptr_array_unref);
  if (moved_on (adding))
    return;
  _shim_bench_test_refresh (adding->self);
  frame_done (adding->self);
}

static void
store_frame (Adding *adding)
{
  const char *const paths[] = { adding->path, NULL };
  ShimMarks marks = { .override = adding->override,
                      .approach = shim_test_panel_get_approach (adding->self->panel, adding->self->turn_is_far) };

  adding->self->adding = TRUE;
  shim_workspace_add_frames_async (adding->self->workspace, adding->round, paths, &marks, NULL, NULL,
                                   adding->cancellable, added_cb, adding);
}

static void
round_added_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  Adding *adding = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRound) round = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (round == NULL || moved_on (adding))
    {
      g_autoptr (Adding) done = adding;

      if (moved_on (done))
        return;
      shim_show_error (GTK_WIDGET (done->self), _ ("The Round Was Not Begun"), error);
      g_queue_clear_full (&done->self->waiting, (GDestroyNotify) waiting_free);
      done->self->n_wanted = done->self->n_added;
      frame_done (done->self);
      return;
    }
  adding->round = g_strdup (shim_record_get_id (SHIM_RECORD (round)));
  g_free (adding->self->round_in_hand);
  adding->self->round_in_hand = g_strdup (adding->round);
  adding->self->round_is_reference = g_strcmp0 (round->kind, "reference") == 0;
  adding->self->round_setting = round->setting;
  adding->self->turn_is_far = FALSE;
  store_frame (adding);
}

/* The round that frames of this kind and setting go on with: the last one, when it is of that kind and setting. */
static const char *
round_to_go_on_with (ShimBenchTest *self, gboolean is_reference, gint64 setting)
{
  const ShimRoundSummary *last = NULL;

  /* A round just begun, which the summary shown may not know yet. */
  if (self->round_in_hand != NULL && self->round_is_reference == is_reference &&
      (is_reference || self->round_setting == setting))
    return self->round_in_hand;
  if (self->round_in_hand != NULL || self->summary == NULL || self->summary->rounds->len == 0)
    return NULL;
  last = g_ptr_array_index (self->summary->rounds, self->summary->rounds->len - 1);
  if (last->is_reference != is_reference || (!is_reference && last->round->setting != setting))
    return NULL;
  self->turn_is_far = last->frames->len % 2 != 0;
  return shim_record_get_id (SHIM_RECORD (last->round));
}

static void
next_frame (ShimBenchTest *self)
{
  gboolean is_reference = shim_test_panel_is_reference (self->panel);
  gint64 setting = shim_test_panel_get_setting (self->panel);
  const char *round;
  Waiting *waiting;
  Adding *adding;

  if (self->adding || self->test == NULL || self->summary == NULL || g_queue_is_empty (&self->waiting))
    return;
  adding = g_new0 (Adding, 1);
  adding->self = g_object_ref (self);
  adding->test = g_strdup (self->test);
  adding->cancellable = g_cancellable_new ();
  g_set_object (&self->adding_cancellable, adding->cancellable);
  waiting = g_queue_pop_head (&self->waiting);
  adding->path = g_steal_pointer (&waiting->path);
  adding->override = waiting->override;
  waiting_free (waiting);
  self->adding = TRUE;
  round = round_to_go_on_with (self, is_reference, setting);
  if (round != NULL)
    {
      adding->round = g_strdup (round);
      store_frame (adding);
      return;
    }
  shim_workspace_add_round_async (self->workspace, self->test, is_reference, setting, self->cancellable,
                                  round_added_cb, adding);
}

/**
 * shim_bench_test_add_paths:
 * @self: a test
 * @paths: (array zero-terminated=1): photographs to take in
 */
void
shim_bench_test_add_paths (ShimBenchTest *self, const char *const *paths)
{
  g_return_if_fail (SHIM_IS_BENCH_TEST (self));

  for (guint i = 0; paths[i] != NULL; i++)
    wait_for_turn (self, paths[i], FALSE);
  show_progress (self);
  next_frame (self);
}

static void
add_files (ShimBenchTest *self, GPtrArray *paths)
{
  g_ptr_array_add (paths, NULL);
  shim_bench_test_add_paths (self, (const char *const *) paths->pdata);
}

static void
files_chosen_cb (GListModel *files, gpointer user_data)
{
  ShimBenchTest *self = user_data;
  g_autoptr (GPtrArray) paths = g_ptr_array_new_with_free_func (g_free);

  for (guint i = 0; i < g_list_model_get_n_items (files); i++)
    {
      g_autoptr (GFile) file = g_list_model_get_item (files, i);

      if (g_file_peek_path (file) != NULL)
        g_ptr_array_add (paths, g_file_get_path (file));
    }
  if (paths->len > 0)
    add_files (self, paths);
}

/**
 * _shim_bench_test_choose_frames:
 * @self: a test
 *
 * Asks for photographs to take in.
 */
void
_shim_bench_test_choose_frames (ShimBenchTest *self)
{
  if (self->summary != NULL)
    shim_choose_photographs (GTK_WIDGET (self), _ ("Add Frames"), files_chosen_cb, self);
}

static gboolean
drop_cb (GtkDropTarget *target, const GValue *value, double x, double y, ShimBenchTest *self)
{
  g_autoptr (GPtrArray) paths = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GSList) files = NULL;

  if (self->summary == NULL || !G_VALUE_HOLDS (value, GDK_TYPE_FILE_LIST))
    return FALSE;
  files = gdk_file_list_get_files (g_value_get_boxed (value));
  for (GSList *l = files; l != NULL; l = l->next)
    if (g_file_peek_path (l->data) != NULL)
      g_ptr_array_add (paths, g_file_get_path (l->data));
  if (paths->len == 0)
    return FALSE;
  add_files (self, paths);
  return TRUE;
}

/* The watched folder */

static void
watched_frame_cb (ShimFolderWatch *watch, const char *path, ShimBenchTest *self)
{
  const char *const paths[] = { path, NULL };

  shim_bench_test_add_paths (self, paths);
}

static void
watch_problem_cb (ShimFolderWatch *watch, const char *sentence, ShimBenchTest *self)
{
  shim_show_toast (GTK_WIDGET (self), sentence);
}

static void
stop_watching (ShimBenchTest *self)
{
  if (self->watch == NULL)
    return;
  g_signal_handlers_disconnect_by_data (self->watch, self);
  shim_folder_watch_stop (self->watch);
  g_clear_object (&self->watch);
  gtk_widget_set_tooltip_text (GTK_WIDGET (self->watch_button),
                               _ ("Take in Each Photograph That Arrives in a Folder"));
}

/**
 * shim_bench_test_watch:
 * @self: a test
 * @folder: where photographs arrive from now on; those that are there already are left alone
 */
void
shim_bench_test_watch (ShimBenchTest *self, const char *folder)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *tooltip = NULL;

  g_return_if_fail (SHIM_IS_BENCH_TEST (self));

  stop_watching (self);
  self->watch = shim_folder_watch_new (folder, &error);
  if (self->watch == NULL)
    {
      gtk_toggle_button_set_active (self->watch_button, FALSE);
      shim_show_error (GTK_WIDGET (self), _ ("The Folder Cannot Be Watched"), error);
      return;
    }
  g_signal_connect (self->watch, "frame", G_CALLBACK (watched_frame_cb), self);
  g_signal_connect (self->watch, "problem", G_CALLBACK (watch_problem_cb), self);
  tooltip = g_strdup_printf (_ ("Watching %s"), folder);
  gtk_widget_set_tooltip_text (GTK_WIDGET (self->watch_button), tooltip);
  gtk_toggle_button_set_active (self->watch_button, TRUE);
}

static void
folder_chosen_cb (GListModel *files, gpointer user_data)
{
  ShimBenchTest *self = user_data;
  g_autoptr (GFile) folder = g_list_model_get_item (files, 0);

  if (g_file_peek_path (folder) != NULL && self->test != NULL)
    shim_bench_test_watch (self, g_file_peek_path (folder));
}

/**
 * _shim_bench_test_watch_toggled:
 * @self: a test
 *
 * Starts watching the folder of the test (asks for one where it has none), or stops.
 */
void
_shim_bench_test_watch_toggled (ShimBenchTest *self)
{
  gboolean wanted = gtk_toggle_button_get_active (self->watch_button);

  if (wanted == (self->watch != NULL) || self->summary == NULL)
    return;
  if (!wanted)
    {
      stop_watching (self);
      return;
    }
  if (self->summary->test->folder != NULL)
    {
      shim_bench_test_watch (self, self->summary->test->folder);
      return;
    }
  /* Pressed again only once there is a folder. */
  gtk_toggle_button_set_active (self->watch_button, FALSE);
  shim_choose_folder (GTK_WIDGET (self), _ ("Watch a Folder"), folder_chosen_cb, self);
}

/**
 * _shim_bench_test_init_frames:
 * @self: a test being made
 */
void
_shim_bench_test_init_frames (ShimBenchTest *self)
{
  GtkDropTarget *drop = gtk_drop_target_new (GDK_TYPE_FILE_LIST, GDK_ACTION_COPY);

  g_signal_connect (drop, "drop", G_CALLBACK (drop_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (drop));
}

/**
 * _shim_bench_test_cancel_frames:
 * @self: a test
 *
 * Frames that were stored stay; the one in hand and those that wait are given up.
 */
void
_shim_bench_test_cancel_frames (ShimBenchTest *self)
{
  g_queue_clear_full (&self->waiting, (GDestroyNotify) waiting_free);
  self->n_wanted = self->n_added + (self->adding ? 1 : 0);
  if (self->adding_cancellable != NULL)
    g_cancellable_cancel (self->adding_cancellable);
  show_progress (self);
}

/**
 * _shim_bench_test_stop_frames:
 * @self: a test that is left
 */
void
_shim_bench_test_stop_frames (ShimBenchTest *self)
{
  stop_watching (self);
  if (self->watch_button != NULL)
    gtk_toggle_button_set_active (self->watch_button, FALSE);
  _shim_bench_test_cancel_frames (self);
  g_clear_object (&self->adding_cancellable);
  g_ptr_array_set_size (self->refused, 0);
  g_clear_pointer (&self->refused_reason, g_free);
  g_clear_pointer (&self->round_in_hand, g_free);
  self->adding = FALSE;
  self->n_wanted = self->n_added = 0;
  show_progress (self);
}
