/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-ops-summary.h"

G_BEGIN_DECLS

#define SHIM_TYPE_TEST_PANEL (shim_test_panel_get_type ())
G_DECLARE_FINAL_TYPE (ShimTestPanel, shim_test_panel, SHIM, TEST_PANEL, GtkWidget)

/**
 * ShimTestPanel:
 *
 * What to do next in a test, in a sentence, and which setting the next frames were taken with.
 */

GtkWidget *shim_test_panel_new              (void);
void       shim_test_panel_show             (ShimTestPanel *self, const ShimTestSummary *summary);
gint64     shim_test_panel_get_setting      (ShimTestPanel *self);
gboolean   shim_test_panel_is_reference     (ShimTestPanel *self);
const char *shim_test_panel_get_approach    (ShimTestPanel *self, gboolean turn_is_far);
void       shim_test_panel_set_accepted     (ShimTestPanel *self, const char *sentence);

G_END_DECLS
