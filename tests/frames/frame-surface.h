/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-camera.h"

G_BEGIN_DECLS

/* Red, green, blue and cover, linear, colours already multiplied by the cover. */
typedef float FrameColour __attribute__ ((vector_size (16)));

/**
 * FrameShade:
 * @data: the texture
 * @u: place on the surface, mm
 * @v: likewise
 * @du: size of the patch to average over, mm
 * @dv: likewise
 *
 * Returns: the mean colour of that patch; cover below 1 where it reaches beyond the surface
 */
typedef FrameColour (*FrameShade) (gconstpointer data, double u, double v, double du, double dv);

/**
 * FrameSurface:
 *
 * A flat, textured rectangle in space.
 * @origin: the point u = v = 0, mm
 * @u_axis: unit vector of u
 * @v_axis: unit vector of v
 * @u0: extent, mm
 * @u1: likewise
 * @v0: likewise
 * @v1: likewise
 * @over_x: cells per pixel, across
 * @over_y: cells per pixel, down
 * @shade: the texture
 * @data: handed to @shade
 */
typedef struct
{
  double origin[3];
  double u_axis[3];
  double v_axis[3];
  double u0;
  double u1;
  double v0;
  double v1;
  int over_x;
  int over_y;
  FrameShade shade;
  gconstpointer data;
} FrameSurface;

/**
 * FramePsf:
 *
 * What blurs every point besides defocus.
 * @softness_px: sigma of a Gaussian
 * @aberration_px: transverse spherical aberration at the aperture's edge
 * @shake_px: length of a straight smear
 * @shake_deg: its direction, counter-clockwise from horizontal
 */
typedef struct
{
  double softness_px;
  double aberration_px;
  double shake_px;
  double shake_deg;
} FramePsf;

/**
 * FramePatch:
 *
 * A surface as the lens draws it: @width x @height pixels from (@x, @y).
 */
typedef struct
{
  int x;
  int y;
  int width;
  int height;
  FrameColour *pixels;
} FramePatch;

FramePatch *frame_surface_render (const FrameSurface *surface, const FrameCamera *camera, const FramePsf *psf);
void        frame_patch_free     (FramePatch *patch);
void        frame_surface_point  (const FrameSurface *surface, double u, double v, double xyz[3]);

/* Share of the interval of @size about @centre that lies within @low and @high. */
static inline double
frame_overlap (double centre, double size, double low, double high)
{
  double a = MAX (centre - size / 2.0, low);
  double b = MIN (centre + size / 2.0, high);

  return b > a ? (b - a) / size : 0.0;
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FramePatch, frame_patch_free)

G_END_DECLS
