/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-options.h"

#include <string.h>

/* GOption writes through addresses that are known when the table is built, hence these. */
typedef struct
{
  char *scale;
  char *material;
  char *edge;
  char *clutter;
  char *sensor;
  char *lean;
  gboolean no_noise;
  gboolean no_numerals;
  gboolean no_card;
  gboolean no_ruler;
  gboolean no_exif;
  gboolean no_lens;
  gboolean no_thumbnail;
  gboolean no_tag;
  gboolean in_cm;
  int seed;
} Words;

static const char *const scale_names[] = { "mm", "half-mm", "tenths", "sixteenths", NULL };
static const char *const material_names[] = { "plastic", "steel", "dark", "wood", NULL };
static const char *const edge_names[] = { "target", "away", "both", NULL };
static const char *const lean_names[] = { "far-up", "far-down", NULL };
static const char *const clutter_names[] = { "checker", "blind", "books", "text", "keys", "edges", "grating", NULL };
static const char *const sensor_names[] = { "36x24", "23.6x15.7", "17.3x13", NULL };
static const double sensor_widths[] = { 36.0, 23.6, 17.3 };

/* The place of @word in @names; 0 when it is not given. */
static int
find_word (const char *word, const char *option, const char *const *names, GError **error)
{
  g_autofree char *all = NULL;

  for (int i = 0; word == NULL || names[i] != NULL; i++)
    if (word == NULL || strcmp (names[i], word) == 0)
      return i;
  all = g_strjoinv (", ", (char **) names);
  g_set_error (error, FRAME_ERROR, FRAME_ERROR_SCENE, "--%s knows %s, not \"%s\".", option, all, word);
  return -1;
}

static gboolean
take_clutter (const Words *words, FrameScene *scene, GError **error)
{
  g_auto (GStrv) names = g_strsplit (words->clutter ? words->clutter : "", ",", -1);

  for (int i = 0; names[i] != NULL; i++)
    {
      int kind;

      if (strcmp (names[i], "all") == 0)
        {
          scene->clutter = FRAME_CLUTTER_ALL;
          continue;
        }
      kind = find_word (names[i], "clutter", clutter_names, error);
      if (kind < 0)
        return FALSE;
      scene->clutter |= 1u << kind;
    }
  return TRUE;
}

static gboolean
take_words (const Words *words, FrameScene *scene, GError **error)
{
  int scale = find_word (words->scale, "scale", scale_names, error);
  int material = scale < 0 ? -1 : find_word (words->material, "material", material_names, error);
  int edge = material < 0 ? -1 : find_word (words->edge, "edge", edge_names, error);
  int lean = edge < 0 ? -1 : find_word (words->lean, "lean", lean_names, error);
  int sensor = lean < 0 ? -1 : find_word (words->sensor, "sensor", sensor_names, error);

  if (sensor < 0 || !take_clutter (words, scene, error))
    return FALSE;
  scene->scale = scale;
  scene->material = material;
  scene->edge = edge;
  scene->far_down = lean == 1;
  scene->sensor_width_mm = sensor_widths[sensor];
  scene->seed = (guint32) words->seed;
  scene->noise = !words->no_noise;
  scene->numerals = !words->no_numerals;
  scene->card = !words->no_card;
  scene->ruler = !words->no_ruler;
  scene->write_exif = !words->no_exif;
  scene->write_lens = !words->no_lens;
  scene->thumbnail = !words->no_thumbnail;
  scene->tag_orientation = !words->no_tag;
  scene->plane_unit_cm = words->in_cm;
  scene->blob = scene->blob_mm >= 0.0;
  return TRUE;
}

#define REAL(name, field, text, unit) { name, 0, 0, G_OPTION_ARG_DOUBLE, &s->field, text, unit }
#define WHOLE(name, field, text, unit) { name, 0, 0, G_OPTION_ARG_INT, &s->field, text, unit }
#define WORD(name, field, text, unit) { name, 0, 0, G_OPTION_ARG_STRING, &w->field, text, unit }
#define FLAG(name, field, text) { name, 0, 0, G_OPTION_ARG_NONE, field, text, NULL }

