/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimDayOrder:
 * @SHIM_DAY_ORDER_UNKNOWN: nothing tells
 * @SHIM_DAY_FIRST: the day before the month
 * @SHIM_DAY_MONTH_FIRST: the month before the day
 *
 * How 03/04/2021 is read.
 */
typedef enum
{
  SHIM_DAY_ORDER_UNKNOWN,
  SHIM_DAY_FIRST,
  SHIM_DAY_MONTH_FIRST,
} ShimDayOrder;

ShimDayOrder  shim_day_order  (const char *text);
char         *shim_day_parse  (const char *text, ShimDayOrder order);
char         *shim_day_parse_rough (const char *text);
gboolean      shim_day_is_two (const char *text);

G_END_DECLS
