/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-geometry.h"
#include "shim-kit-sheet.h"
#include "shim-response.h"

G_BEGIN_DECLS

/**
 * ShimRecordLine:
 * @label: what it is
 * @value: its value with unit
 *
 * A line of a list in the record.
 */
typedef struct
{
  char *label;
  char *value;
} ShimRecordLine;

/**
 * ShimRecordFrame:
 * @name: of the file
 * @taken: when, or an empty string
 * @offset_mm: the offset that counts; NAN when refused
 * @offset_se_mm: its standard error
 * @by_eye: whether a person read it
 * @remark: why it does not count, or an empty string
 * @evidence: (nullable): JPEG of the strip cut from the photograph, upright
 * @width_px: of @evidence
 * @height_px: of @evidence
 * @target_px: target line on @evidence; NAN when not known
 * @sharp_px: sharp line on it; NAN when not known
 * @along_px: a step along the ruler on it, of any length; NAN when not known
 */
typedef struct
{
  char *name;
  char *taken;
  double offset_mm;
  double offset_se_mm;
  gboolean by_eye;
  char *remark;
  GBytes *evidence;
  int width_px;
  int height_px;
  ShimPoint target_px;
  ShimPoint sharp_px;
  ShimPoint along_px;
} ShimRecordFrame;

/**
 * ShimRecordRound:
 * @setting: keyed in; %SHIM_NO_INT for a reference round
 * @is_reference: whether it shows the error of the set-up
 * @stats: its figures
 * @frames: (element-type ShimRecordFrame): its frames
 */
typedef struct
{
  gint64 setting;
  gboolean is_reference;
  ShimRoundStats stats;
  GPtrArray *frames;
} ShimRecordRound;

/**
 * ShimTestRecord:
 * @title: the pair
 * @started_at: day of the test
 * @made_at: when the record was made
 * @items: (element-type ShimRecordLine): body, lens, converter with their serials
 * @set_up: (element-type ShimRecordLine): the numbers of the set-up
 * @rounds: (element-type ShimRecordRound): in the order taken
 * @response: offset over setting
 * @tolerance_mm: largest offset accepted
 * @decided: setting that was decided from this test; %SHIM_NO_INT when none
 * @decisions: (element-type ShimRecordLine): decisions, newest first
 * @advice: the advice as it stands, a sentence
 * @cautions: (array zero-terminated=1): what to bear in mind, a sentence each
 *
 * One test as a document: plain data, so that the writer needs neither register nor clock.
 */
typedef struct
{
  char *title;
  char *started_at;
  GDateTime *made_at;
  GPtrArray *items;
  GPtrArray *set_up;
  GPtrArray *rounds;
  ShimResponse response;
  double tolerance_mm;
  gint64 decided;
  GPtrArray *decisions;
  char *advice;
  char **cautions;
} ShimTestRecord;

ShimTestRecord  *shim_test_record_new       (void);
void             shim_test_record_free      (ShimTestRecord *self);
void             shim_test_record_add_line  (GPtrArray *lines, const char *label, char *value);
ShimRecordRound *shim_test_record_add_round (ShimTestRecord *self);
ShimRecordFrame *shim_record_round_add      (ShimRecordRound *self);
gboolean         shim_test_record_write_pdf (const ShimTestRecord *self, ShimPaper paper, const char *path, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimTestRecord, shim_test_record_free)

G_END_DECLS