static void
add_camera_options (GOptionContext *context, FrameScene *s, Words *w)
{
  GOptionEntry entries[] = {
    WHOLE ("width", width_px, "Pixels along the sensor's long side (6000)", "PX"),
    WHOLE ("height", height_px, "Pixels along its short side (4000)", "PX"),
    WORD ("sensor", sensor, "36x24, 23.6x15.7 or 17.3x13 (give a fitting height)", "SIZE"),
    REAL ("focal", focal_mm, "Focal length (50)", "MM"),
    REAL ("f-number", f_number, "f-number (1.8)", "N"),
    REAL ("distance", distance_mm, "Entrance pupil to target face (2500)", "MM"),
    REAL ("delta", delta_mm, "True offset of the sharp plane, + = past the target (0)", "MM"),
    REAL ("roll", roll_deg, "Camera rolled (0)", "DEG"),
    REAL ("shift-x", shift_x_mm, "Scene to the right of the axis (0)", "MM"),
    REAL ("shift-y", shift_y_mm, "Scene above the axis (0)", "MM"),
    WHOLE ("turn", turn_deg, "Camera held turned: 0, 90, 180 or 270 (0)", "DEG"),
    FLAG ("no-tag", &w->no_tag, "Do not record the turn"),
    REAL ("k1", k1, "Radial distortion at the half diagonal (0)", "K1"),
    REAL ("softness", softness_px, "Sigma of lens and sensor (0.6)", "PX"),
    REAL ("aberration", aberration_px, "Spherical aberration of the aperture's edge (0)", "PX"),
    REAL ("shake", shake_px, "Length of a smear (0)", "PX"),
    REAL ("shake-angle", shake_deg, "Its direction (0 = level)", "DEG"),
    { NULL },
  };
  GOptionGroup *group = g_option_group_new ("camera", "Camera and lens:", "Show options of camera and lens", NULL, NULL);

  g_option_group_add_entries (group, entries);
  g_option_context_add_group (context, group);
}

static void
add_scene_options (GOptionContext *context, FrameScene *s, Words *w)
{
  GOptionEntry entries[] = {
    REAL ("angle", angle_deg, "Ruler to optical axis (45)", "DEG"),
    REAL ("aligned", aligned_mm, "Reading level with the target's face (150)", "MM"),
    FLAG ("toward", &s->toward, "Readings grow toward the camera"),
    WORD ("lean", lean, "far-up or far-down", "LEAN"),
    REAL ("length", length_mm, "Length of the graduation (300)", "MM"),
    REAL ("ruler-width", ruler_width_mm, "Width of the strip (30)", "MM"),
    WORD ("scale", scale, "mm, half-mm, tenths or sixteenths", "SCALE"),
    WORD ("material", material, "plastic, steel, dark or wood", "LOOK"),
    WORD ("edge", edge, "Where the ticks start: target, away or both", "EDGE"),
    REAL ("tick-contrast", tick_contrast, "Share of the printed contrast (1)", "SHARE"),
    FLAG ("no-numerals", &w->no_numerals, "A ruler without numerals"),
    WHOLE ("scratches", scratches, "Number of scratches (0)", "N"),
    REAL ("blob", blob_mm, "A finger over the tick edge at this reading", "MM"),
    FLAG ("no-ruler", &w->no_ruler, "No ruler"),
    FLAG ("no-card", &w->no_card, "No target card"),
    FLAG ("own-target", &s->own_target, "The printed target in the place of ruler and card"),
    REAL ("own-card-up", own_card_up_mm, "Its card stands this much too high (0)", "MM"),
    REAL ("background", background, "Linear level of the wall (0.21)", "LEVEL"),
    WORD ("clutter", clutter, "checker,blind,books,text,keys,edges,grating or all", "LIST"),
    REAL ("exposure", exposure, "Factor on all light (1)", "FACTOR"),
    REAL ("uneven", uneven, "Fall of the light over 300 mm (0)", "SHARE"),
    REAL ("uneven-angle", uneven_deg, "Its direction (0 = to the right)", "DEG"),
    REAL ("veil", veil, "Stray light everywhere, linear (0)", "LEVEL"),
    REAL ("glare", glare, "Bright spot on the ruler, linear (0)", "LEVEL"),
    REAL ("glare-at", glare_mm, "The reading it is centred on (0)", "MM"),
    { NULL },
  };
  GOptionGroup *group = g_option_group_new ("scene", "Ruler and surroundings:", "Show options of the scene", NULL, NULL);

  g_option_group_add_entries (group, entries);
  g_option_context_add_group (context, group);
}

