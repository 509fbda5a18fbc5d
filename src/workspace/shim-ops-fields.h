/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

void _shim_ops_set_reals (gpointer record, const char *first_field, ...) G_GNUC_NULL_TERMINATED;

G_END_DECLS
