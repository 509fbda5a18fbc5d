/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-register-private.h"

/* Which records refer to which, as the field tables say. Foreign keys alone would do for the file; for people a record that was
 * removed is gone, and the sentence should name what is missing. */

/* Events and job items name the kind beside the id. */
static gboolean
is_any_item (const ShimKind *kind, const ShimField *field)
{
  return g_str_equal (field->name, "item") && shim_kind_find_field (kind, "item_kind") != NULL;
}

static const char *
target_column (const char *kind)
{
  return g_str_equal (kind, "mount") ? "name" : "id";
}

static gboolean
is_there (ShimRegister *self, const char *kind, const char *key, gboolean *is, GError **error)
{
  g_autofree char *sql
      = g_strdup_printf ("SELECT 1 FROM \"%s\" AS t WHERE t.%s = ?1"
                         " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = t.id)",
                         kind, target_column (kind));
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, sql, error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, key);
  step = shim_statement_step (statement, error);
  *is = step == SHIM_STEP_ROW;
  return step != SHIM_STEP_ERROR;
}

/* The kind that a field points at in this record, NULL when it points at none. */
static const ShimKind *
target_of (ShimRecord *record, const ShimField *field)
{
  const ShimKind *kind = shim_record_get_kind (record);
  const char *name = field->ref;

  if (is_any_item (kind, field))
    name = shim_record_get_text (record, shim_kind_find_field (kind, "item_kind"));
  return name != NULL ? shim_kind_from_name (name) : NULL;
}

/**
 * shim_register_check_references:
 * @self: a register
 * @record: a record that is to be written
 * @error: CONSTRAINT
 *
 * Returns: whether everything that it refers to is there
 */
gboolean
shim_register_check_references (ShimRegister *self, ShimRecord *record, GError **error)
{
  const ShimKind *kind = shim_record_get_kind (record);

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];
      const ShimKind *target = field->type == SHIM_FIELD_REF || is_any_item (kind, field) ? target_of (record, field) : NULL;
      const char *key;
      gboolean is = TRUE;

      if (target == NULL || !shim_record_is_known (record, field))
        continue;
      key = shim_record_get_text (record, field);
      if (!is_there (self, target->name, key, &is, error))
        return FALSE;
      if (is)
        continue;
      if (g_str_equal (target->name, "mount"))
        g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONSTRAINT,
                     _ ("There is no mount “%s” in the register. Add it to the mounts, or write one that is known."), key);
      else
        g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONSTRAINT, _ ("%s: there is no such record in the register (%s)."),
                     _ (field->label), key);
      return FALSE;
    }
  return TRUE;
}

static gboolean
refers (ShimRegister *self, const ShimKind *from, const ShimField *field, const char *key, gboolean *is, GError **error)
{
  g_autofree char *sql
      = g_strdup_printf ("SELECT 1 FROM \"%s\" AS t WHERE t.\"%s\" = ?1"
                         " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = t.id) LIMIT 1",
                         from->name, field->name);
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, sql, error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, key);
  step = shim_statement_step (statement, error);
  *is = step == SHIM_STEP_ROW;
  return step != SHIM_STEP_ERROR;
}

static gboolean
get_key (ShimRegister *self, const ShimKind *kind, const char *id, char **key, GError **error)
{
  g_autoptr (ShimRecord) mount = NULL;

  *key = NULL;
  if (!g_str_equal (kind->name, "mount"))
    *key = g_strdup (id);
  else if ((mount = shim_register_fetch (self, SHIM_TYPE_MOUNT, id, TRUE, error)) != NULL)
    *key = g_strdup (SHIM_MOUNT (mount)->name);
  return *key != NULL;
}

/**
 * shim_register_is_referred_to:
 * @self: a register
 * @kind: of a record
 * @id: of the record
 * @is: (out): whether a record that counts refers to it
 * @error: return location
 */
gboolean
shim_register_is_referred_to (ShimRegister *self, const ShimKind *kind, const char *id, gboolean *is, GError **error)
{
  g_autofree char *key = NULL;
  const GType *types;
  guint n_types;

  *is = FALSE;
  types = shim_kind_list_types (&n_types);
  if (!get_key (self, kind, id, &key, error))
    return FALSE;
  for (guint i = 0; i < n_types; i++)
    {
      const ShimKind *from = shim_kind_for_type (types[i]);

      for (guint j = 0; j < from->n_fields && !*is; j++)
        if ((g_strcmp0 (from->fields[j].ref, kind->name) == 0 || is_any_item (from, &from->fields[j]))
            && !refers (self, from, &from->fields[j], key, is, error))
          return FALSE;
    }
  return TRUE;
}
