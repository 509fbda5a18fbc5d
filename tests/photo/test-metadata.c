/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "photo-fixture.h"
#include "shim-metadata.h"
#include "shim-photo-error.h"

/* Tag numbers and types: CIPA DC-008 (Exif), as quoted in the tag tables of Exiv2. */
#define MAKE 0x010f
#define MODEL 0x0110
#define ORIENTATION 0x0112
#define EXPOSURE_TIME 0x829a
#define F_NUMBER 0x829d
#define ISO 0x8827
#define SENSITIVITY_INDEX 0x8832
#define TAKEN 0x9003
#define DISTANCE 0x9206
#define FOCAL 0x920a
#define MAKER_NOTE 0x927c
#define SUB_SECOND 0x9291
#define PIXEL_X 0xa002
#define PIXEL_Y 0xa003
#define PLANE_X 0xa20e
#define PLANE_Y 0xa20f
#define PLANE_UNIT 0xa210
#define FOCAL_35MM 0xa405
#define BODY_SERIAL 0xa431
#define LENS_MAKE 0xa433
#define LENS_MODEL 0xa434
#define LENS_SERIAL 0xa435

#define ASCII_TAG(exif, number, string) { exif, number, 2, { 0 }, 0, string }
#define SHORT_TAG(exif, number, value) { exif, number, 3, { value }, 1, NULL }
#define RATIONAL_TAG(number, numerator, denominator) { TRUE, number, 5, { numerator, denominator }, 2, NULL }

static ShimMetadata *
read_tags (int width, int height, const FixtureTag *tags, guint n_tags)
{
  char *dir = fixture_dir ();
  g_autoptr (GBytes) bytes = fixture_tagged_jpeg (width, height, tags, n_tags);
  g_autofree char *path = fixture_write (dir, "tagged.jpg", bytes);
  g_autoptr (GError) error = NULL;
  ShimMetadata *metadata = shim_metadata_read (path, &error);

  g_assert_no_error (error);
  fixture_remove_dir (dir);
  return metadata;
}

/* What another library wrote is what is read. */
static void
test_round_trip (void)
{
  static const char *const tags[][2] = {
    { "Exif.Image.Make", "Orrin" },
    { "Exif.Image.Model", "Orrin 7 " },
    { "Exif.Image.Orientation", "6" },
    { "Exif.Photo.ExposureTime", "1/125" },
    { "Exif.Photo.FNumber", "18/10" },
    { "Exif.Photo.ISOSpeedRatings", "400" },
    { "Exif.Photo.DateTimeOriginal", "2026:03:02 14:05:09" },
    { "Exif.Photo.SubSecTimeOriginal", "040" },
    { "Exif.Photo.SubjectDistance", "254/100" },
    { "Exif.Photo.FocalLength", "500/10" },
    { "Exif.Photo.FocalLengthIn35mmFilm", "75" },
    { "Exif.Photo.BodySerialNumber", "0012045" },
    { "Exif.Photo.LensMake", "Velle" },
    { "Exif.Photo.LensModel", "Velle 50 mm f/1.8" },
    { "Exif.Photo.LensSerialNumber", " -00881 " },
  };
  char *dir = fixture_dir ();
  g_autoptr (GBytes) bytes = fixture_plain_jpeg (60, 40);
  g_autofree char *path = fixture_write (dir, "round-trip.jpg", bytes);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMetadata) metadata = NULL;
  g_autoptr (ShimMetadata) copy = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (tags); i++)
    fixture_set_tag (path, tags[i][0], tags[i][1]);
  metadata = shim_metadata_read (path, &error);
  g_assert_no_error (error);
  copy = shim_metadata_copy (metadata);
  g_clear_pointer (&metadata, shim_metadata_free);

  g_assert_cmpstr (copy->make, ==, "Orrin");
  g_assert_cmpstr (copy->model, ==, "Orrin 7");
  g_assert_cmpstr (copy->body_serial, ==, "0012045");
  g_assert_cmpstr (copy->lens_make, ==, "Velle");
  g_assert_cmpstr (copy->lens_model, ==, "Velle 50 mm f/1.8");
  g_assert_cmpstr (copy->lens_serial, ==, "-00881");
  g_assert_cmpfloat (copy->focal_length_mm, ==, 50.0);
  g_assert_cmpfloat (copy->focal_35mm, ==, 75.0);
  g_assert_cmpfloat_with_epsilon (copy->f_number, 1.8, 1e-12);
  g_assert_cmpfloat_with_epsilon (copy->exposure_s, 0.008, 1e-15);
  g_assert_cmpfloat (copy->iso, ==, 400.0);
  g_assert_cmpfloat_with_epsilon (copy->distance_m, 2.54, 1e-12);
  g_assert_cmpstr (copy->taken, ==, "2026-03-02T14:05:09.040");
  g_assert_cmpint (copy->orientation, ==, SHIM_ORIENTATION_TURN_RIGHT);
  g_assert_cmpint (copy->width_px, ==, 40);
  g_assert_cmpint (copy->height_px, ==, 60);
  g_assert_true (isnan (copy->adjustment));
  fixture_remove_dir (dir);
}

