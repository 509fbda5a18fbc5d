/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-register.h"

G_BEGIN_DECLS

/**
 * ShimOpenTest:
 * @body: id
 * @lens: id
 * @converter: (nullable): id
 * @focal_mm: focal length; NAN = the lens's only one, for a zoom the middle of its range
 * @distance_mm: camera to target; NAN = 50 × focal length
 * @f_number: NAN = the widest aperture of the lens there
 * @angle_deg: between ruler and optical axis; NAN = 45
 * @tick_mm: finest ticks of the ruler; NAN = found in the picture
 * @coc_mm: circle of confusion; NAN = from the body's format
 * @tolerance_share: of the depth of field; NAN = %SHIM_TOLERANCE_DEFAULT_SHARE
 * @folder: (nullable): where its frames appear
 *
 * What shim_ops_test_open() needs. Start from shim_open_test_init().
 */
typedef struct
{
  const char *body;
  const char *lens;
  const char *converter;
  double focal_mm;
  double distance_mm;
  double f_number;
  double angle_deg;
  double tick_mm;
  double coc_mm;
  double tolerance_share;
  const char *folder;
} ShimOpenTest;

void       shim_open_test_init        (ShimOpenTest *request);
ShimPair  *shim_ops_test_find_pair    (ShimRegister *reg, const char *body, const char *lens, const char *converter,
                                       gboolean create, GError **error);
ShimPair  *shim_ops_test_set_needed   (ShimRegister *reg, const char *body, const char *lens, const char *converter,
                                       gboolean needed, GError **error);
ShimTest  *shim_ops_test_open         (ShimRegister *reg, const ShimOpenTest *request, GError **error);
ShimRound *shim_ops_test_add_round    (ShimRegister *reg, const char *test, gint64 setting, GError **error);
ShimRound *shim_ops_test_add_reference (ShimRegister *reg, const char *test, GError **error);

G_END_DECLS
