/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-body.h"

G_BEGIN_DECLS

gboolean shim_body_check_setting (const ShimBody *body, gint64 setting, GError **error);
gboolean shim_body_check_slot    (const ShimBody *body, gint64 number, GError **error);
gboolean shim_body_can_adjust    (const ShimBody *body);

G_END_DECLS
