/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

G_BEGIN_DECLS

#define SHIM_TYPE_APPLICATION (shim_application_get_type ())
G_DECLARE_FINAL_TYPE (ShimApplication, shim_application, SHIM, APPLICATION, AdwApplication)

ShimApplication *shim_application_new (void);

G_END_DECLS
