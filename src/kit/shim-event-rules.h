/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-event.h"

G_BEGIN_DECLS

gboolean    shim_event_doubt_by_default (const char *kind);
char       *shim_event_dup_consequence  (const ShimEvent *event);

G_END_DECLS