static void
assert_says_nothing (const ShimMetadata *metadata)
{
  g_assert_null (metadata->make);
  g_assert_null (metadata->model);
  g_assert_null (metadata->body_serial);
  g_assert_null (metadata->lens_make);
  g_assert_null (metadata->lens_model);
  g_assert_null (metadata->lens_serial);
  g_assert_null (metadata->taken);
  g_assert_true (isnan (metadata->focal_length_mm));
  g_assert_true (isnan (metadata->focal_35mm));
  g_assert_true (isnan (metadata->f_number));
  g_assert_true (isnan (metadata->exposure_s));
  g_assert_true (isnan (metadata->iso));
  g_assert_true (isnan (metadata->distance_m));
  g_assert_true (isnan (metadata->adjustment));
  g_assert_true (isnan (metadata->pixel_pitch_mm));
  g_assert_cmpint (metadata->pitch_source, ==, SHIM_PITCH_UNKNOWN);
  g_assert_cmpint (metadata->orientation, ==, SHIM_ORIENTATION_NORMAL);
}

static void
test_none (void)
{
  g_autoptr (ShimMetadata) metadata = NULL;
  char *dir = fixture_dir ();
  g_autoptr (GBytes) bytes = fixture_plain_jpeg (60, 40);
  g_autofree char *path = fixture_write (dir, "none.jpg", bytes);

  metadata = shim_metadata_read (path, NULL);
  assert_says_nothing (metadata);
  g_assert_cmpint (metadata->width_px, ==, 60);
  g_assert_cmpint (metadata->height_px, ==, 40);
  fixture_remove_dir (dir);
}

