/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-measurement.h"
#include "shim-photo-marks.h"
#include "shim-reading.h"

G_BEGIN_DECLS

ShimMeasurement *shim_bench_reading_measurement (ShimReading *reading);
void             shim_bench_reading_marks       (ShimReading *program, ShimReading *eye, ShimPhotoMarks *marks);

G_END_DECLS
