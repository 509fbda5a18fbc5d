/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-adapter.h"
#include "shim-body.h"
#include "shim-converter.h"
#include "shim-lens.h"
#include "shim-mount.h"

G_BEGIN_DECLS

/**
 * ShimFit:
 * @SHIM_FIT_NO: the lens cannot be used on the body
 * @SHIM_FIT_DIRECT: the mounts are the same
 * @SHIM_FIT_ADAPTER: through an adapter of the kit
 */
typedef enum
{
  SHIM_FIT_NO,
  SHIM_FIT_DIRECT,
  SHIM_FIT_ADAPTER,
} ShimFit;

ShimFit  shim_fit_mounts       (const char *lens_mount, const char *body_mount, GPtrArray *adapters, ShimAdapter **adapter);
ShimFit  shim_fit_lens_on_body (ShimLens *lens, ShimBody *body, GPtrArray *adapters, ShimAdapter **adapter);
gboolean shim_fit_check        (ShimLens *lens, ShimBody *body, ShimConverter *converter, GPtrArray *adapters,
                                ShimAdapter **adapter, GError **error);
double   shim_fit_ring_mm      (ShimMount *lens_mount, ShimMount *body_mount);

G_END_DECLS
