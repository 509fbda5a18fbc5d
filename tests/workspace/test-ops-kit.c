/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-kit-error.h"
#include "shim-ops-find.h"
#include "shim-ops-gather.h"
#include "shim-ops.h"
#include "shim-register-pairs.h"
#include "shim-workspace-error.h"
#include "workspace-fixture.h"

/* Operations called as the command line calls them: on a register of one's own. */

typedef struct
{
  WorkspaceFixture base;
  ShimRegister *reg;
  char *body;
  char *lens;
  char *second_lens;
} Fixture;

static void
set_up (Fixture *self, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimBody) body = test_body_new ("School body", "0012345");
  g_autoptr (ShimLens) lens = test_lens_new ("Velle 50", "3377");
  g_autoptr (ShimLens) second_lens = test_lens_new ("Velle 50 II", "2041");

  workspace_fixture_set_up (&self->base, data);
  g_clear_object (&self->base.workspace);
  self->reg = shim_register_open (self->base.path, SHIM_REGISTER_DEFAULT, &error);
  g_assert_no_error (error);
  self->body = test_add (self->reg, body);
  self->lens = test_add (self->reg, lens);
  self->second_lens = test_add (self->reg, second_lens);
}

static void
tear_down (Fixture *self, gconstpointer data)
{
  g_clear_pointer (&self->reg, shim_register_free);
  g_free (self->body);
  g_free (self->lens);
  g_free (self->second_lens);
  workspace_fixture_tear_down (&self->base, data);
}

static void
test_save (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimLens) lens = test_lens_new ("Quast 85", "0007");
  g_autoptr (ShimRecord) stored = NULL;
  g_autoptr (ShimLens) bad = shim_lens_new ();

  g_assert_true (shim_ops_kit_save (fixture->reg, SHIM_RECORD (lens), &error));
  g_assert_no_error (error);
  g_object_set (lens, "holder", "Tarn Valley School", NULL);
  g_assert_true (shim_ops_kit_save (fixture->reg, SHIM_RECORD (lens), &error));
  stored = shim_ops_kit_get_item (fixture->reg, "lens", shim_record_get_id (SHIM_RECORD (lens)), &error);
  g_assert_cmpstr (((ShimLens *) stored)->holder, ==, "Tarn Valley School");
  g_assert_cmpstr (((ShimLens *) stored)->serial, ==, "0007");
  g_assert_false (shim_ops_kit_save (fixture->reg, SHIM_RECORD (bad), &error));
  g_assert_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_MISSING);
}

/* Two forms over one lens, filled in by two windows: neither loses what the other stored. */
static void
test_save_changes (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) before = shim_ops_kit_get_item (fixture->reg, "lens", fixture->lens, &error);
  g_autoptr (ShimRecord) here = shim_record_copy (before), there = shim_record_copy (before);
  g_autoptr (ShimRecord) first = NULL, second = NULL, missing = NULL;

  g_object_set (here, "holder", "Ms Amery", NULL);
  g_object_set (there, "place", "Sports hall", "focal-max-mm", 86.0, NULL);
  first = shim_ops_kit_save_changes (fixture->reg, before, here, &error);
  g_assert_no_error (error);
  second = shim_ops_kit_save_changes (fixture->reg, before, there, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (SHIM_LENS (second)->holder, ==, "Ms Amery");
  g_assert_cmpstr (SHIM_LENS (second)->place, ==, "Sports hall");
  g_assert_cmpfloat (SHIM_LENS (second)->focal_max_mm, ==, 86.0);
  g_assert_true (shim_register_undo (fixture->reg, NULL, &error));
  shim_record_set_id (there, "no such lens");
  missing = shim_ops_kit_save_changes (fixture->reg, before, there, &error);
  g_assert_null (missing);
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND);
}

static void
test_archive (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *summary = NULL;

  g_assert_true (shim_ops_kit_set_archived (fixture->reg, "lens", fixture->lens, TRUE, &error));
  g_assert_no_error (error);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_LENS, NULL, NULL), ==, 1);
  g_assert_true (shim_register_undo (fixture->reg, &summary, &error));
  g_assert_cmpstr (summary, ==, "Archive Velle 50");
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_LENS, NULL, NULL), ==, 2);
  g_assert_false (shim_ops_kit_set_archived (fixture->reg, "lens", "nobody", TRUE, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND);
}

