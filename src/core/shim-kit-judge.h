/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kit-group.h"

G_BEGIN_DECLS

/**
 * ShimKitSide:
 * @levels: (array length=n): what each item shows with an average partner, µm
 * @n: how many items are alike (all bodies, or all lenses, of a group)
 * @partner_spread_um: standard deviation of the partners' terms; NAN with fewer than three partners
 * @limit_um: the least that counts
 */
typedef struct
{
  const double *levels;
  gsize n;
  double partner_spread_um;
  double limit_um;
} ShimKitSide;

void shim_kit_judge_item (const ShimKitSide *side, gsize item, guint n_partners, double se_um, ShimKitTerm *term);
void     shim_kit_judge_group (const ShimKitGroup *group, gboolean use_scatter, ShimKitFit *fits);

G_END_DECLS
