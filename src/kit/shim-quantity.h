/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

gboolean shim_quantity_split  (const char *text, char **number, char **beside);
gboolean shim_quantity_number (const char *number, gboolean is_grouped, double *value);
double   shim_quantity_factor (const char *beside, const char *unit);

G_END_DECLS