static void
add_file_options (GOptionContext *context, FrameScene *s, Words *w)
{
  GOptionEntry entries[] = {
    WHOLE ("iso", iso, "Speed (100)", "ISO"),
    FLAG ("no-noise", &w->no_noise, "No noise at all"),
    FLAG ("noise-everywhere", &s->noise_everywhere, "Noise far from the scene too; the file becomes large"),
    FLAG ("bayer", &s->bayer, "Through a colour mosaic"),
    REAL ("sharpening", sharpening, "Unsharp masking in the camera (0)", "AMOUNT"),
    REAL ("sharpening-radius", sharpening_px, "Its sigma (0.8)", "PX"),
    WHOLE ("quality", quality, "JPEG quality (95)", "Q"),
    WHOLE ("subsampling", subsampling, "444, 422 or 420 (420)", "S"),
    FLAG ("compact", &s->compact, "Tables of the JPEG fitted to the picture"),
    { "seed", 0, 0, G_OPTION_ARG_INT, &w->seed, "Of noise, grain and clutter (1)", "S" },
    FLAG ("no-exif", &w->no_exif, "No metadata"),
    FLAG ("no-lens", &w->no_lens, "Neither focal length nor f-number in it"),
    REAL ("exif-focal", exif_focal_mm, "Record this focal length instead", "MM"),
    REAL ("exif-f-number", exif_f_number, "Record this f-number instead", "N"),
    FLAG ("focal-plane-cm", &w->in_cm, "Focal plane resolution per cm"),
    FLAG ("no-thumbnail", &w->no_thumbnail, "No small picture embedded"),
    { NULL },
  };
  GOptionGroup *group = g_option_group_new ("file", "Sensor and file:", "Show options of sensor and file", NULL, NULL);

  g_option_group_add_entries (group, entries);
  g_option_context_add_group (context, group);
}

static void
add_identity_options (GOptionContext *context, FrameScene *s)
{
#define TEXT(name, field, text, unit) { name, 0, 0, G_OPTION_ARG_STRING, (char **) &s->field, text, unit }
  GOptionEntry entries[] = {
    TEXT ("make", make, "Maker of the body", "NAME"),
    TEXT ("model", model, "Model of the body", "NAME"),
    TEXT ("body-serial", body_serial, "Its serial", "TEXT"),
    TEXT ("lens-model", lens_model, "Model of the lens", "NAME"),
    TEXT ("lens-serial", lens_serial, "Its serial", "TEXT"),
    TEXT ("taken", taken, "YYYY:MM:DD HH:MM:SS", "TIME"),
    TEXT ("subsec", subsec, "Hundredths of a second", "TEXT"),
    { NULL },
  };
#undef TEXT
  GOptionGroup *group = g_option_group_new ("identity", "What the metadata say:", "Show options of identity", NULL, NULL);

  g_option_group_add_entries (group, entries);
  g_option_context_add_group (context, group);
}

static void
add_main_options (GOptionContext *context, FrameOptions *options)
{
  GOptionEntry entries[] = {
    { "truth", 't', 0, G_OPTION_ARG_FILENAME, &options->truth, "Append the truth of the frame to this CSV file", "FILE" },
    { "demo", 0, 0, G_OPTION_ARG_NONE, &options->demo,
      "Make the demo's test: four rounds of five frames, in a folder", NULL },
    { "set", 0, 0, G_OPTION_ARG_STRING, &options->set, "Draw frames of a kind at random, into a folder", "NAME" },
    { "list-sets", 0, 0, G_OPTION_ARG_NONE, &options->list_sets, "Print the names of the sets", NULL },
    { "count", 'n', 0, G_OPTION_ARG_INT, &options->count, "Number of frames of the set (10)", "N" },
    { G_OPTION_REMAINING, 0, 0, G_OPTION_ARG_FILENAME_ARRAY, &options->rest, "", "FILE.jpg | FOLDER" },
    { NULL },
  };

  g_option_context_add_main_entries (context, entries, NULL);
}

/**
 * frame_options_parse:
 * @options: (out): what was asked for; free with frame_options_clear()
 * @argc: number of words on the command line
 * @argv: the words
 * @error: return location for a #GError
 *
 * Returns: whether the command line makes sense
 */
gboolean
frame_options_parse (FrameOptions *options, int *argc, char ***argv, GError **error)
{
  g_autoptr (GOptionContext) context = g_option_context_new (NULL);
  Words words = { .seed = 1 };
  gboolean parsed;

  *options = (FrameOptions){ .count = 10 };
  frame_scene_init (&options->scene);
  options->scene.blob_mm = -1.0;
  g_option_context_set_summary (context,
                                "Makes photographs of a ruler beside a target, of which the true sharp line is known.");
  add_main_options (context, options);
  add_camera_options (context, &options->scene, &words);
  add_scene_options (context, &options->scene, &words);
  add_file_options (context, &options->scene, &words);
  add_identity_options (context, &options->scene);
  parsed = g_option_context_parse (context, argc, argv, error) && take_words (&words, &options->scene, error);
  g_free (words.scale);
  g_free (words.material);
  g_free (words.edge);
  g_free (words.clutter);
  g_free (words.sensor);
  g_free (words.lean);
  return parsed;
}

/* The texts of the scene live as long as the process, some being literals. */
void
frame_options_clear (FrameOptions *options)
{
  g_free (options->truth);
  g_free (options->set);
  g_strfreev (options->rest);
}