/* --- find --- */

/* Who types a focal length means the lens of that name, not another's serial number. */
static void
test_find_by_name (Fixture *fixture, gconstpointer data)
{
  static const char *const labels[] = { "Quast 20", "Quast 24", "Quast 28", "Velle 77" };
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) hits = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (labels); i++)
    {
      g_autofree char *serial = g_strdup_printf ("77-%u", i);
      g_autoptr (ShimLens) lens = test_lens_new (labels[i], serial);

      g_assert_true (shim_ops_kit_save (fixture->reg, SHIM_RECORD (lens), &error));
    }
  hits = shim_ops_find (fixture->reg, "77", 2, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (hits->len, ==, 2);
  g_assert_cmpstr (((ShimHit *) hits->pdata[0])->title, ==, "Velle 77");
  g_assert_cmpstr (((ShimHit *) hits->pdata[1])->title, ==, "Quast 20");
}

/* --- import --- */

static GPtrArray *
three_lenses (const char *third_serial, const char *third_mount)
{
  GPtrArray *records = g_ptr_array_new_with_free_func (g_object_unref);
  ShimLens *third = test_lens_new ("Quast 28", third_serial);

  g_object_set (third, "mount", third_mount, NULL);
  g_ptr_array_add (records, test_lens_new ("Quast 24", "0001"));
  g_ptr_array_add (records, test_lens_new ("Quast 35", "0002"));
  g_ptr_array_add (records, third);
  return records;
}

static void
test_import (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) records = three_lenses ("0003", "F");
  g_autoptr (ShimImportResult) dry = shim_ops_kit_import (fixture->reg, records, SHIM_IMPORT_DRY_RUN, &error);
  g_autoptr (ShimImportResult) result = NULL;
  g_autofree char *summary = NULL;

  g_assert_no_error (error);
  g_assert_false (dry->stored);
  g_assert_cmpuint (dry->n_added, ==, 3);
  g_assert_cmpuint (dry->problems->len, ==, 0);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_LENS, NULL, NULL), ==, 2);

  result = shim_ops_kit_import (fixture->reg, records, SHIM_IMPORT_DEFAULT, &error);
  g_assert_no_error (error);
  g_assert_true (result->stored);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_LENS, NULL, NULL), ==, 5);
  g_assert_true (shim_register_undo (fixture->reg, &summary, &error));
  g_assert_cmpstr (summary, ==, "Taken in at once: 3 items");
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_LENS, NULL, NULL), ==, 2);
}

/* One bad record, and none is stored. */
static void
test_import_all_or_nothing (Fixture *fixture, gconstpointer data)
{
  const struct { const char *serial, *mount; } cases[] = {
    { "0003", "no such mount" },   /* the mount is not in the register */
    { "0001", "F" },               /* the first line has this serial */
    { "3377", "F" },               /* the register has it */
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) records = three_lenses (cases[i].serial, cases[i].mount);
      g_autoptr (ShimImportResult) result = shim_ops_kit_import (fixture->reg, records, SHIM_IMPORT_DEFAULT, &error);
      const ShimImportProblem *problem;

      g_assert_no_error (error);
      g_assert_false (result->stored);
      g_assert_cmpuint (result->problems->len, ==, 1);
      problem = g_ptr_array_index (result->problems, 0);
      g_assert_cmpuint (problem->index, ==, 2);
      g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_LENS, NULL, NULL), ==, 2);
      g_assert_null (shim_record_get_id (g_ptr_array_index (records, 0)));
    }
}

