/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-pair-now.h"

G_BEGIN_DECLS

gint64 shim_slots_next  (GPtrArray *slots, gint64 slot_count, const char *pair);
void   shim_slots_count (GPtrArray *slots, gint64 slot_count, ShimSlotCount *count);

G_END_DECLS
