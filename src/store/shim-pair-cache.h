/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-db.h"
#include "shim-pair-state.h"

G_BEGIN_DECLS

/* shim-pair-facts.c: each reads one part of what is true of a pair */
gboolean shim_pair_cache_read_decisions (ShimDb *db, ShimPairNow *now, ShimPairFacts *facts, GError **error);
gboolean shim_pair_cache_read_test      (ShimDb *db, ShimPairNow *now, ShimPairFacts *facts, GError **error);
gboolean shim_pair_cache_read_slot      (ShimDb *db, ShimPairNow *now, ShimPairFacts *facts, GError **error);
gboolean shim_pair_cache_read_doubts    (ShimDb *db, ShimPairNow *now, ShimPairFacts *facts, GError **error);
gboolean shim_pair_cache_read_contradiction (ShimDb *db, ShimPairNow *now, ShimPairFacts *facts, GError **error);

G_END_DECLS