/* Neither may the second line of an item change what the first has brought, nor is anything stored beside a line that was not read. */
static void
test_import_slips (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) doubled = three_lenses ("0001", "F");
  g_autoptr (GPtrArray) with_hole = shim_record_holes_new (3);
  g_autoptr (ShimImportResult) result = shim_ops_kit_import (fixture->reg, doubled, SHIM_IMPORT_UPDATE_KNOWN, &error);
  g_autoptr (ShimImportResult) holed = NULL;

  g_assert_no_error (error);
  g_assert_false (result->stored);
  g_assert_cmpuint (result->n_known, ==, 0);
  g_assert_cmpuint (result->problems->len, ==, 1);
  g_assert_nonnull (strstr (((ShimImportProblem *) result->problems->pdata[0])->sentence, "Quast 24"));

  g_ptr_array_add (with_hole, test_lens_new ("Quast 24", "0001"));
  g_ptr_array_add (with_hole, NULL);
  g_ptr_array_add (with_hole, test_lens_new ("Quast 35", "3377"));
  holed = shim_ops_kit_import (fixture->reg, with_hole, SHIM_IMPORT_DEFAULT, &error);
  g_assert_no_error (error);
  g_assert_false (holed->stored);
  g_assert_cmpuint (holed->n_added, ==, 1);
  g_assert_cmpuint (((ShimImportProblem *) holed->problems->pdata[0])->index, ==, 2);
  g_ptr_array_remove_index (with_hole, 2);
  g_clear_pointer (&holed, shim_import_result_free);
  holed = shim_ops_kit_import (fixture->reg, with_hole, SHIM_IMPORT_DEFAULT, &error);
  g_assert_no_error (error);
  g_assert_false (holed->stored);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_LENS, NULL, NULL), ==, 2);
}

static void
test_import_update (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) records = g_ptr_array_new_with_free_func (g_object_unref);
  ShimLens *known = shim_lens_new ();
  g_autoptr (ShimImportResult) result = NULL;
  g_autoptr (ShimRecord) stored = NULL;

  g_object_set (known, "serial", "3377", "place", "Shelf 4", NULL);
  g_ptr_array_add (records, known);
  result = shim_ops_kit_import (fixture->reg, records, SHIM_IMPORT_UPDATE_KNOWN, &error);
  g_assert_no_error (error);
  g_assert_true (result->stored);
  g_assert_cmpuint (result->n_changed, ==, 1);
  stored = shim_register_get (fixture->reg, SHIM_TYPE_LENS, fixture->lens, &error);
  g_assert_cmpstr (((ShimLens *) stored)->place, ==, "Shelf 4");
  g_assert_cmpstr (((ShimLens *) stored)->label, ==, "Velle 50");
}

/* A table from elsewhere writes mounts its own way, and may know one that the register does not. */
static void
test_import_mounts (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) known = three_lenses ("0003", "Orrin ef-s mount");
  g_autoptr (GPtrArray) new = three_lenses ("0003", "Tarn bayonet");
  g_autoptr (ShimImportResult) dry = shim_ops_kit_import (fixture->reg, known, SHIM_IMPORT_DRY_RUN, &error);
  g_autoptr (ShimImportResult) result = NULL;
  const gint64 n_mounts = shim_register_count (fixture->reg, SHIM_TYPE_MOUNT, NULL, NULL);

  g_assert_no_error (error);
  g_assert_cmpuint (dry->problems->len, ==, 0);
  g_assert_cmpstr (((ShimLens *) known->pdata[2])->mount, ==, "EF / EF-S");

  result = shim_ops_kit_import (fixture->reg, new, SHIM_IMPORT_ADD_MOUNTS, &error);
  g_assert_no_error (error);
  g_assert_true (result->stored);
  g_assert_cmpuint (result->n_mounts_added, ==, 1);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_MOUNT, NULL, NULL), ==, n_mounts + 1);
  g_assert_true (shim_register_undo (fixture->reg, NULL, &error));
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_MOUNT, NULL, NULL), ==, n_mounts);
}

/* --- from a photograph --- */

static void
test_propose_known (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMetadata) metadata = shim_metadata_new ();
  g_autoptr (ShimProposal) proposal = NULL;

  metadata->model = g_strdup ("O-3");
  metadata->body_serial = g_strdup ("0012345");
  metadata->lens_serial = g_strdup ("2041");
  proposal = shim_ops_kit_propose (fixture->reg, metadata, &error);
  g_assert_no_error (error);
  g_assert_true (proposal->body_is_known);
  g_assert_cmpstr (shim_record_get_id (SHIM_RECORD (proposal->body)), ==, fixture->body);
  g_assert_true (proposal->lens_is_known);
  g_assert_cmpstr (shim_record_get_id (SHIM_RECORD (proposal->lens)), ==, fixture->second_lens);
}

