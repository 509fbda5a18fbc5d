/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Private to the photo layer: memory for many pixels. */

guint8 *shim_pixels_allocate (gsize n_bytes);

G_END_DECLS
