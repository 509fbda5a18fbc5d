/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-kinds.h"
#include "shim-kit-error.h"

/* Field tables, and fields as text. */

static void
test_tables (void)
{
  const GType *types;
  guint n_types;

  types = shim_kind_list_types (&n_types);
  g_assert_cmpuint (n_types, ==, 16);
  for (guint i = 0; i < n_types; i++)
    {
      const ShimKind *kind = shim_kind_for_type (types[i]);
      g_autoptr (ShimRecord) record = g_object_new (types[i], NULL);

      g_assert_true (shim_kind_from_name (kind->name) == kind);
      for (guint j = 0; j < kind->n_fields; j++)
        {
          const ShimField *field = &kind->fields[j];

          g_assert_true (shim_kind_find_field (kind, field->name) == field);
          g_assert_nonnull (g_object_class_find_property (G_OBJECT_GET_CLASS (record), field->name));
          g_assert_true ((field->type == SHIM_FIELD_CHOICE) == (field->choices != NULL));
          if (field->ref != NULL)
            g_assert_nonnull (shim_kind_from_name (field->ref));
          /* Nothing is known of a new record. */
          if (field->type != SHIM_FIELD_BOOL)
            g_assert_false (shim_record_is_known (record, field));
        }
    }
  g_assert_null (shim_kind_from_name ("unicorn"));
}

static void
test_parse (void)
{
  static const struct
  {
    const char *field;
    const char *text;
    const char *back; /* NULL = refused */
  } cases[] = {
    { "serial", "0012", "0012" },
    { "serial", "  0012 ", "0012" },
    { "serial", "", "" },
    { "range_min", "-20", "-20" },
    { "range_min", "\u221220", "-20" }, /* the typographic minus */
    { "range_min", "20", NULL },
    { "range_min", "-20.5", NULL },
    { "range_min", "minus twenty", NULL },
    { "slot_count", "99999999999999999999", NULL },
    { "pixel_pitch_um", "4,3", "4.3" },
    { "pixel_pitch_um", "4.3", "4.3" },
    { "pixel_pitch_um", "4.3 µm", "4.3" },
    { "pixel_pitch_um", "4.3 mm", NULL }, /* another unit */
    { "pixel_pitch_um", "nan", NULL },
    { "pixel_pitch_um", "inf", NULL },
    { "pixel_pitch_um", "1e9", NULL },
    { "bought_on", "2024-02-29", "2024-02-29" },
    { "bought_on", "2023-02-29", NULL },
    { "bought_on", "yesterday", NULL },
    { "bought_on", "12.03.2021", "2021-03-12" },
    { "bought_on", "13/04/21", "2021-04-13" },
    { "bought_on", "04/13/2021", "2021-04-13" },
    { "bought_on", "03/04/2021", NULL }, /* two days, by who wrote it */
    { "bought_on", "03/03/2021", "2021-03-03" },
    { "bought_on", "2021/3/4 00:00:00", "2021-03-04" },
    { "bought_on", "5-Mar-21", "2021-03-05" },
    { "bought_on", "March 5, 1999", "1999-03-05" },
    { "bought_on", "3/2022", "2022-03" },
    { "bought_on", "2022-3", "2022-03" },
    { "bought_on", "March 2022", "2022-03" },
    { "bought_on", "2019", "2019" },
    { "bought_on", "13/2022", NULL },
    { "bought_on", "2022/2023", NULL },
    { "bought_on", "22", NULL },
    { "bought_on", "0019", NULL },
    { "worth", "1299", "1299" },
    { "worth", "1.299,50", "1299.5" },
    { "worth", "1,299.50", "1299.5" },
    { "worth", "1.299", "1299" },
    { "worth", "1 299,00", "1299" },
    { "worth", "1\u202f299", "1299" },
    { "worth", "1'299.95", "1299.95" },
    { "worth", "12,345,678", "12345678" },
    { "worth", "899,5", "899.5" },
    { "worth", "0.125", "0.1250" }, /* 0.125 is no thousand, but 1.125 would be */
    { "worth", "1.2999", "1.2999" },
    { "worth", "12.34.5", NULL },
    { "worth", "1 29", NULL },
    { "worth", "a lot", NULL },
    { "weight_g", "1,450 g", "1450" },
    { "weight_g", "1,450 kg", "1450" },
    { "weight_g", "1 lb", "453.59237" },
    { "weight_g", "300 g or so", NULL },
    { "pixel_pitch_um", "3,450", "3.45" },
    { "archived", "yes", "yes" },
    { "archived", "X", "yes" },
    { "archived", "0", "no" },
    { "archived", "perhaps", NULL },
    { "direction", "toward", "toward" },
    { "direction", "Toward the camera", "toward" },
    { "direction", "up", NULL },
    { "note", "\xff", NULL },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimBody) body = shim_body_new ();
      const ShimField *field = shim_kind_find_field (shim_kind_for_type (SHIM_TYPE_BODY), cases[i].field);
      g_autoptr (ShimRecord) before = shim_record_copy (SHIM_RECORD (body));
      g_autoptr (GError) error = NULL;
      gboolean parsed = shim_record_parse (SHIM_RECORD (body), field, cases[i].text, &error);
      g_autofree char *back = shim_record_to_string (SHIM_RECORD (body), field);

      g_assert_cmpint (parsed, ==, cases[i].back != NULL);
      if (parsed)
        g_assert_cmpstr (back, ==, cases[i].back);
      else
        {
          g_assert_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID);
          g_assert_true (shim_record_equal (SHIM_RECORD (body), before));
        }
    }
}

