/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-workspace-error.h"
#include "shim-workspace-private.h"

/* How soon what another program wrote is noticed. */
#define POLL_MS 500

struct _ShimWorkspace
{
  GObject parent_instance;

  char *path;
  ShimRegisterThread *thread;    /* owns the connection that writes */
  ShimRegister *reader;          /* read-only, for the main context alone: rows of lists, and whether anybody wrote */
  gint64 seen_version;
  GMainContext *context;
  GSource *poll;
  GSource *check;                /* pending look whether something changed */
  GCancellable *photo_cancellable;
  ShimModel *model;              /* the kit model as it was at @model_version */
  gint64 model_version;
  gboolean closed;

  guint n_calls;
  guint n_photos;
  guint n_photos_done;
  gboolean can_undo;
  gboolean can_redo;
  char *undo_summary;
  char *redo_summary;
};

G_DEFINE_FINAL_TYPE (ShimWorkspace, shim_workspace, G_TYPE_OBJECT)

enum
{
  PROP_0,
  PROP_PATH,
  PROP_CAN_UNDO,
  PROP_CAN_REDO,
  PROP_UNDO_SUMMARY,
  PROP_REDO_SUMMARY,
  PROP_BUSY,
  PROP_PHOTO_BUSY,
  PROP_PHOTO_PROGRESS,
  N_PROPS,
};

static GParamSpec *props[N_PROPS];
static guint changed_signal;

/* --- what changed --- */

static void
update_undo (ShimWorkspace *self)
{
  g_autofree char *undo_summary = NULL;
  g_autofree char *redo_summary = NULL;
  const gboolean can_undo = shim_register_can_undo (self->reader, &undo_summary);
  const gboolean can_redo = shim_register_can_redo (self->reader, &redo_summary);

  g_object_freeze_notify (G_OBJECT (self));
  if (can_undo != self->can_undo)
    g_object_notify_by_pspec (G_OBJECT (self), props[PROP_CAN_UNDO]);
  if (can_redo != self->can_redo)
    g_object_notify_by_pspec (G_OBJECT (self), props[PROP_CAN_REDO]);
  if (g_strcmp0 (undo_summary, self->undo_summary) != 0)
    g_object_notify_by_pspec (G_OBJECT (self), props[PROP_UNDO_SUMMARY]);
  if (g_strcmp0 (redo_summary, self->redo_summary) != 0)
    g_object_notify_by_pspec (G_OBJECT (self), props[PROP_REDO_SUMMARY]);
  self->can_undo = can_undo;
  self->can_redo = can_redo;
  g_free (self->undo_summary);
  g_free (self->redo_summary);
  self->undo_summary = g_steal_pointer (&undo_summary);
  self->redo_summary = g_steal_pointer (&redo_summary);
  g_object_thaw_notify (G_OBJECT (self));
}

/* The reader is another connection than the writer, so its data version moves with our own writes as with anybody
 * else's. */
static void
look_for_changes (ShimWorkspace *self)
{
  gint64 version;

  if (self->reader == NULL)
    return;
  version = shim_register_data_version (self->reader);
  if (version == self->seen_version || version < 0)
    return;
  self->seen_version = version;
  update_undo (self);
  g_signal_emit (self, changed_signal, 0);
}

static gboolean
poll_cb (gpointer user_data)
{
  look_for_changes (user_data);
  return G_SOURCE_CONTINUE;
}

static gboolean
check_cb (gpointer user_data)
{
  ShimWorkspace *self = user_data;

  g_clear_pointer (&self->check, g_source_unref);
  look_for_changes (self);
  return G_SOURCE_REMOVE;
}

/* Below the priority of results: what was asked for is handed out first, and several writes in a row are one signal.
 */
void
_shim_workspace_schedule_check (ShimWorkspace *self)
{
  if (self->check != NULL || self->reader == NULL)
    return;
  self->check = g_idle_source_new ();
  g_source_set_priority (self->check, G_PRIORITY_DEFAULT + 10);
  g_source_set_callback (self->check, check_cb, self, NULL);
  g_source_attach (self->check, self->context);
}

static void
destroy_source (GSource **source)
{
  if (*source == NULL)
    return;
  g_source_destroy (*source);
  g_clear_pointer (source, g_source_unref);
}

/* A call more or less is waiting or running; the workspace's context. */
void
_shim_workspace_count_call (ShimWorkspace *self, int change)
{
  const gboolean was_busy = self->n_calls > 0;

  self->n_calls += change;
  if (was_busy != (self->n_calls > 0))
    g_object_notify_by_pspec (G_OBJECT (self), props[PROP_BUSY]);
}

