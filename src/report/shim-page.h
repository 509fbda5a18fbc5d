/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <cairo.h>
#include <glib.h>

#include "shim-kit-sheet.h"

G_BEGIN_DECLS

/**
 * ShimPage:
 *
 * A paper document that is written from top to bottom and breaks into pages by itself. All lengths in mm; x counts from the left
 * margin. One writer serves the kit sheet and the test record.
 */
typedef struct _ShimPage ShimPage;

/**
 * ShimTextStyle:
 * @size_pt: letter size, points
 * @bold: whether bold
 * @grey: whether toned down
 * @lines: at most so many lines, then an ellipsis; 0 = as many as it takes
 * @align_right: whether at the right end of its width
 * @lead: whether the first of several lines is bold, the others not
 */
typedef struct
{
  double size_pt;
  gboolean bold;
  gboolean grey;
  int lines;
  gboolean align_right;
  gboolean lead;
} ShimTextStyle;

/**
 * ShimColumn:
 * @heading: over the column
 * @width_mm: of the column
 * @align_right: for numbers
 * @lead: whether the first line is bold in cells of several lines
 */
typedef struct
{
  const char *heading;
  double width_mm;
  gboolean align_right;
  gboolean lead;
} ShimColumn;

ShimPage *shim_page_new        (const char *path, ShimPaper paper, const char *title, GDateTime *made_at, GError **error);
gboolean  shim_page_finish     (ShimPage *self, GError **error);
void      shim_page_free       (ShimPage *self);
double    shim_page_width_mm   (const ShimPage *self);
double    shim_page_y_mm       (const ShimPage *self);
cairo_t  *shim_page_cairo      (ShimPage *self);
gboolean  shim_page_need       (ShimPage *self, double height_mm);
void      shim_page_skip       (ShimPage *self, double height_mm);
double    shim_page_text       (ShimPage *self, double x_mm, double width_mm, const ShimTextStyle *style, const char *text);
void      shim_page_paragraph  (ShimPage *self, const ShimTextStyle *style, const char *text);
void      shim_page_heading    (ShimPage *self, const char *text);
void      shim_page_rule       (ShimPage *self);
void      shim_page_table_head (ShimPage *self, const ShimColumn *columns, guint n_columns);
void      shim_page_table_row  (ShimPage *self, const ShimColumn *columns, guint n_columns, const char *const *cells);
void      shim_page_set_footer (ShimPage *self, const char *text);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPage, shim_page_free)

G_END_DECLS