static void
test_propose_new (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMetadata) metadata = shim_metadata_new ();
  g_autoptr (ShimProposal) proposal = NULL;

  metadata->make = g_strdup ("ORRIN CORPORATION");
  metadata->model = g_strdup ("O-7");
  metadata->body_serial = g_strdup ("0000123");
  metadata->lens_model = g_strdup ("24-70mm f/2.8-4");
  metadata->lens_serial = g_strdup ("88");
  metadata->focal_length_mm = 35.0;
  metadata->pixel_pitch_mm = 0.006;
  metadata->pitch_source = SHIM_PITCH_FOCAL_PLANE;
  metadata->width_px = 4000;   /* held upright */
  metadata->height_px = 6000;
  proposal = shim_ops_kit_propose (fixture->reg, metadata, &error);
  g_assert_no_error (error);
  g_assert_false (proposal->body_is_known);
  g_assert_null (shim_record_get_id (SHIM_RECORD (proposal->body)));
  g_assert_cmpstr (proposal->body->maker, ==, "Orrin");
  g_assert_cmpstr (proposal->body->serial, ==, "0000123");
  g_assert_cmpstr (proposal->body->mount, ==, "F");
  g_assert_cmpfloat_with_epsilon (proposal->body->format_width_mm, 36.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (proposal->body->format_height_mm, 24.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (proposal->body->pixel_pitch_um, 6.0, 1e-9);
  g_assert_false (proposal->lens_is_known);
  g_assert_cmpfloat (proposal->lens->focal_min_mm, ==, 24.0);
  g_assert_cmpfloat (proposal->lens->focal_max_mm, ==, 70.0);
  g_assert_cmpfloat (proposal->lens->aperture_wide, ==, 2.8);
  g_assert_cmpfloat (proposal->lens->aperture_long, ==, 4.0);
  g_assert_nonnull (proposal->doubts[0]);
}

/* A photograph made smaller for the web: 36 mm over 480 pixels would be pixels of 75 µm, which no body has and no form takes. */
static void
test_propose_smaller (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMetadata) metadata = shim_metadata_new ();
  g_autoptr (ShimProposal) proposal = NULL;

  metadata->model = g_strdup ("O-7");
  metadata->pixel_pitch_mm = 0.075;
  metadata->pitch_source = SHIM_PITCH_EQUIVALENT;
  metadata->width_px = 480;
  metadata->height_px = 320;
  proposal = shim_ops_kit_propose (fixture->reg, metadata, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (proposal->body->format_width_mm, 36.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (proposal->body->format_height_mm, 24.0, 1e-9);
  g_assert_true (isnan (proposal->body->pixel_pitch_um));
  g_assert_true (g_strv_contains ((const char *const *) proposal->doubts,
                                  "The photograph was made smaller: it does not show the body's pixel pitch."));
}

static ShimMetadata *
metadata_new (const char *body_serial, const char *lens_model, const char *lens_serial)
{
  ShimMetadata *metadata = shim_metadata_new ();

  metadata->make = g_strdup ("ORRIN CORPORATION");
  metadata->model = g_strdup (body_serial != NULL ? "O-3" : NULL);
  metadata->body_serial = g_strdup (body_serial);
  metadata->lens_model = g_strdup (lens_model);
  metadata->lens_serial = g_strdup (lens_serial);
  return metadata;
}

/* Many photographs: every item once, known ones recognised. */
static void
test_gather (Fixture *fixture, gconstpointer data)
{
  static const char *const photos[][3] = {
    { "0012345", "85mm f/1.8", "2041" }, /* both known */
    { "0077777", "85mm f/1.8", "2041" }, /* a new body with the known lens */
    { "0077777", "24-70mm f/2.8", NULL },
    { "0012345", "24-70mm f/2.8", NULL }, /* a new lens without a serial, seen twice */
    { NULL, NULL, NULL },
  };
  g_autoptr (ShimGathering) gathering = shim_gathering_new ();
  g_autoptr (GError) error = NULL;
  guint n_known = 0;

  for (guint i = 0; i < G_N_ELEMENTS (photos); i++)
    {
      g_autoptr (ShimMetadata) metadata = metadata_new (photos[i][0], photos[i][1], photos[i][2]);

      g_assert_true (shim_ops_gather_add (gathering, fixture->reg, metadata, &error));
      g_assert_no_error (error);
    }
  g_assert_cmpuint (gathering->n_photos, ==, 5);
  g_assert_cmpuint (gathering->n_silent, ==, 1);
  g_assert_cmpuint (gathering->items->len, ==, 4);
  for (guint i = 0; i < gathering->items->len; i++)
    {
      const ShimGathered *item = gathering->items->pdata[i];

      g_assert_cmpuint (item->n_photos, ==, 2);
      g_assert_true (item->is_known == (item->record->id != NULL));
      n_known += item->is_known;
    }
  g_assert_cmpuint (n_known, ==, 2);
  g_assert_cmpuint (gathering->n_systems, ==, 1);
}

/* What was never seen on each other may have two mounts; one photograph can show that they have one. */
static void
test_gather_systems (Fixture *fixture, gconstpointer data)
{
  static const struct { const char *model, *serial, *lens; guint n_systems; } photos[] = {
    { "O-7", "0000001", "35mm f/2", 1 }, { "V-7", "0000002", "40mm f/2", 2 }, { "O-7", "0000003", "60mm f/2", 2 },
    { "Q-7", "0000004", "90mm f/2", 3 }, { "Q-7", "0000004", "40mm f/2", 2 }, { "O-7", "0000003", "40mm f/2", 1 },
  };
  g_autoptr (ShimGathering) gathering = shim_gathering_new ();
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (photos); i++)
    {
      g_autoptr (ShimMetadata) metadata = metadata_new (photos[i].serial, photos[i].lens, NULL);

      g_free (metadata->model);
      metadata->model = g_strdup (photos[i].model);
      g_assert_true (shim_ops_gather_add (gathering, fixture->reg, metadata, &error));
      g_assert_no_error (error);
      g_assert_cmpuint (gathering->n_systems, ==, photos[i].n_systems);
      for (guint k = 0; k < gathering->items->len; k++)
        g_assert_cmpuint (((ShimGathered *) gathering->items->pdata[k])->system, <, photos[i].n_systems);
    }
}

/* A photograph that says nothing proposes nothing. */
static void
test_propose_nothing (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMetadata) metadata = shim_metadata_new ();
  g_autoptr (ShimProposal) proposal = shim_ops_kit_propose (fixture->reg, metadata, &error);

  g_assert_no_error (error);
  g_assert_null (proposal->body);
  g_assert_null (proposal->lens);
  g_assert_cmpuint (g_strv_length (proposal->doubts), ==, 2);
}

