/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

gboolean frame_demo_write (const char *folder, GError **error);

G_END_DECLS