/* Photographs that are going to be looked at; the workspace's context. */
void
_shim_workspace_expect_photos (ShimWorkspace *self, guint n)
{
  const gboolean was_busy = self->n_photos > 0;

  self->n_photos += n;
  if (!was_busy && n > 0)
    g_object_notify_by_pspec (G_OBJECT (self), props[PROP_PHOTO_BUSY]);
  g_object_notify_by_pspec (G_OBJECT (self), props[PROP_PHOTO_PROGRESS]);
}

/* One of them is done or given up; the workspace's context. */
void
_shim_workspace_photo_done (ShimWorkspace *self)
{
  g_return_if_fail (self->n_photos_done < self->n_photos);

  self->n_photos_done++;
  if (self->n_photos_done == self->n_photos)
    {
      self->n_photos = self->n_photos_done = 0;
      g_object_notify_by_pspec (G_OBJECT (self), props[PROP_PHOTO_BUSY]);
    }
  g_object_notify_by_pspec (G_OBJECT (self), props[PROP_PHOTO_PROGRESS]);
  _shim_workspace_schedule_check (self);
}

/* --- from open to closed --- */

/* (transfer full): a workspace in the calling thread's context. Takes both connections: one writes, the other one is
 * read-only. */
ShimWorkspace *
_shim_workspace_new (ShimRegister *writer, ShimRegister *reader)
{
  ShimWorkspace *self = g_object_new (SHIM_TYPE_WORKSPACE, NULL);

  self->path = g_strdup (shim_register_get_path (writer));
  self->reader = reader;
  self->thread = shim_register_thread_new (writer);
  self->seen_version = shim_register_data_version (self->reader);
  update_undo (self);
  self->poll = g_timeout_source_new (POLL_MS);
  g_source_set_callback (self->poll, poll_cb, self, NULL);
  g_source_attach (self->poll, self->context);
  return self;
}

/* Everything but the thread. */
static void
shut (ShimWorkspace *self)
{
  self->closed = TRUE;
  g_cancellable_cancel (self->photo_cancellable);
  destroy_source (&self->poll);
  destroy_source (&self->check);
  g_clear_pointer (&self->reader, shim_register_free);
}

static gboolean
closed_cb (gpointer user_data)
{
  g_autoptr (GTask) task = user_data;

  shim_register_thread_join (((ShimWorkspace *) g_task_get_source_object (task))->thread);
  g_task_return_boolean (task, TRUE);
  return G_SOURCE_REMOVE;
}

/* The register's thread. */
static void
thread_closed (gpointer thread, gpointer user_data)
{
  GTask *task = user_data;
  ShimWorkspace *self = g_task_get_source_object (task);
  g_autoptr (GSource) source = g_idle_source_new ();

  /* After the results of the last calls, which have a higher priority. */
  g_source_set_priority (source, G_PRIORITY_DEFAULT + 10);
  g_source_set_callback (source, closed_cb, task, NULL);
  g_source_attach (source, self->context);
}

/**
 * shim_workspace_close_async:
 * @self: a workspace
 * @callback: called when the register is closed and its thread has ended
 * @user_data: for @callback
 *
 * Calls made before are still done and reported; later ones fail with #ShimWorkspaceError CLOSED. Photographs that
 * are being measured are given up. There is no "changed" any more.
 */
void
shim_workspace_close_async (ShimWorkspace *self, GAsyncReadyCallback callback, gpointer user_data)
{
  GTask *task;

  g_return_if_fail (SHIM_IS_WORKSPACE (self));

  task = g_task_new (self, NULL, callback, user_data);
  g_task_set_source_tag (task, shim_workspace_close_async);
  if (self->closed)
    {
      g_task_return_new_error (task, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CLOSED, "%s",
                               _ ("The register has been closed."));
      g_object_unref (task);
      return;
    }
  shut (self);
  shim_register_thread_close (self->thread, thread_closed, task);
}

/**
 * shim_workspace_close_finish:
 * @self: a workspace
 * @result: as handed to the callback
 * @error: #ShimWorkspaceError CLOSED when it was closed before
 *
 * Returns: whether this call closed it
 */
gboolean
shim_workspace_close_finish (ShimWorkspace *self, GAsyncResult *result, GError **error)
{
  g_return_val_if_fail (g_task_is_valid (result, self), FALSE);

  return g_task_propagate_boolean (G_TASK (result), error);
}

