/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

guint64 frame_hash   (guint64 seed, guint64 x, guint64 y);
double  frame_random (guint64 seed, guint64 n);
double  frame_grain  (guint64 seed, double x, double y);
float   frame_normal (guint bits);

G_END_DECLS
