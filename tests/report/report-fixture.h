/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kit-sheet.h"

G_BEGIN_DECLS

/* A folder of its own for each test, and a made-up kit. */
typedef struct
{
  char *folder;
} ReportFixture;

void        report_fixture_set_up    (ReportFixture *self, gconstpointer data);
void        report_fixture_tear_down (ReportFixture *self, gconstpointer data);
char       *report_fixture_path      (ReportFixture *self, const char *name);
ShimBody   *report_body_new          (const char *label, const char *serial);
ShimLens   *report_lens_new          (const char *label, const char *serial);
ShimJobKit *report_kit_new           (guint n_bodies, guint n_lenses);
ShimPairNow *report_kit_tune         (ShimJobKit *kit, guint body, guint lens, gint64 value, gint64 slot);
GDateTime  *report_made_at           (void);

G_END_DECLS
