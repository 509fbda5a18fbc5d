/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <cairo.h>

#include "shim-test-record.h"

G_BEGIN_DECLS

void shim_record_chart_draw (cairo_t *cairo, const ShimTestRecord *record, double width_mm, double height_mm);

G_END_DECLS
