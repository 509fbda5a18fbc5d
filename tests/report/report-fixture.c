/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>

#include "report-fixture.h"

void
report_fixture_set_up (ReportFixture *self, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  self->folder = g_dir_make_tmp ("shimbook-report-XXXXXX", &error);
  g_assert_no_error (error);
}

void
report_fixture_tear_down (ReportFixture *self, gconstpointer data)
{
  g_autoptr (GDir) dir = g_dir_open (self->folder, 0, NULL);
  const char *name;

  while ((name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (self->folder, name, NULL);

      g_assert_cmpint (g_remove (path), ==, 0);
    }
  g_assert_cmpint (g_rmdir (self->folder), ==, 0);
  g_free (self->folder);
}

char *
report_fixture_path (ReportFixture *self, const char *name)
{
  return g_build_filename (self->folder, name, NULL);
}

ShimBody *
report_body_new (const char *label, const char *serial)
{
  ShimBody *body = shim_body_new ();
  g_autofree char *id = g_strconcat ("body ", serial, NULL);

  g_object_set (body, "label", label, "maker", "Orrin", "model", "O-3", "serial", serial, "mount", "F",
                "range-min", (gint64) -20, "range-max", (gint64) 20, "slot-count", (gint64) 20, "tells-lenses-by", "serial", "worth",
                1450.0, "currency", "GBP", NULL);
  shim_record_set_id (SHIM_RECORD (body), id);
  return body;
}

ShimLens *
report_lens_new (const char *label, const char *serial)
{
  ShimLens *lens = shim_lens_new ();
  g_autofree char *id = g_strconcat ("lens ", serial, NULL);

  g_object_set (lens, "label", label, "maker", "Velle", "model", label, "serial", serial, "mount", "F", "focal-min-mm", 50.0,
                "focal-max-mm", 50.0, "aperture-wide", 1.8, NULL);
  shim_record_set_id (SHIM_RECORD (lens), id);
  return lens;
}

ShimJobKit *
report_kit_new (guint n_bodies, guint n_lenses)
{
  ShimJobKit *kit = shim_job_kit_new ();

  for (guint i = 0; i < n_bodies; i++)
    {
      g_autofree char *label = g_strdup_printf ("School body %u", i + 1);
      g_autofree char *serial = g_strdup_printf ("00703%03u", i);
      const ShimSlotCount slots = { .total = 20, .free = 20 };

      g_ptr_array_add (kit->bodies, report_body_new (label, serial));
      g_array_append_val (kit->slots, slots);
    }
  for (guint i = 0; i < n_lenses; i++)
    {
      g_autofree char *label = g_strdup_printf ("Velle 50 copy %u", i + 1);
      g_autofree char *serial = g_strdup_printf ("V5-%05u", i);

      g_ptr_array_add (kit->lenses, report_lens_new (label, serial));
    }
  return kit;
}

ShimPairNow *
report_kit_tune (ShimJobKit *kit, guint body, guint lens, gint64 value, gint64 slot)
{
  ShimPairNow *now = shim_pair_now_new (SHIM_RECORD (kit->bodies->pdata[body])->id, SHIM_RECORD (kit->lenses->pdata[lens])->id);

  now->pair = g_strdup_printf ("pair %u %u", body, lens);
  now->state = SHIM_PAIR_TUNED;
  now->value = value;
  now->decided_at = g_strdup ("2026-11-20T10:11:12Z");
  now->tested_at = g_strdup ("2026-11-20T09:00:00Z");
  now->residual_mm = -1.25;
  now->residual_se_mm = 0.31;
  now->tolerance_mm = 12.0;
  now->slot = slot;
  now->slot_state = slot != SHIM_NO_INT ? SHIM_SLOT_KEYED : SHIM_SLOT_FREE;
  now->slot_value = value;
  now->slot_value_long = SHIM_NO_INT;
  g_ptr_array_add (kit->pairs, now);
  return now;
}

GDateTime *
report_made_at (void)
{
  return g_date_time_new_utc (2026, 11, 25, 9, 30, 0.0);
}