/* --- the object --- */

/**
 * shim_workspace_get_path:
 * @self: a workspace
 *
 * Returns: (transfer none) (type filename): path of its register
 */
const char *
shim_workspace_get_path (ShimWorkspace *self)
{
  g_return_val_if_fail (SHIM_IS_WORKSPACE (self), NULL);

  return self->path;
}

/**
 * shim_workspace_is_closed:
 * @self: a workspace
 *
 * Returns: whether shim_workspace_close_async() was called
 */
gboolean
shim_workspace_is_closed (ShimWorkspace *self)
{
  g_return_val_if_fail (SHIM_IS_WORKSPACE (self), TRUE);

  return self->closed;
}

/**
 * shim_workspace_get_can_undo:
 * @self: a workspace
 *
 * Returns: whether there is a change to take back
 */
gboolean
shim_workspace_get_can_undo (ShimWorkspace *self)
{
  g_return_val_if_fail (SHIM_IS_WORKSPACE (self), FALSE);

  return self->can_undo;
}

/**
 * shim_workspace_get_can_redo:
 * @self: a workspace
 *
 * Returns: whether there is a change to do again
 */
gboolean
shim_workspace_get_can_redo (ShimWorkspace *self)
{
  g_return_val_if_fail (SHIM_IS_WORKSPACE (self), FALSE);

  return self->can_redo;
}

/**
 * shim_workspace_get_undo_summary:
 * @self: a workspace
 *
 * Returns: (transfer none) (nullable): what would be taken back
 */
const char *
shim_workspace_get_undo_summary (ShimWorkspace *self)
{
  g_return_val_if_fail (SHIM_IS_WORKSPACE (self), NULL);

  return self->undo_summary;
}

/**
 * shim_workspace_get_redo_summary:
 * @self: a workspace
 *
 * Returns: (transfer none) (nullable): what would be done again
 */
const char *
shim_workspace_get_redo_summary (ShimWorkspace *self)
{
  g_return_val_if_fail (SHIM_IS_WORKSPACE (self), NULL);

  return self->redo_summary;
}

/**
 * shim_workspace_get_photo_progress:
 * @self: a workspace
 *
 * Returns: share of the photographs being measured that is done, 0 to 1; 1 when there are none
 */
double
shim_workspace_get_photo_progress (ShimWorkspace *self)
{
  g_return_val_if_fail (SHIM_IS_WORKSPACE (self), 1.0);

  return self->n_photos > 0 ? (double) self->n_photos_done / self->n_photos : 1.0;
}

/* (transfer none): where results are handed out */
GMainContext *
_shim_workspace_get_context (ShimWorkspace *self)
{
  return self->context;
}

/* (transfer none): the thread that owns the register */
ShimRegisterThread *
_shim_workspace_get_thread (ShimWorkspace *self)
{
  return self->thread;
}

/* (transfer none): cancelled when the workspace is closed */
GCancellable *
_shim_workspace_get_photo_cancellable (ShimWorkspace *self)
{
  return self->photo_cancellable;
}

/* (transfer none) (nullable): the connection for reading in the workspace's context; gone when it is closed. */
ShimRegister *
_shim_workspace_get_reader (ShimWorkspace *self)
{
  g_return_val_if_fail (SHIM_IS_WORKSPACE (self), NULL);

  return self->reader;
}

/* (transfer full) (nullable): the kit model, when nothing was written since it was made; @version tells the state it
 * belongs to. */
ShimModel *
_shim_workspace_dup_model (ShimWorkspace *self, gint64 *version)
{
  *version = self->reader != NULL ? shim_register_data_version (self->reader) : -1;
  return self->model != NULL && self->model_version == *version ? shim_model_ref (self->model) : NULL;
}

void
_shim_workspace_keep_model (ShimWorkspace *self, ShimModel *model, gint64 version)
{
  if (self->model == model)
    return;
  g_clear_pointer (&self->model, shim_model_unref);
  self->model = shim_model_ref (model);
  self->model_version = version;
}

