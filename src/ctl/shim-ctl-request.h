/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>
#include <glib/gi18n.h>

#include "shim-measurement.h"

G_BEGIN_DECLS

/**
 * ShimCtlRequest:
 *
 * What was typed after the options that say how to measure, text as it stands; the same for all commands that measure. Fill it by
 * SHIM_CTL_REQUEST_ENTRIES() in a table of #GOptionEntry.
 */
typedef struct
{
  char *target;
  char *strip;
  char *click;
  char *tick;
  char *angle;
  char *far_side;
  char *focal;
  char *f_number;
  char *distance;
  char *pitch;
  char *coc;
} ShimCtlRequest;

#define SHIM_CTL_REQUEST_ENTRIES(o)                                                                                                 \
  { "target", 0, 0, G_OPTION_ARG_STRING, &(o).target, N_ ("A point at the height of the target line, upright picture"), "X,Y" },   \
  { "strip", 0, 0, G_OPTION_ARG_STRING, &(o).strip, N_ ("Line along the tick edge, and the width to look in"), "X1,Y1,X2,Y2,WIDTH" }, \
  { "click", 0, 0, G_OPTION_ARG_STRING, &(o).click, N_ ("Any point on the ruler"), "X,Y" },                                         \
  { "tick", 0, 0, G_OPTION_ARG_STRING, &(o).tick, N_ ("Distance of the finest ticks"), "MM" },                                      \
  { "angle", 0, 0, G_OPTION_ARG_STRING, &(o).angle, N_ ("Between ruler and optical axis"), "DEG" },                                 \
  { "far", 0, 0, G_OPTION_ARG_STRING, &(o).far_side, N_ ("Where the ruler runs away from the camera"), "up|down|left|right" },      \
  { "focal", 0, 0, G_OPTION_ARG_STRING, &(o).focal, N_ ("Focal length"), "MM" },                                                    \
  { "f-number", 0, 0, G_OPTION_ARG_STRING, &(o).f_number, N_ ("Aperture"), "N" },                                                   \
  { "distance", 0, 0, G_OPTION_ARG_STRING, &(o).distance, N_ ("Camera to target"), "MM" },                                          \
  { "pixel-pitch", 0, 0, G_OPTION_ARG_STRING, &(o).pitch, N_ ("Distance of two pixels on the sensor"), "UM" },                      \
  { "coc", 0, 0, G_OPTION_ARG_STRING, &(o).coc, N_ ("Circle of confusion for the depth of field"), "MM" }

gboolean shim_ctl_request_parse (const ShimCtlRequest *options, ShimMeasureRequest *request);
gboolean shim_ctl_parse_point   (const char *option, const char *text, ShimPoint *point);
void     shim_ctl_request_clear (ShimCtlRequest *options);

G_END_DECLS
