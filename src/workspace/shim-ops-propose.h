/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-metadata.h"
#include "shim-ops-kit.h"

G_BEGIN_DECLS

/**
 * ShimProposal:
 * @body: (nullable): the body that took the photograph: from the register when @body_is_known, else a new one filled in from the
 *   metadata, not stored, without an id. %NULL when the photograph does not name one
 * @body_is_known: whether it is in the register
 * @lens: (nullable): the lens, likewise
 * @lens_is_known: whether it is in the register
 * @doubts: (nullable): %NULL-terminated sentences about what to look at before storing
 *
 * What a photograph says about the kit that took it.
 */
typedef struct
{
  ShimBody *body;
  gboolean body_is_known;
  ShimLens *lens;
  gboolean lens_is_known;
  char **doubts;
} ShimProposal;

ShimProposal *shim_ops_kit_propose (ShimRegister *reg, const ShimMetadata *metadata, GError **error);
void          shim_proposal_free   (ShimProposal *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimProposal, shim_proposal_free)

G_END_DECLS
