/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-register-pairs.h"
#include "shim-workspace-ops.h"
#include "shim-workspace-ops-private.h"
#include "shim-workspace-private.h"

/* The operations of one round trip to the register's thread. */

ShimOpArgs *
_shim_op_args_new (const char *a, const char *b, const char *c, const char *d)
{
  ShimOpArgs *args = g_new0 (ShimOpArgs, 1);

  args->text[0] = g_strdup (a);
  args->text[1] = g_strdup (b);
  args->text[2] = g_strdup (c);
  args->text[3] = g_strdup (d);
  return args;
}

void
_shim_op_args_free (ShimOpArgs *args)
{
  for (guint i = 0; i < G_N_ELEMENTS (args->text); i++)
    g_free (args->text[i]);
  g_strfreev (args->texts);
  g_clear_object (&args->record);
  g_clear_pointer (&args->records, g_ptr_array_unref);
  g_free (args);
}

/* Takes @args. */
void
_shim_op_call (ShimWorkspace *self, ShimRegisterFunc func, ShimOpArgs *args, GDestroyNotify result_free,
               GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  shim_workspace_call_async (self, func, args, (GDestroyNotify) _shim_op_args_free, result_free, cancellable,
                             callback, user_data);
}

#define YES(done) GINT_TO_POINTER ((done) ? TRUE : FALSE)

/* --- kit --- */

static gpointer
get_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return shim_register_get (reg, (GType) args->number[0], args->text[0], error);
}

void
shim_workspace_get_async (ShimWorkspace *self, GType type, const char *id, GCancellable *cancellable,
                          GAsyncReadyCallback callback, gpointer user_data)
{
  ShimOpArgs *args = _shim_op_args_new (id, NULL, NULL, NULL);

  args->number[0] = (gint64) type;
  _shim_op_call (self, get_func, args, g_object_unref, cancellable, callback, user_data);
}

static gpointer
save_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return shim_ops_kit_save_changes (reg, g_ptr_array_index (args->records, 0), args->record, error);
}

void
shim_workspace_save_async (ShimWorkspace *self, ShimRecord *before, ShimRecord *record, GCancellable *cancellable,
                           GAsyncReadyCallback callback, gpointer user_data)
{
  ShimOpArgs *args = _shim_op_args_new (NULL, NULL, NULL, NULL);

  args->records = g_ptr_array_new_full (1, g_object_unref);
  g_ptr_array_add (args->records, shim_record_copy (before));
  args->record = shim_record_copy (record);
  _shim_op_call (self, save_func, args, g_object_unref, cancellable, callback, user_data);
}

static gpointer
set_archived_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return YES (shim_ops_kit_set_archived (reg, args->text[0], args->text[1], args->flag, error));
}

void
shim_workspace_set_archived_async (ShimWorkspace *self, const char *kind, const char *id, gboolean archived,
                                   GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  ShimOpArgs *args = _shim_op_args_new (kind, id, NULL, NULL);

  args->flag = archived;
  _shim_op_call (self, set_archived_func, args, NULL, cancellable, callback, user_data);
}

static gpointer
import_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return shim_ops_kit_import (reg, args->records, (ShimImportFlags) args->number[0], error);
}

void
shim_workspace_import_async (ShimWorkspace *self, GPtrArray *records, ShimImportFlags flags,
                             GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  ShimOpArgs *args = _shim_op_args_new (NULL, NULL, NULL, NULL);

  args->records = shim_record_holes_new (records->len);
  for (guint i = 0; i < records->len; i++)
    {
      ShimRecord *record = g_ptr_array_index (records, i);

      g_ptr_array_add (args->records, record != NULL ? shim_record_copy (record) : NULL);
    }
  args->number[0] = flags;
  _shim_op_call (self, import_func, args, (GDestroyNotify) shim_import_result_free, cancellable, callback, user_data);
}

static gpointer
note_event_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return shim_ops_kit_note_event (reg, SHIM_EVENT (args->record), error) ? g_steal_pointer (&args->record) : NULL;
}

void
shim_workspace_note_event_async (ShimWorkspace *self, ShimEvent *event, GCancellable *cancellable,
                                 GAsyncReadyCallback callback, gpointer user_data)
{
  ShimOpArgs *args = _shim_op_args_new (NULL, NULL, NULL, NULL);

  args->record = shim_record_copy (SHIM_RECORD (event));
  _shim_op_call (self, note_event_func, args, g_object_unref, cancellable, callback, user_data);
}

static gpointer
take_back_event_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  return YES (shim_ops_kit_take_back_event (reg, ((ShimOpArgs *) data)->text[0], error));
}

void
shim_workspace_take_back_event_async (ShimWorkspace *self, const char *event, GCancellable *cancellable,
                                      GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_op_call (self, take_back_event_func, _shim_op_args_new (event, NULL, NULL, NULL), NULL, cancellable, callback,
                 user_data);
}

/* --- slots --- */

static gpointer
slots_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  return shim_register_slots (reg, ((ShimOpArgs *) data)->text[0], error);
}

