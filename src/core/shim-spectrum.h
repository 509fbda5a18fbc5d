/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Windows of the survey: long enough to part two tick spacings, short enough that the perspective moves the
 * frequency by less than one bin. */
#define SHIM_SPECTRUM_LENGTH 128
#define SHIM_SPECTRUM_BINS (SHIM_SPECTRUM_LENGTH / 2)
#define SHIM_SPECTRUM_BATCH 16

/**
 * ShimSpectrumBand:
 * @SHIM_SPECTRUM_FINE: the finest ticks of most rulers, 0.19 to 0.49 cycles per pixel
 * @SHIM_SPECTRUM_COARSE: 0.047 to 0.21 cycles per pixel
 *
 * One window may hold a ruler's finest ticks and its longer ones: the best line of each band is kept.
 */
typedef enum
{
  SHIM_SPECTRUM_FINE,
  SHIM_SPECTRUM_COARSE,
} ShimSpectrumBand;

#define SHIM_SPECTRUM_BANDS 2

/**
 * ShimSpectrumPeak:
 * @score: evidence for a tick lattice in this window, 0 (none) to 2.5
 * @bin: its frequency in bins of 1/128 cycles per pixel, interpolated; 0 where @score is 0
 */
typedef struct
{
  float score;
  float bin;
} ShimSpectrumPeak;

void shim_spectrum_peaks (const guint16 *const first[SHIM_SPECTRUM_BATCH], gsize step,
                          ShimSpectrumPeak peaks[SHIM_SPECTRUM_BATCH][SHIM_SPECTRUM_BANDS]);

G_END_DECLS