/* The three ways real files say "unknown": zeros, a denominator of zero, and stand-ins in place of texts. */
static void
test_unknown (void)
{
  static const FixtureTag zeros[] = {
    ASCII_TAG (FALSE, MAKE, "          "), ASCII_TAG (FALSE, MODEL, ""), SHORT_TAG (FALSE, ORIENTATION, 0),
    RATIONAL_TAG (EXPOSURE_TIME, 0, 1), RATIONAL_TAG (F_NUMBER, 0, 100), SHORT_TAG (TRUE, ISO, 0),
    ASCII_TAG (TRUE, TAKEN, "0000:00:00 00:00:00"), RATIONAL_TAG (DISTANCE, 0, 1000), RATIONAL_TAG (FOCAL, 0, 1),
    SHORT_TAG (TRUE, FOCAL_35MM, 0), ASCII_TAG (TRUE, BODY_SERIAL, "0000000000"), ASCII_TAG (TRUE, LENS_MODEL, "----"),
    ASCII_TAG (TRUE, LENS_SERIAL, "N/A"),
  };
  static const FixtureTag fractions[] = {
    SHORT_TAG (FALSE, ORIENTATION, 9), RATIONAL_TAG (EXPOSURE_TIME, 0, 0), RATIONAL_TAG (F_NUMBER, 0, 0),
    SHORT_TAG (TRUE, ISO, 65535), ASCII_TAG (TRUE, TAKEN, "    :  :     :  :  "), RATIONAL_TAG (DISTANCE, 0xffffffff, 1),
    RATIONAL_TAG (FOCAL, 5, 0), ASCII_TAG (TRUE, BODY_SERIAL, "n/a"), ASCII_TAG (TRUE, LENS_MODEL, "0.0 mm f/0.0"),
    ASCII_TAG (TRUE, LENS_SERIAL, "0000000000"),
  };
  static const FixtureTag infinite[] = {
    SHORT_TAG (FALSE, ORIENTATION, 65535), RATIONAL_TAG (F_NUMBER, 0xffffffff, 0xffffffff),
    ASCII_TAG (TRUE, TAKEN, "2026:02:30 10:00:00"), RATIONAL_TAG (DISTANCE, 0xffffffff, 1000),
  };
  static const struct
  {
    const FixtureTag *tags;
    guint n_tags;
  } cases[] = {
    { zeros, G_N_ELEMENTS (zeros) }, { fractions, G_N_ELEMENTS (fractions) }, { infinite, G_N_ELEMENTS (infinite) },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimMetadata) metadata = read_tags (60, 40, cases[i].tags, cases[i].n_tags);

      g_test_message ("case %u", i);
      assert_says_nothing (metadata);
    }
}

/* Numbers written in another type than the standard's are still that number; a text in a number's place is none. */
static void
test_odd_types (void)
{
  static const FixtureTag tags[] = {
    RATIONAL_TAG (EXPOSURE_TIME, 4294967294u, 4294967295u), SHORT_TAG (TRUE, F_NUMBER, 4),
    { TRUE, ISO, 3, { 200, 100 }, 2, NULL }, ASCII_TAG (TRUE, FOCAL, "50 mm or so"),
  };
  g_autoptr (ShimMetadata) metadata = read_tags (60, 40, tags, G_N_ELEMENTS (tags));

  g_assert_cmpfloat_with_epsilon (metadata->exposure_s, 1.0, 1e-9);
  g_assert_cmpfloat (metadata->f_number, ==, 4.0);
  g_assert_cmpfloat (metadata->iso, ==, 200.0);
  g_assert_false (metadata->focal_length_mm == 50.0);
}

static void
test_iso_elsewhere (void)
{
  static const FixtureTag tags[] = {
    SHORT_TAG (TRUE, ISO, 65535), { TRUE, SENSITIVITY_INDEX, 4, { 102400 }, 1, NULL },
  };
  g_autoptr (ShimMetadata) metadata = read_tags (60, 40, tags, G_N_ELEMENTS (tags));

  g_assert_cmpfloat (metadata->iso, ==, 102400.0);
}

/* Pixel pitch of a 36 mm wide sensor, 600 px: 0.06 mm, by each unit; NAN wherever the picture is not the one that
 * the tags are of. */
