/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

G_BEGIN_DECLS

/**
 * ShimPreferences:
 *
 * What a person may set: the tolerance of new tests, when a value is due again, the paper of documents.
 */
#define SHIM_TYPE_PREFERENCES (shim_preferences_get_type ())
G_DECLARE_FINAL_TYPE (ShimPreferences, shim_preferences, SHIM, PREFERENCES, AdwPreferencesWindow)

ShimPreferences *shim_preferences_new (GtkWindow *parent);

G_END_DECLS
