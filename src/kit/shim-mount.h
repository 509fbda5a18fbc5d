/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_MOUNT (shim_mount_get_type ())
G_DECLARE_FINAL_TYPE (ShimMount, shim_mount, SHIM, MOUNT, ShimRecord)

/**
 * ShimMount:
 * @name: designation of the trade; unique
 * @flange_mm: flange to image plane, mm
 * @electronic: whether a lens on it can be told apart and adjusted for
 * @source: (nullable): where the flange distance was read
 * @note: (nullable): anything else
 *
 * A bayonet or thread with its flange distance.
 */
struct _ShimMount
{
  ShimRecord parent_instance;

  char *name;
  double flange_mm;
  gint64 electronic;
  char *source;
  char *note;
};

ShimMount *shim_mount_new (void);

G_END_DECLS