static void
test_pitch (void)
{
  static const struct
  {
    guint numerator;
    guint denominator;
    guint unit;
    guint pixel_x;
    guint focal_35mm;
    double pitch_mm;
    ShimPitchSource source;
  } cases[] = {
    { 254000, 600, 2, 600, 0, 0.06, SHIM_PITCH_FOCAL_PLANE },
    { 100000, 600, 3, 600, 0, 0.06, SHIM_PITCH_FOCAL_PLANE },
    { 10000, 600, 4, 600, 0, 0.06, SHIM_PITCH_FOCAL_PLANE },
    { 10, 600, 5, 600, 0, 0.06, SHIM_PITCH_FOCAL_PLANE },
    { 254000, 600, 2, 600, 50, 0.06, SHIM_PITCH_FOCAL_PLANE },
    /* Not the size that the tags are of; a unit that is none; resolution of a print; a contradiction: all unknown,
     * or by the equivalent focal length where that is there: 43.27 mm over the 721 px of the diagonal, for 50 mm.
     * */
    { 254000, 600, 2, 6000, 0, NAN, SHIM_PITCH_UNKNOWN },
    { 254000, 600, 2, 6000, 50, NAN, SHIM_PITCH_UNKNOWN },
    { 254000, 600, 2, 0, 0, NAN, SHIM_PITCH_UNKNOWN },
    { 254000, 600, 9, 600, 0, NAN, SHIM_PITCH_UNKNOWN },
    { 72, 1, 2, 600, 0, NAN, SHIM_PITCH_UNKNOWN },
    { 0, 0, 2, 600, 0, NAN, SHIM_PITCH_UNKNOWN },
    { 0, 0, 2, 600, 50, 0.06, SHIM_PITCH_EQUIVALENT },
    { 254000, 600, 2, 600, 100, 0.03, SHIM_PITCH_EQUIVALENT },
    { 254000, 600, 2, 0, 50, 0.06, SHIM_PITCH_EQUIVALENT },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      /* The fixture stores "numerator / denominator" as pixels per unit: 600 px over 36 mm. */
      FixtureTag tags[] = {
        RATIONAL_TAG (FOCAL, 50, 1),
        { TRUE, PIXEL_X, 4, { cases[i].pixel_x }, 1, NULL },
        { TRUE, PIXEL_Y, 4, { cases[i].pixel_x * 2 / 3 }, 1, NULL },
        RATIONAL_TAG (PLANE_X, cases[i].numerator, cases[i].denominator),
        RATIONAL_TAG (PLANE_Y, cases[i].numerator, cases[i].denominator),
        SHORT_TAG (TRUE, PLANE_UNIT, cases[i].unit),
        SHORT_TAG (TRUE, FOCAL_35MM, cases[i].focal_35mm),
      };
      g_autoptr (ShimMetadata) metadata = read_tags (600, 400, tags, G_N_ELEMENTS (tags));

      g_test_message ("case %u: %g", i, metadata->pixel_pitch_mm);
      g_assert_cmpint (metadata->pitch_source, ==, cases[i].source);
      if (isnan (cases[i].pitch_mm))
        g_assert_true (isnan (metadata->pixel_pitch_mm));
      else
        g_assert_cmpfloat_with_epsilon (metadata->pixel_pitch_mm, cases[i].pitch_mm, 1e-4);
    }
}

/* Maker's notes: only what Exiv2 gives a name to. */
static void
test_adjustment_bytes (void)
{
  static const struct
  {
    const char *make;
    const char *tags[3][2];
    double adjustment;
  } cases[] = {
    { "NIKON CORPORATION", { { "Exif.NikonAFT.AFFineTune", "1" }, { "Exif.NikonAFT.AFFineTuneAdj", "-7" } }, -7 },
    { "NIKON CORPORATION", { { "Exif.NikonAFT.AFFineTune", "2" }, { "Exif.NikonAFT.AFFineTuneAdj", "12" } }, 12 },
    { "NIKON CORPORATION", { { "Exif.NikonAFT.AFFineTune", "0" }, { "Exif.NikonAFT.AFFineTuneAdj", "12" } }, NAN },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      char *dir = fixture_dir ();
      g_autoptr (GBytes) bytes = fixture_plain_jpeg (60, 40);
      g_autofree char *path = fixture_write (dir, "adjusted.jpg", bytes);
      g_autoptr (ShimMetadata) metadata = NULL;

      fixture_set_tag (path, "Exif.Image.Make", cases[i].make);
      for (guint t = 0; t < 3 && cases[i].tags[t][0] != NULL; t++)
        fixture_set_tag (path, cases[i].tags[t][0], cases[i].tags[t][1]);
      metadata = shim_metadata_read (path, NULL);
      g_test_message ("case %u: %g", i, metadata->adjustment);
      if (isnan (cases[i].adjustment))
        g_assert_true (isnan (metadata->adjustment));
      else
        g_assert_cmpfloat (metadata->adjustment, ==, cases[i].adjustment);
      fixture_remove_dir (dir);
    }
}

