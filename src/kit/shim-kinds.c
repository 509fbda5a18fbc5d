/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-kinds.h"

/**
 * shim_kind_list_types:
 * @n_types: (out): how many
 *
 * All kinds, each after those that it refers to: records can be added in this order.
 *
 * Returns: (transfer none) (array length=n_types): their record types
 */
const GType *
shim_kind_list_types (guint *n_types)
{
  static GType types[16];
  static gsize ready;

  if (g_once_init_enter (&ready))
    {
      const GType all[] = {
        SHIM_TYPE_MOUNT,   SHIM_TYPE_ADAPTER,  SHIM_TYPE_BODY,       SHIM_TYPE_LENS,
        SHIM_TYPE_CONVERTER, SHIM_TYPE_PAIR,   SHIM_TYPE_TEST,       SHIM_TYPE_ROUND,
        SHIM_TYPE_FRAME,   SHIM_TYPE_READING,  SHIM_TYPE_VERDICT,    SHIM_TYPE_DECISION,
        SHIM_TYPE_SLOT_ENTRY, SHIM_TYPE_EVENT, SHIM_TYPE_JOB,        SHIM_TYPE_JOB_ITEM,
      };

      G_STATIC_ASSERT (sizeof all == sizeof types);
      for (guint i = 0; i < G_N_ELEMENTS (all); i++)
        types[i] = all[i];
      g_once_init_leave (&ready, 1);
    }
  *n_types = G_N_ELEMENTS (types);
  return types;
}

/**
 * shim_kind_type_from_name:
 * @name: name of a kind: "body"
 *
 * Returns: its record type, %G_TYPE_INVALID when there is no such kind
 */
GType
shim_kind_type_from_name (const char *name)
{
  const GType *types;
  guint n_types;

  g_return_val_if_fail (name != NULL, G_TYPE_INVALID);

  types = shim_kind_list_types (&n_types);
  for (guint i = 0; i < n_types; i++)
    if (g_str_equal (shim_kind_for_type (types[i])->name, name))
      return types[i];
  return G_TYPE_INVALID;
}

/**
 * shim_kind_from_name:
 * @name: name of a kind: "body"
 *
 * Returns: (nullable) (transfer none): its description
 */
const ShimKind *
shim_kind_from_name (const char *name)
{
  GType type = shim_kind_type_from_name (name);

  return type != G_TYPE_INVALID ? shim_kind_for_type (type) : NULL;
}
