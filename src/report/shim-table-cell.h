/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-day.h"
#include "shim-record.h"

G_BEGIN_DECLS

/**
 * ShimTableColumn:
 * @field: what the column fills
 * @upper: (nullable): what the second number of "24–70" fills
 * @beside: (nullable): what the sign in "1299 €" fills
 * @order: how 03/04/2021 is read in this column
 */
typedef struct
{
  const ShimField *field;
  const ShimField *upper;
  const ShimField *beside;
  ShimDayOrder order;
} ShimTableColumn;

gboolean shim_table_cell_parse (const ShimTableColumn *column, ShimRecord *record, const char *cell, GError **error);

G_END_DECLS
