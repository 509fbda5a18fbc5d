/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-ops-kit.h"
#include "shim-ops-mounts.h"

static void
problem_free (ShimImportProblem *problem)
{
  g_free (problem->sentence);
  g_free (problem);
}

/**
 * shim_import_result_free:
 * @self: (nullable): a result
 */
void
shim_import_result_free (ShimImportResult *self)
{
  if (self == NULL)
    return;
  g_ptr_array_unref (self->problems);
  g_free (self);
}

static void
add_problem (ShimImportResult *result, guint index, char *sentence)
{
  ShimImportProblem *problem = g_new0 (ShimImportProblem, 1);

  problem->index = index;
  problem->sentence = sentence;
  g_ptr_array_add (result->problems, problem);
}

static const char *
get_text (ShimRecord *record, const char *name)
{
  const ShimField *field = shim_kind_find_field (shim_record_get_kind (record), name);

  return field != NULL ? shim_record_get_text (record, field) : NULL;
}

/* Different makers may use the same serial; a maker that is not known contradicts nothing. */
static gboolean
makers_agree (ShimRecord *a, ShimRecord *b)
{
  const char *left = get_text (a, "maker"), *right = get_text (b, "maker");
  g_autofree char *left_folded = left != NULL ? g_utf8_casefold (left, -1) : NULL;
  g_autofree char *right_folded = right != NULL ? g_utf8_casefold (right, -1) : NULL;

  return left == NULL || right == NULL || g_str_equal (left_folded, right_folded);
}

static GPtrArray *
find_alike (ShimRegister *reg, ShimRecord *record, GError **error)
{
  const GType type = G_OBJECT_TYPE (record);
  const char *serial = get_text (record, "serial");
  g_autoptr (ShimQuery) query = NULL;

  if (serial != NULL)
    return shim_register_find_serial (reg, type, serial, error);
  if (type != SHIM_TYPE_MOUNT || get_text (record, "name") == NULL)
    return g_ptr_array_new_with_free_func (g_object_unref);
  query = shim_query_new ();
  shim_query_add_filter (query, "name", get_text (record, "name"));
  return shim_register_list (reg, type, query, error);
}

/* (transfer full) (nullable): the item of the register that @record speaks of. FALSE with @error only when the
 * register cannot be read. */
static gboolean
find_known (ShimRegister *reg, ShimRecord *record, ShimRecord **known, GError **error)
{
  g_autoptr (GPtrArray) alike = find_alike (reg, record, error);

  *known = NULL;
  if (alike == NULL)
    return FALSE;
  for (guint i = 0; i < alike->len && *known == NULL; i++)
    if (makers_agree (record, g_ptr_array_index (alike, i)))
      *known = g_object_ref (g_ptr_array_index (alike, i));
  return TRUE;
}

/* What @from knows goes to @to; the rest of @to stays. A yes/no field always knows: only a yes is taken over. */
static void
take_over (ShimRecord *from, ShimRecord *to)
{
  const ShimKind *kind = shim_record_get_kind (to);

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];

      if (field->flags & (SHIM_FIELD_DERIVED | SHIM_FIELD_INTERNAL) || !shim_record_is_known (from, field))
        continue;
      if (field->type == SHIM_FIELD_REAL)
        shim_record_set_real (to, field, shim_record_get_real (from, field));
      else if (field->type == SHIM_FIELD_INT || (field->type == SHIM_FIELD_BOOL && shim_record_get_int (from, field)))
        shim_record_set_int (to, field, shim_record_get_int (from, field));
      else if (field->type != SHIM_FIELD_BOOL && field->type != SHIM_FIELD_BLOB)
        shim_record_set_text (to, field, shim_record_get_text (from, field));
    }
}

/* What people tell the item of @record by. */
static const char *
mark_of (ShimRecord *record)
{
  return get_text (record, "serial") != NULL ? get_text (record, "serial") : shim_ops_kit_item_name (record);
}

/* An item that stands in two lines is a slip: the second would change what the first has brought. */
static void
add_known_problem (ShimImportResult *result, guint index, ShimRecord *record, ShimRecord *known, gboolean is_above)
{
  const char *format = is_above ? _ ("“%s” stands in a line above too, as “%s”.") : _ ("“%s” is in the register already, as “%s”.");

  result->n_known += !is_above;
  add_problem (result, index, g_strdup_printf (format, mark_of (record), shim_ops_kit_item_name (known)));
}

