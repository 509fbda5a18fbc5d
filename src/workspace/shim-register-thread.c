/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-register-thread.h"
#include "shim-workspace-error.h"

struct _ShimRegisterThread
{
  gatomicrefcount ref_count;
  GThread *thread;
  ShimRegister *reg;         /* used by the thread alone; NULL once it is closed */

  GMutex mutex;              /* guards what follows */
  GCond cond;
  GQueue jobs;
  GQueue waiting_jobs;       /* that can wait */
  gboolean closing;
  GFunc closed;
  gpointer closed_data;
  ShimRegisterJob *running;
};

/* Any thread. The lock makes sure that only the job that was cancelled is interrupted, never the one after it. */
static void
cancelled_cb (GCancellable *cancellable, gpointer user_data)
{
  ShimRegisterThread *self = user_data;

  g_mutex_lock (&self->mutex);
  if (self->running != NULL && self->running->cancellable == cancellable)
    shim_register_interrupt (self->reg);
  g_mutex_unlock (&self->mutex);
}

static void
set_running (ShimRegisterThread *self, ShimRegisterJob *job)
{
  g_mutex_lock (&self->mutex);
  self->running = job;
  g_mutex_unlock (&self->mutex);
}

/* The register's thread. */
static void
run_job (ShimRegisterThread *self, ShimRegisterJob *job)
{
  gulong handler = 0;

  if (!g_cancellable_set_error_if_cancelled (job->cancellable, &job->error))
    {
      set_running (self, job);
      if (job->cancellable != NULL)
        handler = g_cancellable_connect (job->cancellable, G_CALLBACK (cancelled_cb), self, NULL);
      job->result = job->func (self->reg, job->data, job->cancellable, &job->error);
      set_running (self, NULL);
      g_cancellable_disconnect (job->cancellable, handler);
    }
  job->done (job, job->done_data);
}

static ShimRegisterJob *
wait_for_job (ShimRegisterThread *self)
{
  ShimRegisterJob *job;

  g_mutex_lock (&self->mutex);
  while (g_queue_is_empty (&self->jobs) && g_queue_is_empty (&self->waiting_jobs) && !self->closing)
    g_cond_wait (&self->cond, &self->mutex);
  job = g_queue_pop_head (g_queue_is_empty (&self->jobs) ? &self->waiting_jobs : &self->jobs);
  g_mutex_unlock (&self->mutex);
  return job;
}

static gpointer
thread_main (gpointer data)
{
  ShimRegisterThread *self = data;
  ShimRegisterJob *job;

  while ((job = wait_for_job (self)) != NULL)
    run_job (self, job);
  g_clear_pointer (&self->reg, shim_register_free);
  if (self->closed != NULL)
    self->closed (self, self->closed_data);
  shim_register_thread_unref (self);
  return NULL;
}

/**
 * shim_register_thread_new:
 * @reg: (transfer full): the register; from now on only the new thread touches it
 *
 * Returns: (transfer full): the running thread
 */
ShimRegisterThread *
shim_register_thread_new (ShimRegister *reg)
{
  ShimRegisterThread *self;

  g_return_val_if_fail (reg != NULL, NULL);

  self = g_new0 (ShimRegisterThread, 1);
  g_atomic_ref_count_init (&self->ref_count);
  g_mutex_init (&self->mutex);
  g_cond_init (&self->cond);
  g_queue_init (&self->jobs);
  g_queue_init (&self->waiting_jobs);
  self->reg = reg;
  self->thread = g_thread_new ("register", thread_main, shim_register_thread_ref (self));
  return self;
}

/**
 * shim_register_thread_ref:
 * @self: a thread
 *
 * Returns: (transfer full): @self
 */
ShimRegisterThread *
shim_register_thread_ref (ShimRegisterThread *self)
{
  g_atomic_ref_count_inc (&self->ref_count);
  return self;
}

/**
 * shim_register_thread_unref:
 * @self: (transfer full): a thread. The last one to hold it must have called shim_register_thread_join()
 */
