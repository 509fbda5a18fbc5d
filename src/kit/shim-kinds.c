/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-kinds.h"

/**
 * shim_kind_type_from_name:
 * @name: name of a kind: "body"
 *
 * Returns: its record type, %G_TYPE_INVALID when there is no such kind
 */
GType
shim_kind_type_from_name (const char *name)
{
  const GType types[] = {
    SHIM_TYPE_MOUNT,
    SHIM_TYPE_ADAPTER,
    SHIM_TYPE_BODY,
    SHIM_TYPE_LENS,
    SHIM_TYPE_CONVERTER,
    SHIM_TYPE_PAIR,
    SHIM_TYPE_TEST,
    SHIM_TYPE_ROUND,
    SHIM_TYPE_FRAME,
    SHIM_TYPE_READING,
    SHIM_TYPE_VERDICT,
    SHIM_TYPE_DECISION,
    SHIM_TYPE_SLOT_ENTRY,
    SHIM_TYPE_EVENT,
    SHIM_TYPE_JOB,
    SHIM_TYPE_JOB_ITEM,
  };

  g_return_val_if_fail (name != NULL, G_TYPE_INVALID);

  for (guint i = 0; i < G_N_ELEMENTS (types); i++)
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