/* --- accepting, slots, events --- */

static char *
accept_copied (Fixture *fixture, const char *lens, gint64 value, gint64 slot, GError **error)
{
  g_autoptr (ShimPair) pair = shim_ops_test_find_pair (fixture->reg, fixture->body, lens, NULL, TRUE, error);
  g_autoptr (ShimDecision) decision = NULL;
  ShimAccept request;

  shim_accept_init (&request);
  request.pair = shim_record_get_id (SHIM_RECORD (pair));
  request.value = value;
  request.origin = "copied";
  request.slot = slot;
  decision = shim_ops_accept (fixture->reg, &request, NULL, error);
  return decision != NULL ? g_strdup (request.pair) : NULL;
}

static const ShimSlot *
slot_at (GPtrArray *slots, gint64 number)
{
  for (guint i = 0; i < slots->len; i++)
    if (((const ShimSlot *) g_ptr_array_index (slots, i))->number == number)
      return g_ptr_array_index (slots, i);
  return NULL;
}

static void
test_slots (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *first = accept_copied (fixture, fixture->lens, 5, SHIM_SLOT_NEXT, &error);
  g_autofree char *refused = NULL;
  g_autofree char *second = NULL;
  g_autoptr (GPtrArray) slots = NULL;
  g_autoptr (ShimSlotProposal) proposal = NULL;

  g_assert_no_error (error);
  /* Slot 1 is taken: by hand it must be said that it may be overwritten. */
  refused = accept_copied (fixture, fixture->second_lens, -3, 1, &error);
  g_assert_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_NO_SLOT);
  g_assert_nonnull (strstr (error->message, "Velle 50"));
  g_clear_error (&error);
  second = accept_copied (fixture, fixture->second_lens, -3, SHIM_SLOT_NEXT, &error);
  g_assert_no_error (error);
  slots = shim_register_slots (fixture->reg, fixture->body, &error);
  g_assert_cmpuint (slots->len, ==, 3);
  g_assert_cmpint (slot_at (slots, 1)->value, ==, 5);
  g_assert_cmpstr (slot_at (slots, 1)->pair, ==, first);
  g_assert_cmpint (slot_at (slots, 2)->value, ==, -3);
  g_assert_cmpint (slot_at (slots, 3)->state, ==, SHIM_SLOT_FREE);
  proposal = shim_ops_slots_propose (fixture->reg, second, SHIM_SLOT_NEXT, &error);
  g_assert_cmpint (proposal->number, ==, 2);
  g_assert_cmpint (proposal->n_free, ==, 1);
}

