/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_ADAPTER (shim_adapter_get_type ())
G_DECLARE_FINAL_TYPE (ShimAdapter, shim_adapter, SHIM, ADAPTER, ShimRecord)

/**
 * ShimAdapter:
 * @label: what the crew calls it
 * @lens_mount: name of the mount of the lenses
 * @body_mount: name of the mount of the bodies
 * @optics: whether it changes the image
 * @passes_data: whether body and lens talk through it
 * @serial: (nullable): as engraved
 * @note: (nullable): anything else
 * @archived: no longer in use
 *
 * A ring that puts lenses of one mount on bodies of another.
 */
struct _ShimAdapter
{
  ShimRecord parent_instance;

  char *label;
  char *lens_mount;
  char *body_mount;
  gint64 optics;
  gint64 passes_data;
  char *serial;
  char *note;
  gint64 archived;
};

ShimAdapter *shim_adapter_new (void);

G_END_DECLS
