/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-ops-frames-private.h"
#include "shim-workspace-ops-private.h"
#include "shim-workspace-ops.h"
#include "shim-workspace-private.h"

/* The operations of the bench. Those that look at photographs run in a thread of their own and only ask the
 * register's. */

static gpointer
run_on_thread (ShimRegisterFunc func, gpointer data, GCancellable *cancellable, GError **error, gpointer thread)
{
  return shim_register_thread_run (thread, func, data, cancellable, error);
}

/* --- proposing items from a photograph --- */

static gpointer
propose_on_register (ShimRegister *reg, gpointer metadata, GCancellable *cancellable, GError **error)
{
  return shim_ops_kit_propose (reg, metadata, error);
}

static gpointer
propose_func (ShimRegisterThread *thread, gpointer path, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimMetadata) metadata = shim_metadata_read (path, error);

  return metadata != NULL ? shim_register_thread_run (thread, propose_on_register, metadata, cancellable, error)
                          : NULL;
}

void
shim_workspace_propose_async (ShimWorkspace *self, const char *photo_path, GCancellable *cancellable,
                              GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_workspace_thread_async (self, propose_func, g_strdup (photo_path), g_free,
                                (GDestroyNotify) shim_proposal_free, cancellable, callback, user_data);
}

/* --- tests and rounds --- */

typedef struct
{
  ShimOpenTest request;
  char *body;
  char *lens;
  char *converter;
  char *folder;
} OpenArgs;

static void
open_args_free (OpenArgs *args)
{
  g_free (args->body);
  g_free (args->lens);
  g_free (args->converter);
  g_free (args->folder);
  g_free (args);
}

static gpointer
open_test_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  return shim_ops_test_open (reg, &((OpenArgs *) data)->request, error);
}

void
shim_workspace_open_test_async (ShimWorkspace *self, const ShimOpenTest *request, GCancellable *cancellable,
                                GAsyncReadyCallback callback, gpointer user_data)
{
  OpenArgs *args = g_new0 (OpenArgs, 1);

  args->request = *request;
  args->request.body = args->body = g_strdup (request->body);
  args->request.lens = args->lens = g_strdup (request->lens);
  args->request.converter = args->converter = g_strdup (request->converter);
  args->request.folder = args->folder = g_strdup (request->folder);
  shim_workspace_call_async (self, open_test_func, args, (GDestroyNotify) open_args_free, g_object_unref, cancellable,
                             callback, user_data);
}

static gpointer
add_round_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return args->flag ? shim_ops_test_add_reference (reg, args->text[0], error)
                    : shim_ops_test_add_round (reg, args->text[0], args->number[0], error);
}

void
shim_workspace_add_round_async (ShimWorkspace *self, const char *test, gboolean reference, gint64 setting,
                                GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  ShimOpArgs *args = _shim_op_args_new (test, NULL, NULL, NULL);

  args->flag = reference;
  args->number[0] = setting;
  _shim_op_call (self, add_round_func, args, g_object_unref, cancellable, callback, user_data);
}

/* --- frames --- */

typedef struct
{
  ShimWorkspace *workspace;    /* held by the operation; used in its own context alone */
  GMainContext *context;
  char *round;
  char **paths;
  guint n_reported;
  ShimMarks marks;
  ShimMeasureRequest request;
  char *approach;
  ShimAddedFunc progress;
  gpointer progress_data;
} AddArgs;

static void
add_args_free (AddArgs *args)
{
  g_main_context_unref (args->context);
  g_free (args->round);
  g_strfreev (args->paths);
  g_free (args->approach);
  g_free (args);
}

typedef struct
{
  AddArgs *args;
  ShimAddedFrame *added;
  guint n_done;
  guint n_files;
} Report;

static ShimAddedFrame *
copy_added (const ShimAddedFrame *added)
{
  ShimAddedFrame *copy = g_new0 (ShimAddedFrame, 1);

  copy->path = g_strdup (added->path);
  copy->frame = added->frame != NULL ? g_object_ref (added->frame) : NULL;
  copy->reading = added->reading != NULL ? g_object_ref (added->reading) : NULL;
  copy->error = added->error != NULL ? g_error_copy (added->error) : NULL;
  copy->remarks = g_strdupv (added->remarks);
  return copy;
}

/* The workspace's context, before the operation ends: it was queued before that. */
static gboolean
report_cb (gpointer user_data)
{
  Report *report = user_data;
  AddArgs *args = report->args;

  if (report->added != NULL)
    {
      args->n_reported++;
      _shim_workspace_photo_done (args->workspace);
      if (args->progress != NULL)
        args->progress (report->added, report->n_done, report->n_files, args->progress_data);
    }
  else
    for (; args->n_reported < report->n_files; args->n_reported++)
      _shim_workspace_photo_done (args->workspace);
  shim_added_frame_free (report->added);
  g_free (report);
  return G_SOURCE_REMOVE;
}

/* The operation's thread. Without @added: what was not reported is given up. */
static void
report (const ShimAddedFrame *added, guint n_done, guint n_files, gpointer user_data)
{
  AddArgs *args = user_data;
  Report *message = g_new0 (Report, 1);
  g_autoptr (GSource) source = g_idle_source_new ();

  message->args = args;
  message->added = added != NULL ? copy_added (added) : NULL;
  message->n_done = n_done;
  message->n_files = n_files;
  g_source_set_priority (source, G_PRIORITY_DEFAULT);
  g_source_set_callback (source, report_cb, message, NULL);
  g_source_attach (source, args->context);
}

static gpointer
add_frames_func (ShimRegisterThread *thread, gpointer data, GCancellable *cancellable, GError **error)
{
  AddArgs *args = data;
  GPtrArray *added = _shim_ops_frames_add (run_on_thread, thread, args->round, (const char *const *) args->paths,
                                           &args->marks, report, args, cancellable, error);

  report (NULL, 0, g_strv_length (args->paths), args);
  return added;
}