/* A refused slot leaves no decision behind. */
static void
test_no_slot_no_decision (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *refused = accept_copied (fixture, fixture->lens, 5, 4, &error);

  g_assert_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_NO_SLOT);
  g_assert_null (refused);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_DECISION, NULL, NULL), ==, 0);
  g_clear_error (&error);
  refused = accept_copied (fixture, fixture->lens, 21, SHIM_SLOT_NEXT, &error);
  g_assert_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION);
}

static void
test_reset (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *first = accept_copied (fixture, fixture->lens, 5, SHIM_SLOT_NEXT, &error);
  g_autofree char *second = accept_copied (fixture, fixture->second_lens, -3, SHIM_SLOT_NEXT, &error);
  g_autoptr (GPtrArray) lost =
      shim_ops_slots_reset_body (fixture->reg, fixture->body, NULL, "Battery was out", &error);
  g_autoptr (GPtrArray) rest = NULL;
  g_autoptr (GPtrArray) none = NULL;
  g_autoptr (GPtrArray) events = NULL;
  g_autoptr (ShimSlotEntry) entry = NULL;

  g_assert_no_error (error);
  g_assert_cmpuint (lost->len, ==, 2);
  g_assert_cmpint (slot_at (lost, 1)->value, ==, 5);
  entry = shim_ops_slots_key_in (fixture->reg, first, SHIM_SLOT_NEXT, FALSE, &error);
  g_assert_no_error (error);
  g_assert_cmpint (entry->number, ==, 1);
  g_assert_cmpint (entry->value, ==, 5);
  rest = shim_ops_slots_lost (fixture->reg, fixture->body, &error);
  g_assert_cmpuint (rest->len, ==, 1);
  g_assert_cmpstr (slot_at (rest, 2)->pair, ==, second);
  /* It was no reset after all. */
  events = shim_register_events (fixture->reg, fixture->body, &error);
  g_assert_cmpuint (events->len, ==, 1);
  g_assert_true (
      shim_ops_kit_take_back_event (fixture->reg, shim_record_get_id (g_ptr_array_index (events, 0)), &error));
  g_assert_no_error (error);
  none = shim_ops_slots_lost (fixture->reg, fixture->body, &error);
  g_assert_cmpuint (none->len, ==, 0);
}