static void
test_headings (void)
{
  static const struct
  {
    const char *heading;
    const char *field;
  } cases[] = {
    { "Serial number", "serial" }, { "serial", "serial" }, { "SERIAL  NUMBER:", "serial" }, { "focal_min_mm", "focal_min_mm" },
    { "Nearest distance (mm)", "nearest_mm" }, { "Name", "label" }, { "colour", NULL }, { "", NULL },
    { "Lens", "label" }, { "Serial #", "serial" }, { "Price paid", "worth" }, { "Used by", "holder" }, { "Close focus", "nearest_mm" },
    { "Zoom range", "focal_min_mm" }, { "f/", "aperture_wide" }, { "Who has it", "holder" }, { "Bought for", "worth" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      const ShimField *field = shim_kind_guess_field (shim_kind_for_type (SHIM_TYPE_LENS), cases[i].heading);

      g_assert_cmpstr (field != NULL ? field->name : NULL, ==, cases[i].field);
    }
}

static void
test_check (void)
{
  g_autoptr (ShimEvent) event = shim_event_new ();
  g_autoptr (GError) error = NULL;

  g_object_set (event, "item-kind", "lens", "item", "x", "happened-on", "2026-05-01", "kind", "knock", NULL);
  g_assert_false (shim_record_check (SHIM_RECORD (event), &error));
  g_assert_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_MISSING);
  g_clear_error (&error);
  /* Kept in UTC, so that times as text sort by time. */
  g_object_set (event, "noted-at", "2026-05-01T10:00:00+02:00", NULL);
  g_assert_false (shim_record_check (SHIM_RECORD (event), &error));
  g_assert_nonnull (strstr (error->message, "2026-05-01T08:00:00Z"));
  g_clear_error (&error);
  g_object_set (event, "noted-at", "2026-05-01T08:00:00Z", NULL);
  g_assert_true (shim_record_check (SHIM_RECORD (event), &error));
  g_object_set (event, "kind", "earthquake", NULL);
  g_assert_false (shim_record_check (SHIM_RECORD (event), &error));
  g_assert_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID);
}

static void
count_notify (GObject *object, GParamSpec *pspec, guint *n)
{
  (*n)++;
}

static void
test_notify (void)
{
  g_autoptr (ShimLens) lens = shim_lens_new ();
  guint n = 0;

  g_signal_connect (lens, "notify", G_CALLBACK (count_notify), &n);
  g_object_set (lens, "label", "Velle 85", "focal-min-mm", 85.0, NULL);
  g_assert_cmpuint (n, ==, 2);
  g_object_set (lens, "label", "Velle 85", "focal-min-mm", 85.0, NULL);
  shim_record_set_real (SHIM_RECORD (lens), shim_kind_find_field (shim_kind_for_type (SHIM_TYPE_LENS), "nearest_mm"), NAN);
  g_assert_cmpuint (n, ==, 2);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/kit/record/tables", test_tables);
  g_test_add_func ("/kit/record/parse", test_parse);
  g_test_add_func ("/kit/record/headings", test_headings);
  g_test_add_func ("/kit/record/check", test_check);
  g_test_add_func ("/kit/record/notify", test_notify);
  return g_test_run ();
}
