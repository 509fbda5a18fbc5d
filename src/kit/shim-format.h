/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

char *shim_format_number         (double value, int decimals);
char *shim_format_signed         (double value, int decimals);
char *shim_format_with_error     (double value, double se, const char *unit);
char *shim_format_signed_error   (double value, double se, const char *unit);
char *shim_format_setting        (gint64 setting);
char *shim_format_distance       (double distance_mm);
char *shim_format_focal          (double focal_min_mm, double focal_max_mm);
char *shim_format_f_number       (double f_number);
char *shim_format_exposure       (double exposure_s);
char *shim_format_age_days       (gint64 days);
char *shim_format_day            (const char *at);
char *shim_format_time           (const char *at);
char *shim_format_product        (const char *maker, const char *model);

G_END_DECLS
