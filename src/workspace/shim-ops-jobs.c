/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-ops-jobs.h"
#include "shim-ops-kit.h"
#include "shim-workspace-error.h"

static const char *const mend_names[] = {
  [SHIM_MEND_OPEN_TEST] = "open-test",   [SHIM_MEND_KEY_IN] = "key-in",       [SHIM_MEND_OPEN_SLOTS] = "open-slots",
  [SHIM_MEND_OPEN_PAIR] = "open-pair",   [SHIM_MEND_OPEN_ITEM] = "open-item", [SHIM_MEND_ADD_ITEM] = "add-item",
};

static const char *const item_kinds[] = { "body", "lens", "converter", "adapter" };

/**
 * shim_pick_result_free:
 * @self: (nullable): a result
 */
void
shim_pick_result_free (ShimPickResult *self)
{
  if (self == NULL)
    return;
  g_strfreev (self->not_found);
  g_strfreev (self->ambiguous);
  g_free (self);
}

/**
 * shim_ops_jobs_create:
 * @reg: a register
 * @name: of the occasion
 * @on_date: (nullable): first day, "YYYY-MM-DD"
 * @error: a #ShimKitError or #ShimStoreError
 *
 * Returns: (transfer full) (nullable): the job
 */
ShimJob *
shim_ops_jobs_create (ShimRegister *reg, const char *name, const char *on_date, GError **error)
{
  g_autoptr (ShimJob) job = NULL;

  g_return_val_if_fail (reg != NULL && name != NULL, NULL);

  job = shim_job_new ();
  g_object_set (job, "name", name, "on-date", on_date, NULL);
  if (!shim_ops_kit_save (reg, SHIM_RECORD (job), error))
    return NULL;
  return g_steal_pointer (&job);
}

static GPtrArray *
list_items (ShimRegister *reg, const char *job, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_add_filter (query, "job", job);
  return shim_register_list (reg, SHIM_TYPE_JOB_ITEM, query, error);
}

static ShimJobItem *
find_item (GPtrArray *items, const char *item)
{
  for (guint i = 0; i < items->len; i++)
    if (g_strcmp0 (((ShimJobItem *) g_ptr_array_index (items, i))->item, item) == 0)
      return g_ptr_array_index (items, i);
  return NULL;
}

/* Adds to register and to @items; what is there already is counted as such. */
static gboolean
take_along (ShimRegister *reg, const char *job, GPtrArray *items, const char *kind, const char *item, guint *n_added,
            guint *n_there, GError **error)
{
  g_autoptr (ShimJobItem) record = NULL;

  if (find_item (items, item) != NULL)
    {
      ++*n_there;
      return TRUE;
    }
  record = shim_job_item_new ();
  g_object_set (record, "job", job, "item-kind", kind, "item", item, NULL);
  if (!shim_register_insert (reg, SHIM_RECORD (record), error))
    return FALSE;
  g_ptr_array_add (items, g_steal_pointer (&record));
  ++*n_added;
  return TRUE;
}

static gboolean
end_change (ShimRegister *reg, gboolean good, GError **error)
{
  if (good)
    return shim_register_commit (reg, error);
  shim_register_rollback (reg);
  return FALSE;
}

/**
 * shim_ops_jobs_add_item:
 * @reg: a register
 * @job: id
 * @kind: kind of the item: "lens"
 * @item: its id
 * @error: a #ShimStoreError
 *
 * Returns: whether the job has it now
 */
gboolean
shim_ops_jobs_add_item (ShimRegister *reg, const char *job, const char *kind, const char *item, GError **error)
{
  g_autoptr (GPtrArray) items = NULL;
  g_autoptr (ShimRecord) record = NULL;
  g_autofree char *summary = NULL;
  guint n_added = 0, n_there = 0;

  g_return_val_if_fail (reg != NULL && job != NULL && kind != NULL && item != NULL, FALSE);

  items = list_items (reg, job, error);
  if (items == NULL)
    return FALSE;
  record = shim_ops_kit_get_item (reg, kind, item, error);
  if (record == NULL)
    return FALSE;
  summary = g_strdup_printf (_ ("Take %s along"), shim_ops_kit_item_name (record));
  if (!shim_register_begin (reg, summary, error))
    return FALSE;
  return end_change (reg, take_along (reg, job, items, kind, item, &n_added, &n_there, error), error);
}

