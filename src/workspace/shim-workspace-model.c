/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-workspace-ops.h"
#include "shim-workspace-private.h"

/* Operations that rest on the kit model. The model of all is kept until somebody writes; in a large register there is one for each
 * body that is asked about, made for that question. */

/**
 * ModelArgs:
 * @workspace: held by the call; used in its own context alone
 * @version: state of the register when it was asked
 * @model: (nullable): the model kept from before, or made by this call
 * @is_partial: whether it says nothing of the rest of the kit
 */
typedef struct
{
  ShimWorkspace *workspace;
  gint64 version;
  ShimModel *model;
  gboolean is_partial;
  char *text[3];
  char **lenses;
  double focal_mm;
  double distance_mm;
} ModelArgs;

static ModelArgs *
model_args_new (ShimWorkspace *self, const char *a, const char *b, const char *c)
{
  ModelArgs *args = g_new0 (ModelArgs, 1);

  args->workspace = self;
  args->model = _shim_workspace_dup_model (self, &args->version);
  args->text[0] = g_strdup (a);
  args->text[1] = g_strdup (b);
  args->text[2] = g_strdup (c);
  return args;
}

/* The workspace's context, see shim_workspace_call_async(). The model may be newer than @version says, never older.
 */
static void
model_args_free (ModelArgs *args)
{
  if (args->model != NULL && !args->is_partial)
    _shim_workspace_keep_model (args->workspace, args->model, args->version);
  g_clear_pointer (&args->model, shim_model_unref);
  for (guint i = 0; i < G_N_ELEMENTS (args->text); i++)
    g_free (args->text[i]);
  g_strfreev (args->lenses);
  g_free (args);
}

static gboolean
have_model_around (ModelArgs *args, ShimRegister *reg, const char *body, const char *lens, GError **error)
{
  gboolean is_whole = TRUE;

  if (args->model == NULL)
    args->model = shim_ops_model_around (reg, body, lens, &is_whole, error);
  args->is_partial = !is_whole;
  return args->model != NULL;
}

static gpointer
model_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ModelArgs *args = data;

  if (args->model == NULL)
    args->model = shim_ops_model (reg, error);
  return args->model != NULL ? shim_model_ref (args->model) : NULL;
}

void
shim_workspace_model_async (ShimWorkspace *self, GCancellable *cancellable, GAsyncReadyCallback callback,
                            gpointer user_data)
{
  shim_workspace_call_async (self, model_func, model_args_new (self, NULL, NULL, NULL),
                             (GDestroyNotify) model_args_free, (GDestroyNotify) shim_model_unref, cancellable,
                             callback, user_data);
}

static gpointer
predict_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ModelArgs *args = data;

  if (!have_model_around (args, reg, args->text[0], args->text[1], error))
    return NULL;
  return shim_ops_model_predict (reg, args->model, args->text[0], args->text[1], args->text[2], args->focal_mm,
                                 args->distance_mm, error);
}

void
shim_workspace_predict_async (ShimWorkspace *self, const char *body, const char *lens, const char *converter,
                              double focal_mm, double distance_mm, GCancellable *cancellable,
                              GAsyncReadyCallback callback, gpointer user_data)
{
  ModelArgs *args = model_args_new (self, body, lens, converter);

  args->focal_mm = focal_mm;
  args->distance_mm = distance_mm;
  shim_workspace_call_async (self, predict_func, args, (GDestroyNotify) model_args_free,
                             (GDestroyNotify) shim_pair_prediction_free, cancellable, callback, user_data);
}

static gpointer
plan_slots_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ModelArgs *args = data;

  if (!have_model_around (args, reg, args->text[0], NULL, error))
    return NULL;
  return shim_ops_model_plan_slots (reg, args->model, args->text[0], (const char *const *) args->lenses, error);
}

void
shim_workspace_plan_slots_async (ShimWorkspace *self, const char *body, const char *const *lenses,
                                 GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  ModelArgs *args = model_args_new (self, body, NULL, NULL);

  args->lenses = g_strdupv ((char **) lenses);
  shim_workspace_call_async (self, plan_slots_func, args, (GDestroyNotify) model_args_free,
                             (GDestroyNotify) shim_body_plan_free, cancellable, callback, user_data);
}

static gpointer
test_summary_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ModelArgs *args = data;
  g_autoptr (ShimRecord) test = shim_register_get (reg, SHIM_TYPE_TEST, args->text[0], error);
  g_autoptr (ShimRecord) record = test != NULL ? shim_register_get (reg, SHIM_TYPE_PAIR, SHIM_TEST (test)->pair, error) : NULL;

  if (record == NULL || !have_model_around (args, reg, SHIM_PAIR (record)->body, SHIM_PAIR (record)->lens, error))
    return NULL;
  return shim_ops_test_summary (reg, args->model, args->text[0], error);
}

void
shim_workspace_test_summary_async (ShimWorkspace *self, const char *test, GCancellable *cancellable,
                                   GAsyncReadyCallback callback, gpointer user_data)
{
  shim_workspace_call_async (self, test_summary_func, model_args_new (self, test, NULL, NULL),
                             (GDestroyNotify) model_args_free, (GDestroyNotify) shim_test_summary_unref, cancellable,
                             callback, user_data);
}
