/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-format.h"
#include "shim-frame-carried.h"

/**
 * shim_frame_carried_sentence:
 * @measurement: a measurement
 *
 * Returns: (transfer full) (nullable): that its marks come from another frame, and by how much they were moved; %NULL when
 *   they are its own, or a warning of the measurement says more
 */
char *
shim_frame_carried_sentence (const ShimMeasurement *measurement)
{
  g_autofree char *across = NULL;
  g_autofree char *down = NULL;
  g_autofree char *error = NULL;

  g_return_val_if_fail (measurement != NULL, NULL);

  if (measurement->marks != SHIM_MARKS_CARRIED || isnan (measurement->shift_x_px))
    return NULL;
  across = shim_format_number (fabs (measurement->shift_x_px), 2);
  down = shim_format_number (fabs (measurement->shift_y_px), 2);
  error = shim_format_number (MAX (measurement->shift_se_px, 0.01), 2);
  /* Translators: a length in pixels, "right" or "left", a length, "down" or "up", a standard error. */
  return g_strdup_printf (_ ("The marks were carried over from the marked frame, %s px %s and %s px %s (± %s px)."), across,
                          measurement->shift_x_px >= 0.0 ? _ ("right") : _ ("left"), down,
                          measurement->shift_y_px >= 0.0 ? _ ("down") : _ ("up"), error);
}
