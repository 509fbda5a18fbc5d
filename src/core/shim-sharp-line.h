/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"
#include "shim-measurement.h"
#include "shim-strip-geometry.h"

G_BEGIN_DECLS

/**
 * ShimSharpLine:
 *
 * Where the sharp line lies on a strip, and how sure that is. NAN where there is no such number.
 * @refusal: SHIM_REFUSAL_NONE when placed; else one of OFF_RULER_NEAR, OFF_RULER_FAR, NOTHING_SHARP, NOT_CREDIBLE, CLIPPED,
 *   TOO_DARK, SHAKEN, TOO_FEW_TICKS
 * @reason: (nullable): the sentence when refused
 * @warnings: (nullable): %NULL-terminated sentences about doubts that do not forbid the number
 * @v: the sharp line's place along the strip, pixels of the whole picture
 * @reading_mm: its reading in the lattice's own count
 * @se_mm: standard error of @reading_mm: noise, misfit, lattice and blur prior together; not the target line's, not the angle's
 * @common_se_mm: the part of @se_mm that all frames of one set-up share (averaging does not lower it)
 * @bound_mm: when refused as off the ruler: the reading that the sharp line is certainly beyond (the last tick seen, or further
 *   out where the fit allows it); NAN otherwise
 * @ranks_seen: every second tick was seen to be longer than the others
 * @beyond: the fit lies beyond the ticks that were seen, or may where their end was not seen
 * @softness_px: common softness (standard deviation of a Gaussian) of lens, sensor and processing
 * @blur_factor: measured over predicted growth of the blur circle; NAN without a prediction
 * @blur_factor_se: its standard error
 * @contrast: amplitude of I/mean − 1 that the ticks' first harmonic would have without any blur
 * @curve: (array length=n_curve): the blur curve, v growing; along_px is v − lattice v_first
 * @n_curve: its number of points
 */
typedef struct
{
  ShimRefusal refusal;
  char *reason;
  char **warnings;
  double v;
  double reading_mm;
  double se_mm;
  double common_se_mm;
  double bound_mm;
  gboolean ranks_seen;
  gboolean beyond;
  double softness_px;
  double blur_factor;
  double blur_factor_se;
  double contrast;
  ShimBlurPoint *curve;
  guint n_curve;
} ShimSharpLine;

ShimSharpLine *shim_sharp_line_find (const ShimStrip *strip, const ShimLattice *lattice, const ShimRulerGeometry *geometry);
void           shim_sharp_line_free (ShimSharpLine *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimSharpLine, shim_sharp_line_free)

G_END_DECLS
