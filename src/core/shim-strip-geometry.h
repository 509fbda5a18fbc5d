/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-luma.h"

G_BEGIN_DECLS

/**
 * ShimStrip:
 *
 * A narrow strip of one picture in linear light, turned so that its axis counts rows. Raw pixels, never
 * interpolated: at the frequency of the ticks interpolation costs contrast. Row i holds the pixels of v in
 * [v_first + i, v_first + i + 1); its columns start at the whole pixel u_first[i], which follows a sloping
 * axis.
 *
 * v counts along the ruler, u across it, in pixels of the whole picture with (0, 0) the corner of the first
 * pixel: v = y and u = x, or v = x and u = y when @transposed. The centre of pixel (i, j) is u = u_first[i] + j
 * + 0.5, v = v_first + i + 0.5.
 * @transposed: whether the axis runs along the picture's rows (v = x)
 * @v_first: first row
 * @n_v: rows
 * @n_u: pixels of each row
 * @u_first: (array length=n_v): first column of each row
 * @px: (array): n_v × n_u values in linear light, 0..1; NAN outside the luma that was handed in
 * @steps: of the JPEG coefficients as in #ShimLuma, [frequency along v × 8 + frequency along u]
 */
typedef struct
{
  gboolean transposed;
  int v_first;
  int n_v;
  int n_u;
  int *u_first;
  float *px;
  guint16 steps[64];
} ShimStrip;

ShimStrip   *shim_strip_cut         (const ShimLuma *luma, gboolean transposed, double u0, double u1, double v_ref,
                                     double half_width_px, double v_lo, double v_hi);
void         shim_strip_free        (ShimStrip *self);
const float *shim_tone_linear_table (void);

static inline const float *
shim_strip_row (const ShimStrip *self, int i)
{
  return self->px + (gsize) i * self->n_u;
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimStrip, shim_strip_free)

G_END_DECLS
