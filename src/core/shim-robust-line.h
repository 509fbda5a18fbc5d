/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimRobustLine:
 *
 * Weighted points to be explained by a straight line although some are wrong.
 */
typedef struct _ShimRobustLine ShimRobustLine;

ShimRobustLine *shim_robust_line_new   (void);
void         shim_robust_line_free  (ShimRobustLine *self);
void         shim_robust_line_add   (ShimRobustLine *self, double x, double y, double weight);
guint        shim_robust_line_count (const ShimRobustLine *self);
gboolean     shim_robust_line_solve (const ShimRobustLine *self, double scale_floor, double *intercept,
                                     double *slope);
double       shim_robust_line_share (const ShimRobustLine *self, double intercept, double slope, double within);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimRobustLine, shim_robust_line_free)

G_END_DECLS
