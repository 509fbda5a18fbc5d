/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-slots-view.h"

G_BEGIN_DECLS

char *shim_slots_text_value (gint64 value, gint64 value_long);
char *shim_slots_text_state (const ShimSlot *slot);
char *shim_slots_text_free  (const ShimSlotsView *view);

G_END_DECLS
