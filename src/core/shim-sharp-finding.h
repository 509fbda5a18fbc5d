/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-contrast-profile.h"
#include "shim-mosaic.h"
#include "shim-sharp-fit.h"
#include "shim-sharp-line.h"

G_BEGIN_DECLS

/* Between shim-sharp-line.c and its two helpers: fitting (shim-sharp-finding.c) and judging how sure it is
 * (shim-sharp-doubt.c). */
typedef struct
{
  const ShimStrip *strip;
  const ShimLattice *lattice;
  const ShimRulerGeometry *geometry;
  ShimTickContrast *contrast;
  ShimTickLane finest_lane; /* of width 0 where there is none */
  ShimMosaic mosaic;      /* whether the ticks show that the camera interpolated */
  gboolean sharpening_told; /* the longer ticks tell whether the picture was sharpened, and that is allowed for */
  ShimSharpFit *fit;
  ShimSharpFit *slow_fit;
  ShimSharpPrior prior;
  gboolean has_profile;
  ShimContrastProfile profile;
  double slow_gain_sd;
  ShimSharpLine *line;
} ShimSharpFinding;

void   shim_sharp_finding_fit    (ShimSharpFinding *self);
double shim_sharp_noise_factor   (const ShimSharpFit *fit);
double shim_sharp_one_pixel_mm   (const ShimSharpFinding *self);
double shim_sharp_glare_shift_px (const ShimSharpFinding *self);
double shim_sharp_common_se_px   (ShimSharpFinding *self);

G_END_DECLS
