/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-pair-now.h"

G_BEGIN_DECLS

gint64 shim_slots_next  (GPtrArray *slots, gint64 slot_count, const char *pair);
void   shim_slots_count (GPtrArray *slots, gint64 slot_count, ShimSlotCount *count);
void   shim_slots_count_up (gint64 slot_count, gint64 n_keyed, gint64 n_lost, ShimSlotCount *count);
char  *shim_slots_count_text (gint64 slot_count, const ShimSlotCount *count);

G_END_DECLS