/**
 * shim_ops_jobs_remove_item:
 * @reg: a register
 * @job: id
 * @item: id of an item
 * @error: #ShimStoreError NOT_FOUND when the job does not have it
 *
 * Returns: whether the job is without it now
 */
gboolean
shim_ops_jobs_remove_item (ShimRegister *reg, const char *job, const char *item, GError **error)
{
  g_autoptr (GPtrArray) items = NULL;
  ShimJobItem *record;

  g_return_val_if_fail (reg != NULL && job != NULL && item != NULL, FALSE);

  items = list_items (reg, job, error);
  if (items == NULL)
    return FALSE;
  record = find_item (items, item);
  if (record == NULL)
    {
      g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND,
                           _ ("The job does not take this item along."));
      return FALSE;
    }
  return shim_register_remove (reg, SHIM_TYPE_JOB_ITEM, shim_record_get_id (SHIM_RECORD (record)), error);
}

static gboolean
copy_items (ShimRegister *reg, const char *job, GPtrArray *items, GPtrArray *from, guint *n_added, GError **error)
{
  guint n_there = 0;

  for (guint i = 0; i < from->len; i++)
    {
      ShimJobItem *record = g_ptr_array_index (from, i);

      if (!take_along (reg, job, items, record->item_kind, record->item, n_added, &n_there, error))
        return FALSE;
    }
  return TRUE;
}

/**
 * shim_ops_jobs_copy_items:
 * @reg: a register
 * @job: id of the job that gets them
 * @from_job: id of an earlier job
 * @n_added: (out) (optional): how many the job did not have
 * @error: a #ShimStoreError
 *
 * Returns: whether it is stored
 */
gboolean
shim_ops_jobs_copy_items (ShimRegister *reg, const char *job, const char *from_job, guint *n_added, GError **error)
{
  g_autoptr (GPtrArray) items = NULL;
  g_autoptr (GPtrArray) from = NULL;
  guint n = 0;

  g_return_val_if_fail (reg != NULL && job != NULL && from_job != NULL, FALSE);

  items = list_items (reg, job, error);
  if (items == NULL)
    return FALSE;
  from = list_items (reg, from_job, error);
  if (from == NULL)
    return FALSE;
  if (!shim_register_begin (reg, _ ("Copy the kit of an earlier job"), error))
    return FALSE;
  if (!end_change (reg, copy_items (reg, job, items, from, &n, error), error))
    return FALSE;
  if (n_added != NULL)
    *n_added = n;
  return TRUE;
}

/* --- serials --- */

/* Items of all kinds with this serial; @kinds says which each is. */
static GPtrArray *
find_by_serial (ShimRegister *reg, const char *serial, GPtrArray *kinds, GError **error)
{
  g_autoptr (GPtrArray) all = g_ptr_array_new_with_free_func (g_object_unref);

  for (guint i = 0; i < G_N_ELEMENTS (item_kinds); i++)
    {
      g_autoptr (GPtrArray) found =
          shim_register_find_serial (reg, shim_kind_type_from_name (item_kinds[i]), serial, error);

      if (found == NULL)
        return NULL;
      for (guint k = 0; k < found->len; k++)
        {
          g_ptr_array_add (all, g_object_ref (g_ptr_array_index (found, k)));
          g_ptr_array_add (kinds, (gpointer) item_kinds[i]);
        }
    }
  return g_steal_pointer (&all);
}

typedef struct
{
  GPtrArray *items;
  GPtrArray *not_found;
  GPtrArray *ambiguous;
} Picking;

static gboolean
pick_serial (ShimRegister *reg, const char *job, const char *serial, Picking *picking, ShimPickResult *result,
             GError **error)
{
  g_autoptr (GPtrArray) kinds = g_ptr_array_new ();
  g_autoptr (GPtrArray) found = find_by_serial (reg, serial, kinds, error);

  if (found == NULL)
    return FALSE;
  if (found->len != 1)
    {
      g_ptr_array_add (found->len == 0 ? picking->not_found : picking->ambiguous, g_strdup (serial));
      return TRUE;
    }
  return take_along (reg, job, picking->items, g_ptr_array_index (kinds, 0),
                     shim_record_get_id (g_ptr_array_index (found, 0)), &result->n_added, &result->n_there, error);
}