static void
shim_workspace_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  ShimWorkspace *self = SHIM_WORKSPACE (object);

  switch (id)
    {
    case PROP_PATH:
      g_value_set_string (value, self->path);
      break;
    case PROP_CAN_UNDO:
      g_value_set_boolean (value, self->can_undo);
      break;
    case PROP_CAN_REDO:
      g_value_set_boolean (value, self->can_redo);
      break;
    case PROP_UNDO_SUMMARY:
      g_value_set_string (value, self->undo_summary);
      break;
    case PROP_REDO_SUMMARY:
      g_value_set_string (value, self->redo_summary);
      break;
    case PROP_BUSY:
      g_value_set_boolean (value, self->n_calls > 0);
      break;
    case PROP_PHOTO_BUSY:
      g_value_set_boolean (value, self->n_photos > 0);
      break;
    case PROP_PHOTO_PROGRESS:
      g_value_set_double (value, shim_workspace_get_photo_progress (self));
      break;
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
    }
}

/* Pending calls hold the workspace, so none is left here. */
static void
shim_workspace_dispose (GObject *object)
{
  ShimWorkspace *self = SHIM_WORKSPACE (object);

  if (self->thread != NULL && !self->closed)
    {
      shim_register_thread_close (self->thread, NULL, NULL);
      shim_register_thread_join (self->thread);
    }
  shut (self);
  g_clear_pointer (&self->thread, shim_register_thread_unref);
  G_OBJECT_CLASS (shim_workspace_parent_class)->dispose (object);
}

static void
shim_workspace_finalize (GObject *object)
{
  ShimWorkspace *self = SHIM_WORKSPACE (object);

  g_clear_pointer (&self->model, shim_model_unref);
  g_free (self->path);
  g_free (self->undo_summary);
  g_free (self->redo_summary);
  g_clear_object (&self->photo_cancellable);
  g_main_context_unref (self->context);
  G_OBJECT_CLASS (shim_workspace_parent_class)->finalize (object);
}

static void
install_properties (GObjectClass *object_class)
{
  const GParamFlags flags = G_PARAM_READABLE | G_PARAM_STATIC_STRINGS | G_PARAM_EXPLICIT_NOTIFY;

  props[PROP_PATH] = g_param_spec_string ("path", NULL, NULL, NULL, flags);
  props[PROP_CAN_UNDO] = g_param_spec_boolean ("can-undo", NULL, NULL, FALSE, flags);
  props[PROP_CAN_REDO] = g_param_spec_boolean ("can-redo", NULL, NULL, FALSE, flags);
  props[PROP_UNDO_SUMMARY] = g_param_spec_string ("undo-summary", NULL, NULL, NULL, flags);
  props[PROP_REDO_SUMMARY] = g_param_spec_string ("redo-summary", NULL, NULL, NULL, flags);
  props[PROP_BUSY] = g_param_spec_boolean ("busy", NULL, NULL, FALSE, flags);
  props[PROP_PHOTO_BUSY] = g_param_spec_boolean ("photo-busy", NULL, NULL, FALSE, flags);
  props[PROP_PHOTO_PROGRESS] = g_param_spec_double ("photo-progress", NULL, NULL, 0.0, 1.0, 1.0, flags);
  g_object_class_install_properties (object_class, N_PROPS, props);
}

static void
shim_workspace_class_init (ShimWorkspaceClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->get_property = shim_workspace_get_property;
  object_class->dispose = shim_workspace_dispose;
  object_class->finalize = shim_workspace_finalize;
  install_properties (object_class);

  /**
   * ShimWorkspace::changed:
   * @self: a workspace
   *
   * What the register holds is another than before.
   */
  changed_signal =
      g_signal_new ("changed", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  _shim_workspace_install_problem ();
}

static void
shim_workspace_init (ShimWorkspace *self)
{
  self->context = g_main_context_ref_thread_default ();
  self->photo_cancellable = g_cancellable_new ();
}

/* The register's thread. */
static gpointer
max_age_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  shim_register_set_max_age (reg, *(double *) data);
  return GINT_TO_POINTER (TRUE);
}

static void
max_age_set_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  ShimWorkspace *self = SHIM_WORKSPACE (source);

  /* Nothing was written, but what is due may be others now. */
  if (shim_workspace_done_finish (self, result, NULL))
    g_signal_emit (self, changed_signal, 0);
}

/**
 * shim_workspace_set_max_age:
 * @self: a workspace
 * @days: how old a test may be before its pair is due; 0 = any age
 */
void
shim_workspace_set_max_age (ShimWorkspace *self, double days)
{
  g_return_if_fail (SHIM_IS_WORKSPACE (self));
  g_return_if_fail (days >= 0.0);

  if (self->reader == NULL)
    return;
  shim_register_set_max_age (self->reader, days);
  shim_workspace_call_async (self, max_age_func, g_memdup2 (&days, sizeof days), g_free, NULL, NULL, max_age_set_cb, NULL);
}