void
shim_register_thread_unref (ShimRegisterThread *self)
{
  if (!g_atomic_ref_count_dec (&self->ref_count))
    return;
  g_mutex_clear (&self->mutex);
  g_cond_clear (&self->cond);
  g_free (self);
}

/**
 * shim_register_thread_push:
 * @self: a thread
 * @job: (transfer full): the work; belongs to its done function afterwards
 *
 * From any thread.
 *
 * Returns: %FALSE when the register is being closed; @job is then untouched and still the caller's
 */
gboolean
shim_register_thread_push (ShimRegisterThread *self, ShimRegisterJob *job)
{
  gboolean taken;

  g_return_val_if_fail (self != NULL, FALSE);
  g_return_val_if_fail (job != NULL && job->func != NULL && job->done != NULL, FALSE);

  g_mutex_lock (&self->mutex);
  taken = !self->closing;
  if (taken)
    g_queue_push_tail (job->can_wait ? &self->waiting_jobs : &self->jobs, job);
  g_cond_signal (&self->cond);
  g_mutex_unlock (&self->mutex);
  return taken;
}

typedef struct
{
  GMutex mutex;
  GCond cond;
  gboolean done;
} Waiter;

static void
wake (gpointer job, gpointer user_data)
{
  Waiter *waiter = user_data;

  g_mutex_lock (&waiter->mutex);
  waiter->done = TRUE;
  g_cond_signal (&waiter->cond);
  g_mutex_unlock (&waiter->mutex);
}

/**
 * shim_register_thread_run:
 * @self: a thread
 * @func: the work
 * @data: for @func
 * @cancellable: (nullable): ends it early
 * @error: what @func reported, or #ShimWorkspaceError CLOSED
 *
 * From any thread but the register's own and the main one: waits until it is done.
 *
 * Returns: what @func returned
 */
gpointer
shim_register_thread_run (ShimRegisterThread *self, ShimRegisterFunc func, gpointer data, GCancellable *cancellable,
                          GError **error)
{
  Waiter waiter = { .done = FALSE };
  ShimRegisterJob job = {
    .func = func, .data = data, .cancellable = cancellable, .done = wake, .done_data = &waiter
  };

  g_return_val_if_fail (self != NULL, NULL);
  g_return_val_if_fail (g_thread_self () != self->thread, NULL);

  g_mutex_init (&waiter.mutex);
  g_cond_init (&waiter.cond);
  if (shim_register_thread_push (self, &job))
    {
      g_mutex_lock (&waiter.mutex);
      while (!waiter.done)
        g_cond_wait (&waiter.cond, &waiter.mutex);
      g_mutex_unlock (&waiter.mutex);
    }
  else
    g_set_error_literal (&job.error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CLOSED,
                         _ ("The register has been closed."));
  g_mutex_clear (&waiter.mutex);
  g_cond_clear (&waiter.cond);
  if (job.error != NULL)
    g_propagate_error (error, job.error);
  return job.result;
}

/**
 * shim_register_thread_close:
 * @self: a thread
 * @closed: (nullable): called on the register's thread when the register is closed
 * @closed_data: for @closed
 *
 * No more jobs are taken; those that wait are still done, then the register is closed and the thread ends.
 */
void
shim_register_thread_close (ShimRegisterThread *self, GFunc closed, gpointer closed_data)
{
  g_return_if_fail (self != NULL);

  g_mutex_lock (&self->mutex);
  if (!self->closing)
    {
      self->closing = TRUE;
      self->closed = closed;
      self->closed_data = closed_data;
    }
  g_cond_signal (&self->cond);
  g_mutex_unlock (&self->mutex);
}

/**
 * shim_register_thread_join:
 * @self: a thread for which shim_register_thread_close() was called
 *
 * Waits for its end. Once, and not from the thread itself.
 */
void
shim_register_thread_join (ShimRegisterThread *self)
{
  g_return_if_fail (self != NULL && self->closing);

  g_thread_join (g_steal_pointer (&self->thread));
}
