/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-summary.h"
#include "shim-test-record.h"

G_BEGIN_DECLS

ShimTestRecord *shim_ops_test_record (ShimRegister *reg, const char *test, GDateTime *made_at, GError **error);

G_END_DECLS
