/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <json-glib/json-glib.h>

#include "shim-measurement.h"

G_BEGIN_DECLS

/* A measurement as JSON: what `shimbookctl measure --json` prints for a file and what a reading keeps in its details. Numbers that are
 * not known are null; nothing is rounded. */
JsonObject      *shim_measurement_to_json      (const ShimMeasurement *self, const char *file);
ShimMeasurement *shim_measurement_from_json    (JsonObject *object, GError **error);
char            *shim_measurement_to_details   (const ShimMeasurement *self);
ShimMeasurement *shim_measurement_from_details (const char *details, GError **error);

G_END_DECLS
