/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Memory for many pixels. */

void    shim_pixels_keep_freed (void);
guint8 *shim_pixels_allocate (gsize n_bytes);

G_END_DECLS
