/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-kinds.h"
#include "shim-mount-match.h"
#include "shim-ops-mounts.h"

static gboolean
names_mount (ShimRecord *record, const ShimField *field)
{
  return g_strcmp0 (field->ref, "mount") == 0 && shim_record_is_known (record, field);
}

/**
 * shim_ops_mounts_list:
 * @reg: a register
 * @error: return location
 *
 * Returns: (transfer full) (element-type ShimMount) (nullable): all mounts of the register
 */
GPtrArray *
shim_ops_mounts_list (ShimRegister *reg, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_set_include_archived (query, TRUE);
  return shim_register_list (reg, SHIM_TYPE_MOUNT, query, error);
}

/**
 * shim_ops_mounts_dup_names:
 * @reg: a register
 * @error: return location
 *
 * Returns: (transfer full) (nullable): names of the mounts that a person may choose from, sorted
 */
char **
shim_ops_mounts_dup_names (ShimRegister *reg, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GStrvBuilder) names = g_strv_builder_new ();
  g_autoptr (GPtrArray) mounts = NULL;

  shim_query_add_order (query, "name", FALSE);
  mounts = shim_register_list (reg, SHIM_TYPE_MOUNT, query, error);
  if (mounts == NULL)
    return NULL;
  for (guint i = 0; i < mounts->len; i++)
    g_strv_builder_add (names, SHIM_MOUNT (mounts->pdata[i])->name);
  return g_strv_builder_end (names);
}

/**
 * shim_ops_mounts_recognise:
 * @mounts: (element-type ShimMount): those of the register
 * @record: a record that a person wrote elsewhere
 *
 * Puts the register's own name of a mount where the record has another writing of it.
 */
void
shim_ops_mounts_recognise (GPtrArray *mounts, ShimRecord *record)
{
  const ShimKind *kind = shim_record_get_kind (record);

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];
      const char *name = names_mount (record, field) ? shim_mount_match (mounts, shim_record_get_text (record, field)) : NULL;

      if (name != NULL)
        shim_record_set_text (record, field, name);
    }
}

/**
 * shim_ops_mounts_add:
 * @reg: a register
 * @mounts: (element-type ShimMount): those of the register; a new one is added here too
 * @record: a record
 * @error: return location
 *
 * Adds the mounts that @record names and the register does not know; their flange distance is not known.
 *
 * Returns: whether it went well
 */
gboolean
shim_ops_mounts_add (ShimRegister *reg, GPtrArray *mounts, ShimRecord *record, GError **error)
{
  const ShimKind *kind = shim_record_get_kind (record);

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];
      g_autoptr (ShimMount) mount = NULL;

      if (!names_mount (record, field) || shim_mount_match (mounts, shim_record_get_text (record, field)) != NULL)
        continue;
      mount = shim_mount_new ();
      g_object_set (mount, "name", shim_record_get_text (record, field), NULL);
      if (!shim_register_insert (reg, SHIM_RECORD (mount), error))
        return FALSE;
      g_ptr_array_add (mounts, g_steal_pointer (&mount));
    }
  return TRUE;
}
