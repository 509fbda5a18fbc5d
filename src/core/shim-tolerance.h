/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * SHIM_TOLERANCE_DEFAULT_SHARE:
 *
 * The largest offset accepted when nobody said otherwise, as a share of the whole depth of field. A
 * judgement: a tenth is five times what a test can be trusted to show (about 2 %), and a fifth of the way to
 * where sharpness runs out.
 */
#define SHIM_TOLERANCE_DEFAULT_SHARE 0.10

/**
 * shim_tolerance_mm:
 * @depth_of_field_mm: whole depth of field at the frame's aperture; INFINITY allowed
 * @share: share of it, within (0, 0.5]
 *
 * Returns: the largest offset accepted, mm, either side; NAN when an argument makes no sense
 */
double shim_tolerance_mm         (double depth_of_field_mm, double share) G_GNUC_CONST;

/**
 * shim_tolerance_error:
 * @offset_mm: an offset, mm
 * @tolerance_mm: the tolerance, above 0
 *
 * Returns: |offset| in tolerances: 1 = just accepted
 */
double shim_tolerance_error      (double offset_mm, double tolerance_mm) G_GNUC_CONST;

/**
 * shim_tolerance_chance_inside:
 * @offset_mm: a measured offset
 * @se_mm: its standard error, 0 allowed
 * @df: the standard error's degrees of freedom, INFINITY allowed
 * @tolerance_mm: the tolerance, above 0
 *
 * Returns: how sure it is, 0 to 1, that the true offset lies within ±@tolerance_mm
 */
double shim_tolerance_chance_inside (double offset_mm, double se_mm, double df, double tolerance_mm) G_GNUC_CONST;

G_END_DECLS