static void
test_knock_makes_due (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *pair = accept_copied (fixture, fixture->lens, 5, SHIM_SLOT_NEXT, &error);
  g_autoptr (ShimEvent) event = shim_event_new ();
  g_autoptr (ShimPairNow) now = NULL;
  g_autoptr (ShimPairNow) after = NULL;

  /* The register counts whole seconds: the knock is a minute later. */
  shim_register_set_clock (fixture->reg, g_get_real_time () / G_USEC_PER_SEC + 60);
  g_object_set (event, "item-kind", "lens", "item", fixture->lens, "kind", "knock", "casts-doubt",
                shim_ops_kit_casts_doubt ("knock"), NULL);
  g_assert_true (shim_ops_kit_note_event (fixture->reg, event, &error));
  g_assert_no_error (error);
  now = shim_register_pair_now (fixture->reg, pair, &error);
  g_assert_cmpint (now->state, ==, SHIM_PAIR_DUE);
  g_assert_true (now->reasons & SHIM_DUE_LENS_EVENT);
  g_assert_true (shim_ops_kit_take_back_event (fixture->reg, shim_record_get_id (SHIM_RECORD (event)), &error));
  after = shim_register_pair_now (fixture->reg, pair, &error);
  g_assert_false (after->reasons & SHIM_DUE_LENS_EVENT);
  g_assert_true (shim_ops_kit_casts_doubt ("service"));
  g_assert_true (shim_ops_kit_casts_doubt ("firmware"));
  g_assert_false (shim_ops_kit_casts_doubt ("loan"));
  g_assert_false (shim_ops_kit_casts_doubt ("note"));
}

/* --- tests --- */

static void
test_open (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimTest) test = NULL;
  g_autoptr (ShimTestSummary) summary = NULL;
  g_autoptr (ShimRound) round = NULL;
  g_autoptr (ShimRound) same = NULL;
  g_autoptr (ShimRound) beyond = NULL;
  const char *id;
  ShimOpenTest request;

  shim_open_test_init (&request);
  request.body = fixture->body;
  request.lens = fixture->lens;
  test = shim_ops_test_open (fixture->reg, &request, &error);
  g_assert_no_error (error);
  id = shim_record_get_id (SHIM_RECORD (test));
  /* 50 × focal length (common practice, no source). */
  g_assert_cmpfloat (test->distance_mm, ==, 2500.0);
  g_assert_cmpfloat (test->f_number, ==, 1.8);
  summary = shim_ops_test_summary (fixture->reg, NULL, id, &error);
  g_assert_no_error (error);
  g_assert_cmpint (summary->advice.action, ==, SHIM_ADVICE_START);
  g_assert_cmpint (summary->advice.setting, ==, 0);
  /* Depth of field for 50 mm, f/1.8, 2.5 m and c = diagonal / 1500 = 0.02884 mm, by the long hyperfocal form, worked
   * out apart. */
  g_assert_cmpfloat_with_epsilon (summary->depth_of_field_mm, 255.068, 0.01);
  g_assert_cmpfloat_with_epsilon (summary->tolerance_mm, summary->depth_of_field_mm * 0.1, 1e-9);
  g_assert_cmpint (summary->step_source, ==, SHIM_STEP_COMMON);
  g_assert_cmpfloat (summary->expected_step_mm, >, 10.0);   /* 10 to 20 mm: common practice, no source */
  g_assert_cmpfloat (summary->expected_step_mm, <, 20.0);
  round = shim_ops_test_add_round (fixture->reg, id, 5, &error);
  same = shim_ops_test_add_round (fixture->reg, id, 5, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (shim_record_get_id (SHIM_RECORD (round)), ==, shim_record_get_id (SHIM_RECORD (same)));
  beyond = shim_ops_test_add_round (fixture->reg, id, 21, &error);
  g_assert_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION);
  g_assert_null (beyond);
}

static void
test_open_refused (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimLens) stranger = test_lens_new ("Quast 40", "9");
  g_autofree char *stranger_id = NULL;
  g_autoptr (ShimTest) test = NULL;
  ShimOpenTest request;

  g_object_set (stranger, "mount", "K", NULL);
  stranger_id = test_add (fixture->reg, stranger);
  shim_open_test_init (&request);
  request.body = fixture->body;
  request.lens = stranger_id;
  test = shim_ops_test_open (fixture->reg, &request, &error);
  g_assert_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_MOUNT);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_PAIR, NULL, NULL), ==, 0);
  g_clear_error (&error);
  request.lens = fixture->lens;
  request.focal_mm = 85.0;
  test = shim_ops_test_open (fixture->reg, &request, &error);
  g_assert_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION);
  g_assert_null (test);
}

