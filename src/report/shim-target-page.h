/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

#include "shim-kit-sheet.h"

G_BEGIN_DECLS

/**
 * ShimTargetShapeKind:
 * @SHIM_TARGET_FILL: a black rectangle of @width × @height from its corner
 * @SHIM_TARGET_ARC: part of a ring about (x, y): radius @width, thickness @height, from @from_deg to @to_deg, anticlockwise
 * @SHIM_TARGET_DISC: a black disc about (x, y): radius @width
 * @SHIM_TARGET_CUT: a line to cut, from (x, y), @width to the right and @height down
 * @SHIM_TARGET_FOLD: a line to fold away from you
 * @SHIM_TARGET_LINE: a line to go by
 * @SHIM_TARGET_TEXT: @text, @height high, at most @width wide, turned by @from_deg
 */
typedef enum
{
  SHIM_TARGET_FILL,
  SHIM_TARGET_ARC,
  SHIM_TARGET_DISC,
  SHIM_TARGET_CUT,
  SHIM_TARGET_FOLD,
  SHIM_TARGET_LINE,
  SHIM_TARGET_TEXT,
} ShimTargetShapeKind;

/**
 * ShimTargetShape:
 *
 * One thing on a sheet, mm from its top left corner; angles in degrees. @text is borrowed, or %NULL.
 */
typedef struct
{
  ShimTargetShapeKind kind;
  double x;
  double y;
  double width;
  double height;
  double from_deg;
  double to_deg;
  char *text;
} ShimTargetShape;

#define SHIM_TARGET_SHEETS 2

GArray  *shim_target_page_shapes (ShimPaper paper, int sheet);
void     shim_target_page_size   (ShimPaper paper, double *width_mm, double *height_mm);
gboolean shim_target_page_write  (ShimPaper paper, const char *path, GError **error);

G_END_DECLS
