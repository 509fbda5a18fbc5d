/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-accept.h"

G_BEGIN_DECLS

/**
 * ShimWriteDown:
 * @pair: id
 * @setting: the whole number; of the wide end where there are two
 * @setting_long: of the long end, %SHIM_NO_INT when one number is for the whole range
 * @origin: "copied" or "predicted"
 * @slot: where it is keyed in, %SHIM_SLOT_IN_LENS, %SHIM_SLOT_NEXT or %SHIM_SLOT_NONE
 * @note: (nullable): where it comes from
 *
 * A setting that no test gave.
 */
typedef struct
{
  char *pair;
  gint64 setting;
  gint64 setting_long;
  const char *origin;
  gint64 slot;
  char *note;
} ShimWriteDown;

ShimWriteDown *shim_write_down_new  (const char *pair, const char *origin);
void           shim_write_down_free (ShimWriteDown *self);
ShimDecision  *shim_ops_write_down  (ShimRegister *reg, const ShimWriteDown *request, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimWriteDown, shim_write_down_free)

G_END_DECLS
