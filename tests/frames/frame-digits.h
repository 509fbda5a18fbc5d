/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * FrameNumerals:
 *
 * A lane of numerals along a scale, drawn with strokes of our own, of which the mean ink over any patch can be asked.
 */
typedef struct _FrameNumerals FrameNumerals;

FrameNumerals *frame_numerals_new  (double length_mm, double step_mm, double height_mm, gboolean flip);
double         frame_numerals_ink  (const FrameNumerals *numerals, double u, double v, double du, double dv);
void           frame_numerals_free (FrameNumerals *numerals);

G_END_DECLS
