/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-kinds.h"
#include "shim-register.h"
#include "shim-zoom-value.h"

G_BEGIN_DECLS

/**
 * ShimZoomPoint:
 * @test: id of the newest test at this focal length and distance
 * @reading: what it wants, and how well it must be met there
 *
 * One place of a zoom's range that was tested.
 */
typedef struct
{
  char *test;
  ShimZoomReading reading;
} ShimZoomPoint;

/**
 * ShimZoomView:
 * @points: (element-type ShimZoomPoint): by focal length, then by distance
 * @has_one: whether @one says something
 * @one: the one value for the whole range
 * @has_two: whether @two says something: a zoom, tested at two focal lengths or more, on a body that takes two values
 * @two: the values for the wide and the long end
 * @focals_mm: (element-type double): focal lengths of the lens's own table; empty when it has none
 * @distances_m: (element-type double): its distances, INFINITY allowed
 * @cells: (element-type ShimTableCell): focal length by focal length; empty when nothing was tested
 * @middle_mm: where to test when there is to be one test alone
 * @sentence: what to key in, and what is left at the worst place
 *
 * One value, two values, or a table for a pair that was tested at several places of its range.
 */
typedef struct
{
  GPtrArray *points;
  gboolean has_one;
  ShimZoomOne one;
  gboolean has_two;
  ShimZoomTwo two;
  GArray *focals_mm;
  GArray *distances_m;
  GArray *cells;
  double middle_mm;
  char *sentence;
} ShimZoomView;

ShimZoomView *shim_ops_zoom         (ShimRegister *reg, const char *pair, GError **error);
gpointer      shim_ops_zoom_func    (ShimRegister *reg, gpointer pair, GCancellable *cancellable, GError **error);
gboolean      shim_ops_zoom_parse   (const char *list, GArray **numbers);
void          shim_zoom_view_free   (ShimZoomView *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimZoomView, shim_zoom_view_free)

G_END_DECLS