/* --- jobs --- */

/* A pair that nobody uses needs no test; it is made for that, and one undo takes both back. */
static void
assert_not_needed_is_ready (Fixture *fixture, const char *job, const ShimNotReady *line)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPair) pair = shim_ops_test_set_needed (fixture->reg, line->body, line->lens, NULL, FALSE, &error);
  g_autoptr (GPtrArray) after = NULL, undone = NULL;

  g_assert_no_error (error);
  g_assert_true (pair->not_needed);
  after = shim_ops_jobs_readiness (fixture->reg, job, &error);
  g_assert_cmpuint (after->len, ==, 0);
  g_assert_true (shim_register_undo (fixture->reg, NULL, &error));
  g_assert_null (shim_ops_test_find_pair (fixture->reg, line->body, line->lens, NULL, FALSE, &error));
  undone = shim_ops_jobs_readiness (fixture->reg, job, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (undone->len, ==, 1);
}

static void
test_job (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimJob) job = shim_ops_jobs_create (fixture->reg, "Sports day", "2026-06-12", &error);
  g_autoptr (ShimJob) next = shim_ops_jobs_create (fixture->reg, "Prize-giving", NULL, &error);
  g_autoptr (ShimPickResult) picked = NULL;
  g_autoptr (GPtrArray) lines = NULL;
  const char *id = shim_record_get_id (SHIM_RECORD (job)), *next_id = shim_record_get_id (SHIM_RECORD (next));
  guint n_added;

  g_assert_no_error (error);
  picked = shim_ops_jobs_add_serials (fixture->reg, id, "0012345\r\n\n 3377 \n12345\n3377", &error);
  g_assert_no_error (error);
  g_assert_cmpuint (picked->n_added, ==, 2);
  g_assert_cmpuint (picked->n_there, ==, 1);
  g_assert_cmpuint (g_strv_length (picked->not_found), ==, 1);
  g_assert_cmpstr (picked->not_found[0], ==, "12345");   /* a leading zero counts */
  lines = shim_ops_jobs_readiness (fixture->reg, id, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (lines->len, ==, 1);
  g_assert_cmpint (((ShimNotReady *) g_ptr_array_index (lines, 0))->kind, ==, SHIM_NOT_READY_UNTESTED);
  g_assert_cmpint (shim_ops_jobs_mend (g_ptr_array_index (lines, 0)), ==, SHIM_MEND_OPEN_TEST);
  assert_not_needed_is_ready (fixture, id, g_ptr_array_index (lines, 0));
  g_assert_true (shim_ops_jobs_copy_items (fixture->reg, next_id, id, &n_added, &error));
  g_assert_cmpuint (n_added, ==, 2);
  g_assert_true (shim_ops_jobs_remove_item (fixture->reg, next_id, fixture->lens, &error));
  g_assert_false (shim_ops_jobs_remove_item (fixture->reg, next_id, fixture->lens, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND);
}

#define ADD(name, func) g_test_add ("/workspace/ops/" name, Fixture, NULL, set_up, func, tear_down)

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  ADD ("kit/save", test_save);
  ADD ("kit/save-changes", test_save_changes);
  ADD ("kit/archive", test_archive);
  ADD ("import/good", test_import);
  ADD ("import/all-or-nothing", test_import_all_or_nothing);
  ADD ("find/by-name", test_find_by_name);
  ADD ("import/update", test_import_update);
  ADD ("import/slips", test_import_slips);
  ADD ("import/mounts", test_import_mounts);
  ADD ("propose/known", test_propose_known);
  ADD ("propose/new", test_propose_new);
  ADD ("propose/smaller", test_propose_smaller);
  ADD ("propose/many", test_gather);
  ADD ("propose/systems", test_gather_systems);
  ADD ("propose/nothing", test_propose_nothing);
  ADD ("slots/next", test_slots);
  ADD ("slots/refused", test_no_slot_no_decision);
  ADD ("slots/reset", test_reset);
  ADD ("event/knock", test_knock_makes_due);
  ADD ("test/open", test_open);
  ADD ("test/refused", test_open_refused);
  ADD ("job", test_job);
  return g_test_run ();
}