/* Long words, signed or not: size, mode, numerator, denominator (layout from memory). The note is a bare directory
 * whose offsets count from the start of the whole: 80, with just these tags before it. */
static void
test_adjustment_words (void)
{
  static const struct
  {
    char type;
    gint8 mode;
    gint8 numerator;
    gint8 denominator;
    double adjustment;
  } cases[] = {
    { 9, 2, -5, 1, -5 }, { 4, 2, -5, 1, -5 }, { 4, 2, -1, 1, -1 }, { 9, 1, 8, 1, 8 }, { 9, 2, 0, 1, 0 },
    { 9, 0, 8, 1, NAN }, { 9, 2, 8, 0, NAN }, { 9, 3, 8, 1, NAN },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      gint32 words[] = { 20, cases[i].mode, cases[i].numerator, cases[i].denominator, 0 };
      char note[38] = { 1, 0, 0x13, 0x40, cases[i].type, 0, 5, 0, 0, 0, 80 };
      FixtureTag tags[] = {
        ASCII_TAG (FALSE, MAKE, "Canon"), { TRUE, MAKER_NOTE, 7, { 0 }, sizeof note, note },
      };
      g_autoptr (ShimMetadata) metadata = NULL;

      for (guint w = 0; w < G_N_ELEMENTS (words); w++)
        for (guint b = 0; b < 4; b++)
          note[18 + 4 * w + b] = (char) ((guint32) words[w] >> (8 * b) & 0xff);
      metadata = read_tags (60, 40, tags, G_N_ELEMENTS (tags));
      g_test_message ("case %u: %g", i, metadata->adjustment);
      if (isnan (cases[i].adjustment))
        g_assert_true (isnan (metadata->adjustment));
      else
        g_assert_cmpfloat (metadata->adjustment, ==, cases[i].adjustment);
    }
}

static void
test_text_is_clean (void)
{
  static const FixtureTag tags[] = {
    ASCII_TAG (FALSE, MAKE, "Quast\n\tOptical\x01"), ASCII_TAG (FALSE, MODEL, "Q\xff\xfe 3"),
  };
  g_autoptr (ShimMetadata) metadata = read_tags (60, 40, tags, G_N_ELEMENTS (tags));

  g_assert_cmpstr (metadata->make, ==, "Quast  Optical");
  g_assert_true (g_utf8_validate (metadata->model, -1, NULL));
}

static void
test_fill_request (void)
{
  g_autoptr (ShimMetadata) metadata = shim_metadata_new ();
  ShimMeasureRequest request;

  metadata->focal_length_mm = 85.0;
  metadata->f_number = 1.4;
  metadata->distance_m = 4.25;
  metadata->pixel_pitch_mm = 0.006;
  shim_measure_request_init (&request);
  request.f_number = 2.0;
  shim_metadata_fill_request (metadata, &request);
  g_assert_cmpfloat (request.focal_mm, ==, 85.0);
  g_assert_cmpfloat (request.f_number, ==, 2.0);
  g_assert_cmpfloat (request.distance_mm, ==, 4250.0);
  g_assert_cmpfloat (request.pixel_pitch_mm, ==, 0.006);
  g_assert_true (isnan (request.angle_deg));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/photo/metadata/round-trip", test_round_trip);
  g_test_add_func ("/photo/metadata/none", test_none);
  g_test_add_func ("/photo/metadata/unknown", test_unknown);
  g_test_add_func ("/photo/metadata/odd-types", test_odd_types);
  g_test_add_func ("/photo/metadata/iso-elsewhere", test_iso_elsewhere);
  g_test_add_func ("/photo/metadata/pitch", test_pitch);
  g_test_add_func ("/photo/metadata/adjustment-bytes", test_adjustment_bytes);
  g_test_add_func ("/photo/metadata/adjustment-words", test_adjustment_words);
  g_test_add_func ("/photo/metadata/text-is-clean", test_text_is_clean);
  g_test_add_func ("/photo/metadata/fill-request", test_fill_request);
  return g_test_run ();
}