static gboolean
pick_lines (ShimRegister *reg, const char *job, const char *lines, Picking *picking, ShimPickResult *result,
            GError **error)
{
  g_auto (GStrv) list = g_strsplit_set (lines, "\r\n", -1);

  for (char **line = list; *line != NULL; line++)
    if (*g_strstrip (*line) != '\0' && !pick_serial (reg, job, *line, picking, result, error))
      return FALSE;
  return TRUE;
}

static char **
to_strv (GPtrArray *lines)
{
  g_ptr_array_add (lines, NULL);
  return (char **) g_ptr_array_free (lines, FALSE);
}

/**
 * shim_ops_jobs_add_serials:
 * @reg: a register
 * @job: id
 * @lines: serials, one a line, as typed, scanned or pasted; blank lines do not count
 * @error: a #ShimStoreError
 *
 * What is found is taken along, the rest is named.
 *
 * Returns: (transfer full) (nullable): what became of the lines
 */
ShimPickResult *
shim_ops_jobs_add_serials (ShimRegister *reg, const char *job, const char *lines, GError **error)
{
  g_autoptr (ShimPickResult) result = NULL;
  g_autoptr (GPtrArray) items = NULL;
  Picking picking;
  gboolean good;

  g_return_val_if_fail (reg != NULL && job != NULL && lines != NULL, NULL);

  items = list_items (reg, job, error);
  if (items == NULL || !shim_register_begin (reg, _ ("Take items along by their serials"), error))
    return NULL;
  result = g_new0 (ShimPickResult, 1);
  picking = (Picking) { items, g_ptr_array_new (), g_ptr_array_new () };
  good = end_change (reg, pick_lines (reg, job, lines, &picking, result, error), error);
  result->not_found = to_strv (picking.not_found);
  result->ambiguous = to_strv (picking.ambiguous);
  return good ? g_steal_pointer (&result) : NULL;
}

/* --- readiness --- */

/**
 * shim_ops_jobs_readiness:
 * @reg: a register
 * @job: (nullable): id; %NULL = the whole kit
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (element-type ShimNotReady) (nullable): what is not ready, the gravest first
 */
GPtrArray *
shim_ops_jobs_readiness (ShimRegister *reg, const char *job, GError **error)
{
  g_autoptr (ShimJobKit) kit = NULL;

  g_return_val_if_fail (reg != NULL, NULL);

  kit = shim_register_job_kit (reg, job, error);
  return kit != NULL ? shim_job_kit_readiness (kit) : NULL;
}

/**
 * shim_ops_jobs_mend:
 * @line: a line of the readiness list
 *
 * Returns: what puts it right
 */
ShimMend
shim_ops_jobs_mend (const ShimNotReady *line)
{
  g_return_val_if_fail (line != NULL, SHIM_MEND_OPEN_PAIR);

  switch (line->kind)
    {
    case SHIM_NOT_READY_UNTESTED:
    case SHIM_NOT_READY_IN_TEST:
    case SHIM_NOT_READY_DUE:
      return SHIM_MEND_OPEN_TEST;
    case SHIM_NOT_READY_NOT_KEYED_IN:
      return SHIM_MEND_KEY_IN;
    case SHIM_NOT_READY_NO_SLOT:
    case SHIM_NOT_READY_CONFLICT:
      return SHIM_MEND_OPEN_SLOTS;
    case SHIM_NOT_READY_HELD:
    case SHIM_NOT_READY_SERVICE:
      return SHIM_MEND_OPEN_ITEM;
    case SHIM_NOT_READY_NO_BODY:
    case SHIM_NOT_READY_NO_LENS:
      return SHIM_MEND_ADD_ITEM;
    case SHIM_NOT_READY_OUT_OF_REACH:
    default:
      return SHIM_MEND_OPEN_PAIR;
    }
}

/**
 * shim_mend_to_name:
 * @mend: what puts something right
 *
 * Returns: (transfer none): its name in JSON: "open-test"
 */
const char *
shim_mend_to_name (ShimMend mend)
{
  g_return_val_if_fail ((guint) mend < G_N_ELEMENTS (mend_names), NULL);

  return mend_names[mend];
}
