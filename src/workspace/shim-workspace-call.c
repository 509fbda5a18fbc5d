/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-workspace-error.h"
#include "shim-workspace-private.h"

/* --- calls --- */

typedef struct
{
  ShimRegisterJob job;
  GTask *task;
  GDestroyNotify data_free;
  GDestroyNotify result_free;
} Call;

static void
call_free (Call *call)
{
  if (call->data_free != NULL && call->job.data != NULL)
    call->data_free (call->job.data);
  g_clear_object (&call->job.cancellable);
  g_clear_object (&call->task);
  g_free (call);
}

/* The workspace's context. */
static gboolean
hand_out_cb (gpointer user_data)
{
  Call *call = user_data;
  g_autoptr (ShimWorkspace) self = g_object_ref (g_task_get_source_object (call->task));

  _shim_workspace_count_call (self, -1);
  _shim_workspace_schedule_check (self);
  if (call->job.error != NULL)
    g_task_return_error (call->task, g_steal_pointer (&call->job.error));
  else
    g_task_return_pointer (call->task, call->job.result, call->result_free);
  call_free (call);
  return G_SOURCE_REMOVE;
}

/* The register's thread: nothing is freed here, since the last reference on the workspace must not go in this thread.
 */
static void
call_done (gpointer job, gpointer user_data)
{
  Call *call = user_data;
  ShimWorkspace *self = g_task_get_source_object (call->task);
  g_autoptr (GSource) source = g_idle_source_new ();

  g_source_set_priority (source, G_PRIORITY_DEFAULT);
  g_source_set_callback (source, hand_out_cb, call, NULL);
  g_source_attach (source, _shim_workspace_get_context (self));
}

static GTask *
new_task (ShimWorkspace *self, GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  GTask *task = g_task_new (self, cancellable, callback, user_data);

  g_task_set_source_tag (task, shim_workspace_call_async);
  /* What was stored before the cancelling came is reported as stored. */
  g_task_set_check_cancellable (task, FALSE);
  return task;
}

static void
return_closed (GTask *task)
{
  g_task_return_new_error (task, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CLOSED, "%s",
                           _ ("The register has been closed."));
}

static void
push_call (ShimWorkspace *self, Call *call)
{
  if (shim_register_thread_push (_shim_workspace_get_thread (self), &call->job))
    return;
  _shim_workspace_count_call (self, -1);
  return_closed (call->task);
  call_free (call);
}

/* The workspace's context. */
static gboolean
push_later_cb (gpointer user_data)
{
  Call *call = user_data;
  g_autoptr (ShimWorkspace) self = g_object_ref (g_task_get_source_object (call->task));

  push_call (self, call);
  return G_SOURCE_REMOVE;
}

/* What the window has to paint for an answer that came just now goes before, too. */
static void
push_call_later (ShimWorkspace *self, Call *call)
{
  g_autoptr (GSource) source = g_idle_source_new ();

  g_source_set_priority (source, G_PRIORITY_LOW);
  g_source_set_callback (source, push_later_cb, call, NULL);
  g_source_attach (source, _shim_workspace_get_context (self));
}

static void
begin_call (ShimWorkspace *self, const ShimRegisterJob *job, GDestroyNotify data_free, GDestroyNotify result_free,
           GAsyncReadyCallback callback, gpointer user_data)
{
  Call *call = g_new0 (Call, 1);

  call->job = *job;
  call->job.cancellable = job->cancellable != NULL ? g_object_ref (job->cancellable) : NULL;
  call->job.done = call_done;
  call->job.done_data = call;
  call->task = new_task (self, job->cancellable, callback, user_data);
  call->data_free = data_free;
  call->result_free = result_free;
  _shim_workspace_count_call (self, +1);
  (job->can_wait ? push_call_later : push_call) (self, call);
}

/**
 * shim_workspace_call_async:
 * @self: a workspace
 * @func: the work, for the register's thread
 * @data: (transfer full) (nullable): for @func
 * @data_free: (nullable): frees @data, in the workspace's context
 * @result_free: (nullable): frees a result nobody takes
 * @cancellable: (nullable): ends it early; what was stored by then stays stored
 * @callback: called when it is done
 * @user_data: for @callback
 *
 * Calls run in the order they were made.
 */
void
shim_workspace_call_async (ShimWorkspace *self, ShimRegisterFunc func, gpointer data, GDestroyNotify data_free,
                           GDestroyNotify result_free, GCancellable *cancellable, GAsyncReadyCallback callback,
                           gpointer user_data)
{
  const ShimRegisterJob job = { .func = func, .data = data, .cancellable = cancellable };

  g_return_if_fail (SHIM_IS_WORKSPACE (self));
  g_return_if_fail (func != NULL);

  begin_call (self, &job, data_free, result_free, callback, user_data);
}

/* Like shim_workspace_call_async(), for what nobody waits for: all other calls go before it, also those made later. */
void
_shim_workspace_call_later_async (ShimWorkspace *self, ShimRegisterFunc func, gpointer data, GDestroyNotify data_free,
                                  GDestroyNotify result_free, GCancellable *cancellable, GAsyncReadyCallback callback,
                                  gpointer user_data)
{
  const ShimRegisterJob job = { .func = func, .data = data, .cancellable = cancellable, .can_wait = TRUE };

  g_return_if_fail (SHIM_IS_WORKSPACE (self));

  begin_call (self, &job, data_free, result_free, callback, user_data);
}

/**
 * shim_workspace_call_finish:
 * @self: a workspace
 * @result: as handed to the callback
 * @error: what the call reported, #ShimWorkspaceError CLOSED, or %G_IO_ERROR_CANCELLED
 *
 * Returns: (transfer full) (nullable): the result of the call
 */
