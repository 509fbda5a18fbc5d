/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-kit.h"
#include "shim-table-import.h"

G_BEGIN_DECLS

GPtrArray *shim_import_problems_by_line (const ShimTableImport *table, const GPtrArray *row_problems, const ShimImportResult *outcome);

G_END_DECLS