void
shim_workspace_add_frames_async (ShimWorkspace *self, const char *round, const char *const *paths,
                                 const ShimMarks *marks, ShimAddedFunc progress, gpointer progress_data,
                                 GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  AddArgs *args = g_new0 (AddArgs, 1);

  args->workspace = self;
  args->context = g_main_context_ref (_shim_workspace_get_context (self));
  args->round = g_strdup (round);
  args->paths = g_strdupv ((char **) paths);
  args->progress = progress;
  args->progress_data = progress_data;
  if (marks != NULL)
    {
      args->approach = g_strdup (marks->approach);
      args->marks = (ShimMarks) { .approach = args->approach, .override = marks->override };
      if (marks->request != NULL)
        {
          args->request = *marks->request;
          args->marks.request = &args->request;
        }
    }
  _shim_workspace_expect_photos (self, g_strv_length (args->paths));
  _shim_workspace_thread_async (self, add_frames_func, args, (GDestroyNotify) add_args_free,
                                (GDestroyNotify) g_ptr_array_unref, cancellable, callback, user_data);
}

typedef struct
{
  char *frame;
  gboolean has_given;
  ShimMeasureRequest given;
} AgainArgs;

static void
again_args_free (AgainArgs *args)
{
  g_free (args->frame);
  g_free (args);
}

static gpointer
remeasure_func (ShimRegisterThread *thread, gpointer data, GCancellable *cancellable, GError **error)
{
  AgainArgs *args = data;

  return _shim_ops_frames_remeasure (run_on_thread, thread, args->frame, args->has_given ? &args->given : NULL,
                                     cancellable, error);
}

void
shim_workspace_remeasure_async (ShimWorkspace *self, const char *frame, const ShimMeasureRequest *given,
                                GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  AgainArgs *args = g_new0 (AgainArgs, 1);

  args->frame = g_strdup (frame);
  args->has_given = given != NULL;
  if (given != NULL)
    args->given = *given;
  _shim_workspace_thread_async (self, remeasure_func, args, (GDestroyNotify) again_args_free, g_object_unref,
                                cancellable, callback, user_data);
}

static gpointer
carry_func (ShimRegisterThread *thread, gpointer frame, GCancellable *cancellable, GError **error)
{
  return _shim_ops_frames_carry (run_on_thread, thread, frame, cancellable, error);
}

void
shim_workspace_carry_marks_async (ShimWorkspace *self, const char *frame, GCancellable *cancellable,
                                  GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_workspace_thread_async (self, carry_func, g_strdup (frame), g_free, (GDestroyNotify) g_ptr_array_unref,
                                cancellable, callback, user_data);
}

typedef struct
{
  char *frame;
  ShimEyeMarks marks;
} EyeArgs;

static void
eye_args_free (EyeArgs *args)
{
  g_free (args->frame);
  g_free (args);
}

static gpointer
read_by_eye_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  EyeArgs *args = data;

  return shim_ops_frames_read_by_eye (reg, args->frame, &args->marks, error);
}

void
shim_workspace_read_by_eye_async (ShimWorkspace *self, const char *frame, const ShimEyeMarks *marks,
                                  GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  EyeArgs *args = g_new0 (EyeArgs, 1);

  args->frame = g_strdup (frame);
  args->marks = *marks;
  shim_workspace_call_async (self, read_by_eye_func, args, (GDestroyNotify) eye_args_free, g_object_unref,
                             cancellable, callback, user_data);
}

static gpointer
set_use_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return GINT_TO_POINTER (shim_ops_frames_set_use (reg, args->text[0], args->flag, args->text[1], error));
}

void
shim_workspace_set_use_async (ShimWorkspace *self, const char *frame, gboolean use, const char *reason,
                              GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  ShimOpArgs *args = _shim_op_args_new (frame, reason, NULL, NULL);

  args->flag = use;
  _shim_op_call (self, set_use_func, args, NULL, cancellable, callback, user_data);
}

/* --- accepting --- */

typedef struct
{
  ShimAccept request;
  char *text[5];
} AcceptArgs;

static void
accept_args_free (AcceptArgs *args)
{
  for (guint i = 0; i < G_N_ELEMENTS (args->text); i++)
    g_free (args->text[i]);
  g_free (args);
}

static gpointer
accept_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  return shim_ops_accept (reg, &((AcceptArgs *) data)->request, NULL, error);
}

void
shim_workspace_accept_async (ShimWorkspace *self, const ShimAccept *request, GCancellable *cancellable,
                             GAsyncReadyCallback callback, gpointer user_data)
{
  AcceptArgs *args = g_new0 (AcceptArgs, 1);

  args->request = *request;
  args->request.pair = args->text[0] = g_strdup (request->pair);
  args->request.test = args->text[1] = g_strdup (request->test);
  args->request.end = args->text[2] = g_strdup (request->end);
  args->request.origin = args->text[3] = g_strdup (request->origin);
  args->request.note = args->text[4] = g_strdup (request->note);
  shim_workspace_call_async (self, accept_func, args, (GDestroyNotify) accept_args_free, g_object_unref, cancellable,
                             callback, user_data);
}

static gpointer
withdraw_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return GINT_TO_POINTER (shim_ops_accept_withdraw (reg, args->text[0], args->text[1], args->text[2], error));
}

void
shim_workspace_withdraw_async (ShimWorkspace *self, const char *pair, const char *end, const char *note,
                               GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_op_call (self, withdraw_func, _shim_op_args_new (pair, end, note, NULL), NULL, cancellable, callback,
                 user_data);
}