void
shim_workspace_slots_async (ShimWorkspace *self, const char *body, GCancellable *cancellable,
                            GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_op_call (self, slots_func, _shim_op_args_new (body, NULL, NULL, NULL), (GDestroyNotify) g_ptr_array_unref,
                 cancellable, callback, user_data);
}

static gpointer
propose_slot_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return shim_ops_slots_propose (reg, args->text[0], args->number[0], error);
}

void
shim_workspace_propose_slot_async (ShimWorkspace *self, const char *pair, gint64 wanted, GCancellable *cancellable,
                                   GAsyncReadyCallback callback, gpointer user_data)
{
  ShimOpArgs *args = _shim_op_args_new (pair, NULL, NULL, NULL);

  args->number[0] = wanted;
  _shim_op_call (self, propose_slot_func, args, (GDestroyNotify) shim_slot_proposal_free, cancellable, callback,
                 user_data);
}

static gpointer
key_in_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return shim_ops_slots_key_in (reg, args->text[0], args->number[0], args->flag, error);
}

void
shim_workspace_key_in_async (ShimWorkspace *self, const char *pair, gint64 number, gboolean overwrite,
                             GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  ShimOpArgs *args = _shim_op_args_new (pair, NULL, NULL, NULL);

  args->number[0] = number;
  args->flag = overwrite;
  _shim_op_call (self, key_in_func, args, g_object_unref, cancellable, callback, user_data);
}

static gpointer
clear_slot_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return YES (shim_ops_slots_clear (reg, args->text[0], args->number[0], args->text[1], error));
}

void
shim_workspace_clear_slot_async (ShimWorkspace *self, const char *body, gint64 number, const char *note,
                                 GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  ShimOpArgs *args = _shim_op_args_new (body, note, NULL, NULL);

  args->number[0] = number;
  _shim_op_call (self, clear_slot_func, args, NULL, cancellable, callback, user_data);
}

static gpointer
reset_body_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return shim_ops_slots_reset_body (reg, args->text[0], args->text[1], args->text[2], error);
}

void
shim_workspace_reset_body_async (ShimWorkspace *self, const char *body, const char *happened_on, const char *note,
                                 GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_op_call (self, reset_body_func, _shim_op_args_new (body, happened_on, note, NULL),
                 (GDestroyNotify) g_ptr_array_unref, cancellable, callback, user_data);
}

/* --- jobs --- */

static gpointer
create_job_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return shim_ops_jobs_create (reg, args->text[0], args->text[1], error);
}

void
shim_workspace_create_job_async (ShimWorkspace *self, const char *name, const char *on_date,
                                 GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_op_call (self, create_job_func, _shim_op_args_new (name, on_date, NULL, NULL), g_object_unref, cancellable,
                 callback, user_data);
}

static gpointer
add_job_item_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return YES (shim_ops_jobs_add_item (reg, args->text[0], args->text[1], args->text[2], error));
}

void
shim_workspace_add_job_item_async (ShimWorkspace *self, const char *job, const char *kind, const char *item,
                                   GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_op_call (self, add_job_item_func, _shim_op_args_new (job, kind, item, NULL), NULL, cancellable, callback,
                 user_data);
}

static gpointer
remove_job_item_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return YES (shim_ops_jobs_remove_item (reg, args->text[0], args->text[1], error));
}

void
shim_workspace_remove_job_item_async (ShimWorkspace *self, const char *job, const char *item,
                                      GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_op_call (self, remove_job_item_func, _shim_op_args_new (job, item, NULL, NULL), NULL, cancellable, callback,
                 user_data);
}

static gpointer
copy_job_items_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return YES (shim_ops_jobs_copy_items (reg, args->text[0], args->text[1], NULL, error));
}

void
shim_workspace_copy_job_items_async (ShimWorkspace *self, const char *job, const char *from_job,
                                     GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_op_call (self, copy_job_items_func, _shim_op_args_new (job, from_job, NULL, NULL), NULL, cancellable,
                 callback, user_data);
}

static gpointer
add_serials_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimOpArgs *args = data;

  return shim_ops_jobs_add_serials (reg, args->text[0], args->text[1], error);
}

void
shim_workspace_add_serials_async (ShimWorkspace *self, const char *job, const char *lines, GCancellable *cancellable,
                                  GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_op_call (self, add_serials_func, _shim_op_args_new (job, lines, NULL, NULL),
                 (GDestroyNotify) shim_pick_result_free, cancellable, callback, user_data);
}

static gpointer
readiness_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  return shim_ops_jobs_readiness (reg, ((ShimOpArgs *) data)->text[0], error);
}

void
shim_workspace_readiness_async (ShimWorkspace *self, const char *job, GCancellable *cancellable,
                                GAsyncReadyCallback callback, gpointer user_data)
{
  _shim_op_call (self, readiness_func, _shim_op_args_new (job, NULL, NULL, NULL), (GDestroyNotify) g_ptr_array_unref,
                 cancellable, callback, user_data);
}
