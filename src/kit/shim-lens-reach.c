/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-lens-reach.h"

/* A prime is usually entered with one focal length and one aperture: what is missing at the long end is as at the wide one. */

/**
 * shim_lens_longest_mm:
 * @lens: a lens
 *
 * Returns: its longest focal length, mm; that of a prime is its only one
 */
double
shim_lens_longest_mm (const ShimLens *lens)
{
  g_return_val_if_fail (lens != NULL, NAN);

  return isfinite (lens->focal_max_mm) ? lens->focal_max_mm : lens->focal_min_mm;
}

/**
 * shim_lens_middle_mm:
 * @lens: a lens
 *
 * Returns: the middle of its range of focal lengths, mm
 */
double
shim_lens_middle_mm (const ShimLens *lens)
{
  g_return_val_if_fail (lens != NULL, NAN);

  return (lens->focal_min_mm + shim_lens_longest_mm (lens)) / 2.0;
}

/**
 * shim_lens_aperture_there:
 * @lens: a lens
 *
 * Returns: the f-number of its widest aperture at shim_lens_longest_mm(); NAN when not known
 */
double
shim_lens_aperture_there (const ShimLens *lens)
{
  g_return_val_if_fail (lens != NULL, NAN);

  return isfinite (lens->aperture_long) ? lens->aperture_long : lens->aperture_wide;
}
