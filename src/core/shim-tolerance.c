/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-stats.h"
#include "shim-tolerance.h"

double
shim_tolerance_mm (double depth_of_field_mm, double share)
{
  if (!(depth_of_field_mm > 0.0) || !(share > 0.0 && share <= 0.5))
    return NAN;
  return share * depth_of_field_mm;
}

double
shim_tolerance_error (double offset_mm, double tolerance_mm)
{
  if (!(tolerance_mm > 0.0))
    return NAN;
  return fabs (offset_mm) / tolerance_mm;
}

double
shim_tolerance_chance_inside (double offset_mm, double se_mm, double df, double tolerance_mm)
{
  if (!(tolerance_mm > 0.0) || !isfinite (offset_mm) || !(se_mm >= 0.0) || !(df > 0.0))
    return NAN;
  if (se_mm == 0.0)
    return fabs (offset_mm) <= tolerance_mm ? 1.0 : 0.0;
  return shim_stats_t_probability ((tolerance_mm - offset_mm) / se_mm, df)
         - shim_stats_t_probability ((-tolerance_mm - offset_mm) / se_mm, df);
}
