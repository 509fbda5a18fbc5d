/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_DECISION (shim_decision_get_type ())
G_DECLARE_FINAL_TYPE (ShimDecision, shim_decision, SHIM, DECISION, ShimRecord)

/**
 * ShimDecision:
 * @pair: id
 * @test: (nullable): id, when it was measured
 * @decided_at: when
 * @end: which part of the zoom range; one of "all", "wide", "long", "table"
 * @table_focal_mm: cell of the own table, mm
 * @table_distance_m: cell of the own table, m
 * @value: the whole number to key in
 * @origin: how it was found; one of "measured", "predicted", "copied", "none"
 * @residual_mm: offset expected at this setting, mm
 * @residual_se_mm: of the residual, mm
 * @slope_mm_per_step: change of offset per step of the setting, mm
 * @slope_se_mm_per_step: of the slope, mm
 * @tolerance_mm: largest offset accepted, mm
 * @focal_mm: of the test, mm
 * @distance_mm: of the test, mm
 * @out_of_reach: the best setting lies beyond the range
 * @firmware: (nullable): of the body at the time
 * @note: (nullable): anything else
 *
 * A setting decided for a pair. The newest for pair, end and table cell counts.
 */
struct _ShimDecision
{
  ShimRecord parent_instance;

  char *pair;
  char *test;
  char *decided_at;
  char *end;
  double table_focal_mm;
  double table_distance_m;
  gint64 value;
  char *origin;
  double residual_mm;
  double residual_se_mm;
  double slope_mm_per_step;
  double slope_se_mm_per_step;
  double tolerance_mm;
  double focal_mm;
  double distance_mm;
  gint64 out_of_reach;
  char *firmware;
  char *note;
};

ShimDecision *shim_decision_new (void);

G_END_DECLS
