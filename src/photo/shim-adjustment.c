/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-photo-private.h"

/* The fine adjustment that was in force, from the maker's notes that Exiv2 0.27 gives names to. Layouts: its tag
 * tables for the on/off and value bytes; the rest from memory, as remarked. A note whose layout is not the one
 * expected says nothing. */

#define LARGEST_ADJUSTMENT 100.0

static double
credible (double value)
{
  return fabs (value) <= LARGEST_ADJUSTMENT ? value : NAN;
}

/* A signed number of so many bits that was read as an unsigned one; Exiv2 0.27 does so even with signed bytes. */
static double
as_signed (double number, int bits)
{
  return number >= ldexp (1.0, bits - 1) ? number - ldexp (1.0, bits) : number;
}

/* Two bytes of it: 0 = off, 1 and 2 = on; and the signed value. */
static double
from_on_and_value (ShimExif *exif)
{
  double on = shim_exif_get_number (exif, "Exif.NikonAFT.AFFineTune", 0);
  double value = shim_exif_get_number (exif, "Exif.NikonAFT.AFFineTuneAdj", 0);

  return on >= 1.0 && on <= 2.0 ? credible (as_signed (value, 8)) : NAN;
}

/* Long words: size of the block, mode (0 off, 1 one value for all lenses, 2 by lens), then the value as a signed
 * rational (from memory). */
static double
from_mode_and_rational (ShimExif *exif)
{
  const char *tag = "Exif.Canon.AFMicroAdj";
  double mode = shim_exif_get_number (exif, tag, 1);
  double numerator = as_signed (shim_exif_get_number (exif, tag, 2), 32);
  double denominator = shim_exif_get_number (exif, tag, 3);

  if (!(mode == 1.0 || mode == 2.0) || !(denominator > 0.0))
    return NAN;
  return credible (numerator / denominator);
}

/* One signed short (from memory); when the file holds untyped bytes instead, their order is not known. */
static double
from_single_value (ShimExif *exif, const char *tag)
{
  return shim_exif_count (exif, tag) == 1 ? credible (as_signed (shim_exif_get_number (exif, tag, 0), 16)) : NAN;
}

/**
 * shim_exif_adjustment:
 * @exif: tags
 *
 * Returns: the fine adjustment in force, in the body's whole units; NAN when there is none, it is off, or the file
 *   does not say
 */
double
shim_exif_adjustment (ShimExif *exif)
{
  const double values[] = {
    from_on_and_value (exif),
    from_mode_and_rational (exif),
    from_single_value (exif, "Exif.Pentax.AFAdjustment"),
    from_single_value (exif, "Exif.PentaxDng.AFAdjustment"),
  };

  for (guint i = 0; i < G_N_ELEMENTS (values); i++)
    if (!isnan (values[i]))
      return values[i];
  return NAN;
}