gpointer
shim_workspace_call_finish (ShimWorkspace *self, GAsyncResult *result, GError **error)
{
  g_return_val_if_fail (SHIM_IS_WORKSPACE (self), NULL);
  g_return_val_if_fail (g_task_is_valid (result, self), NULL);

  return g_task_propagate_pointer (G_TASK (result), error);
}

/**
 * shim_workspace_done_finish:
 * @self: a workspace
 * @result: as handed to the callback, of a call that has no result but yes or no
 * @error: as for shim_workspace_call_finish()
 *
 * Returns: whether it was done
 */
gboolean
shim_workspace_done_finish (ShimWorkspace *self, GAsyncResult *result, GError **error)
{
  return shim_workspace_call_finish (self, result, error) != NULL;
}

/* --- long work in threads of its own --- */

typedef struct
{
  ShimRegisterThread *thread;
  ShimThreadFunc func;
  gpointer data;
  GDestroyNotify data_free;
  GDestroyNotify result_free;
  GCancellable *given;
  gulong given_handler;
  GCancellable *inner;
} ThreadWork;

static void
thread_work_free (ThreadWork *work)
{
  if (work->data_free != NULL && work->data != NULL)
    work->data_free (work->data);
  g_clear_object (&work->given);
  g_clear_object (&work->inner);
  shim_register_thread_unref (work->thread);
  g_free (work);
}

static void
cancel_inner (GCancellable *given, gpointer inner)
{
  g_cancellable_cancel (inner);
}

/* A thread of GTask's pool. */
static void
thread_work_func (GTask *task, gpointer source, gpointer task_data, GCancellable *cancellable)
{
  ThreadWork *work = task_data;
  GError *error = NULL;
  gulong outer_handler =
      g_cancellable_connect (cancellable, G_CALLBACK (cancel_inner), g_object_ref (work->inner), g_object_unref);
  gulong given_handler = 0;
  gpointer result;

  if (work->given != NULL)
    given_handler =
        g_cancellable_connect (work->given, G_CALLBACK (cancel_inner), g_object_ref (work->inner), g_object_unref);
  result = work->func (work->thread, work->data, work->inner, &error);
  g_cancellable_disconnect (cancellable, outer_handler);
  g_cancellable_disconnect (work->given, given_handler);
  if (error != NULL)
    g_task_return_error (task, error);
  else
    g_task_return_pointer (task, result, work->result_free);
}

/* The workspace's context, through GTask. */
static void
thread_work_done_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GTask) outer = user_data;
  ShimWorkspace *self = g_task_get_source_object (outer);
  ThreadWork *work = g_task_get_task_data (G_TASK (result));
  GError *error = NULL;
  gpointer value = g_task_propagate_pointer (G_TASK (result), &error);

  _shim_workspace_count_call (self, -1);
  _shim_workspace_schedule_check (self);
  if (error != NULL)
    g_task_return_error (outer, error);
  else
    g_task_return_pointer (outer, value, work->result_free);
}

/*
 * Like shim_workspace_call_async(), but in a thread of its own, so that reading photographs does not hold up the
 * register. Ends early too when the workspace is closed.
 */
void
_shim_workspace_thread_async (ShimWorkspace *self, ShimThreadFunc func, gpointer data, GDestroyNotify data_free,
                              GDestroyNotify result_free, GCancellable *cancellable, GAsyncReadyCallback callback,
                              gpointer user_data)
{
  GTask *outer;
  g_autoptr (GTask) task = NULL;
  ThreadWork *work;

  g_return_if_fail (SHIM_IS_WORKSPACE (self));

  outer = new_task (self, cancellable, callback, user_data);
  work = g_new0 (ThreadWork, 1);
  work->thread = shim_register_thread_ref (_shim_workspace_get_thread (self));
  work->func = func;
  work->data = data;
  work->data_free = data_free;
  work->result_free = result_free;
  work->given = cancellable != NULL ? g_object_ref (cancellable) : NULL;
  work->inner = g_cancellable_new ();
  /* No source object: only the outer task holds the workspace, and only its own context touches that. */
  task = g_task_new (NULL, _shim_workspace_get_photo_cancellable (self), thread_work_done_cb, outer);
  g_task_set_check_cancellable (task, FALSE);
  g_task_set_task_data (task, work, (GDestroyNotify) thread_work_free);
  _shim_workspace_count_call (self, +1);
  g_task_run_in_thread (task, thread_work_func);
}

/* --- undo --- */

static gpointer
undo_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  char *summary = NULL;

  return shim_register_undo (reg, &summary, error) ? summary : NULL;
}

static gpointer
redo_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  char *summary = NULL;

  return shim_register_redo (reg, &summary, error) ? summary : NULL;
}

/**
 * shim_workspace_undo_async:
 * @self: a workspace
 * @cancellable: (nullable): not to wait any longer
 * @callback: finish with shim_workspace_call_finish(), which gives (transfer full) the text of what was undone
 * @user_data: for @callback
 *
 * Takes back the newest change that is not undone yet.
 */
void
shim_workspace_undo_async (ShimWorkspace *self, GCancellable *cancellable, GAsyncReadyCallback callback,
                           gpointer user_data)
{
  shim_workspace_call_async (self, undo_func, NULL, NULL, g_free, cancellable, callback, user_data);
}

/**
 * shim_workspace_redo_async:
 * @self: a workspace
 * @cancellable: (nullable): not to wait any longer
 * @callback: finish with shim_workspace_call_finish(), which gives (transfer full) the text of what was done again
 * @user_data: for @callback
 */
void
shim_workspace_redo_async (ShimWorkspace *self, GCancellable *cancellable, GAsyncReadyCallback callback,
                           gpointer user_data)
{
  shim_workspace_call_async (self, redo_func, NULL, NULL, g_free, cancellable, callback, user_data);
}