/* One record. A problem of its own is noted; FALSE only when the register cannot be read. @ids are those of the items above. */
static gboolean
import_one (ShimRegister *reg, ShimRecord *record, guint index, ShimImportFlags flags, GHashTable *ids, ShimImportResult *result,
            GError **error)
{
  g_autoptr (ShimRecord) known = NULL;
  g_autoptr (ShimRecord) changed = NULL;
  g_autoptr (GError) local_error = NULL;

  if (!find_known (reg, record, &known, error))
    return FALSE;
  if (known != NULL)
    {
      const gboolean is_above = !g_hash_table_add (ids, g_strdup (shim_record_get_id (known)));

      if (is_above || !(flags & SHIM_IMPORT_UPDATE_KNOWN))
        {
          add_known_problem (result, index, record, known, is_above);
          return TRUE;
        }
    }
  if (known == NULL)
    {
      g_autoptr (ShimRecord) added = shim_record_copy (record);

      if (shim_register_insert (reg, added, &local_error))
        {
          result->n_added++;
          g_hash_table_add (ids, g_strdup (shim_record_get_id (added)));
          shim_record_set_id (record, shim_record_get_id (added));
        }
      else
        add_problem (result, index, g_strdup (local_error->message));
      return TRUE;
    }
  changed = shim_record_copy (known);
  take_over (record, changed);
  if (shim_record_equal (changed, known))
    result->n_unchanged++;
  else if (shim_register_update (reg, changed, &local_error))
    result->n_changed++;
  else
    add_problem (result, index, g_strdup (local_error->message));
  return TRUE;
}

static gboolean
import_all (ShimRegister *reg, GPtrArray *records, ShimImportFlags flags, ShimImportResult *result, GError **error)
{
  g_autoptr (GPtrArray) mounts = shim_ops_mounts_list (reg, error);
  g_autoptr (GHashTable) ids = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  guint n_known = mounts != NULL ? mounts->len : 0;

  if (mounts == NULL)
    return FALSE;
  for (guint i = 0; i < records->len; i++)
    {
      ShimRecord *record = g_ptr_array_index (records, i);

      if (record == NULL)
        {
          result->n_missing++;
          continue;
        }
      shim_ops_mounts_recognise (mounts, record);
      if ((flags & SHIM_IMPORT_ADD_MOUNTS) && !shim_ops_mounts_add (reg, mounts, record, error))
        return FALSE;
      if (!import_one (reg, record, i, flags, ids, result, error))
        return FALSE;
    }
  result->n_mounts_added = mounts->len - n_known;
  return TRUE;
}

static void
forget_ids (GPtrArray *records, const gboolean *had_id)
{
  for (guint i = 0; i < records->len; i++)
    if (g_ptr_array_index (records, i) != NULL && !had_id[i])
      shim_record_set_id (g_ptr_array_index (records, i), NULL);
}

/**
 * shim_ops_kit_import:
 * @reg: a register
 * @records: (element-type ShimRecord) (nullable elements): new items, mounts or other records, in the order of their lines; one that
 * refers to another (a lens to its mount) comes after it. %NULL for a line that could not be read: the others are looked at, and nothing
 * is stored
 * @flags: how
 * @error: only when the register cannot be read or written; what is wrong with the records is in the result
 *
 * All of them or none, as one change.
 *
 * Returns: (transfer full) (nullable): what was done, or what stands in the way
 */
ShimImportResult *
shim_ops_kit_import (ShimRegister *reg, GPtrArray *records, ShimImportFlags flags, GError **error)
{
  g_autoptr (ShimImportResult) result = NULL;
  g_autofree char *summary = NULL;
  g_autofree gboolean *had_id = NULL;

  g_return_val_if_fail (reg != NULL, NULL);
  g_return_val_if_fail (records != NULL, NULL);

  result = g_new0 (ShimImportResult, 1);
  result->problems = g_ptr_array_new_with_free_func ((GDestroyNotify) problem_free);
  had_id = g_new0 (gboolean, records->len + 1);
  for (guint i = 0; i < records->len; i++)
    had_id[i] = g_ptr_array_index (records, i) != NULL && shim_record_get_id (g_ptr_array_index (records, i)) != NULL;
  summary = g_strdup_printf (g_dngettext (GETTEXT_PACKAGE, "Taken in at once: %u item", "Taken in at once: %u items", records->len),
                             records->len);
  if (!shim_register_begin (reg, summary, error))
    return NULL;
  if (!import_all (reg, records, flags, result, error))
    {
      shim_register_rollback (reg);
      forget_ids (records, had_id);
      return NULL;
    }
  if (result->problems->len > 0 || result->n_missing > 0 || (flags & SHIM_IMPORT_DRY_RUN))
    {
      shim_register_rollback (reg);
      forget_ids (records, had_id);
      return g_steal_pointer (&result);
    }
  if (!shim_register_commit (reg, error))
    {
      forget_ids (records, had_id);
      return NULL;
    }
  result->stored = TRUE;
  return g_steal_pointer (&result);
}
