/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Frames of a ruler with a known truth, for tests, benchmarks and the demo.
 *
 * Everything here stands on its own: no optics are shared with the program, so that the truth is not circular.
 * Scene: the camera's entrance pupil is the origin, z runs along the optical axis away from the camera, x to the right,
 * y up, in mm. The target card stands upright at z = distance. The ruler is a flat strip beside it that leans back:
 * the reading r lies at y = shift_y + up (r - aligned) sin (angle), z = distance + away (r - aligned) cos (angle).
 * Pixels: (0, 0) is the top-left corner of the first pixel. */

typedef enum
{
  FRAME_SCALE_MM,        /* ticks every 1, 5 and 10 mm */
  FRAME_SCALE_HALF_MM,   /* every 0.5, 1, 5 and 10 mm */
  FRAME_SCALE_TENTHS,    /* tenths of an inch, half inches, inches */
  FRAME_SCALE_SIXTEENTHS /* 1/16, 1/8, 1/4, 1/2 and whole inches */
} FrameScale;

typedef enum
{
  FRAME_MATERIAL_PLASTIC, /* dark ticks on warm white */
  FRAME_MATERIAL_STEEL,   /* dark ticks on brushed metal with a shine */
  FRAME_MATERIAL_DARK,    /* light ticks on dark brushed metal */
  FRAME_MATERIAL_WOOD     /* dark ticks on grain */
} FrameMaterial;

typedef enum
{
  FRAME_EDGE_TARGET, /* ticks start at the long edge beside the target */
  FRAME_EDGE_AWAY,   /* at the other one */
  FRAME_EDGE_BOTH    /* at both; the truth names points on the one beside the target */
} FrameEdge;

typedef enum
{
  FRAME_CLUTTER_CHECKER = 1 << 0,  /* a checkerboard */
  FRAME_CLUTTER_BLIND = 1 << 1,    /* a window blind: a wide, regular grating */
  FRAME_CLUTTER_BOOKS = 1 << 2,    /* upright backs with bands */
  FRAME_CLUTTER_TEXT = 1 << 3,     /* lines of text-like bars */
  FRAME_CLUTTER_KEYS = 1 << 4,     /* a grid of keys */
  FRAME_CLUTTER_EDGES = 1 << 5,    /* table edge and a frame on the wall */
  FRAME_CLUTTER_GRATING = 1 << 6,  /* fine bars near the pitch of ruler ticks */
  FRAME_CLUTTER_ALL = (1 << 7) - 1
} FrameClutter;

/**
 * FrameScene:
 *
 * One frame to be made. frame_scene_init() fills in a plain, sensible one: 24 megapixels on 36 x 24 mm, 50 mm f/1.8 at
 * 2.5 m, a 300 mm ruler at 45 degrees.
 * @width_px: pixels along the sensor's long side
 * @height_px: and along its short side
 * @sensor_width_mm: the sensor's long side; pixels are square
 * @focal_mm: focal length
 * @f_number: f-number
 * @distance_mm: entrance pupil to target face
 * @delta_mm: depth of the sharp plane less that of the target face (+ = past the target)
 * @roll_deg: camera rolled clockwise
 * @shift_x_mm: the whole scene lies this far to the right of the axis
 * @shift_y_mm: the aligned reading lies this far above the axis
 * @turn_deg: how the camera was held: 0; 90 or 270 portrait; 180 upside down (clockwise turn that puts the stored
 *   pixels upright)
 * @tag_orientation: whether the Exif orientation says so (else it says 1)
 * @k1: radial distortion: r' = r (1 + k1 (r / half diagonal)^2)
 * @softness_px: sigma of the common Gaussian softness of lens and sensor, pixels
 * @aberration_px: transverse spherical aberration of the aperture's edge, pixels; the truth stays the plane of least
 *   rms blur
 * @shake_px: length of a straight smear
 * @shake_deg: its direction, counter-clockwise from the picture's horizontal
 * @angle_deg: angle between ruler and optical axis
 * @aligned_mm: the reading level with the target's face
 * @toward: readings grow toward the camera (else away from it)
 * @far_down: the far end lies lower than the near end
 * @length_mm: of the graduation
 * @ruler_width_mm: of the strip
 * @scale: graduation
 * @material: look
 * @edge: where the ticks start
 * @tick_contrast: 1 = as printed, less = fainter
 * @numerals: whether there are any
 * @scratches: number of scratches over the ruler
 * @blob: something like a finger lies over the tick edge
 * @blob_mm: at this reading
 * @card: whether there is a target card
 * @own_target: the printed target stands in the place of ruler and card: its far end up, its zero at @aligned_mm
 * @own_card_up_mm: its card stands this much too high
 * @background: its linear level, 0 to 1
 * @clutter: #FrameClutter
 * @exposure: factor on all light; above about 1.4 a white ruler clips
 * @uneven: light falls off by this share from one side of the scene to the other
 * @uneven_deg: toward this direction
 * @veil: linear light added everywhere
 * @glare: linear light added by a bright spot on the ruler
 * @glare_mm: the reading it is centred on
 * @iso: for noise and metadata
 * @noise: whether there is any
 * @noise_everywhere: else it fades away from the scene, to keep the file small
 * @bayer: sample through a colour mosaic and interpolate
 * @sharpening: amount of unsharp masking in the camera (0.5 is ordinary, 1.5 strong)
 * @sharpening_px: its radius (sigma)
 * @quality: JPEG quality
 * @subsampling: 444, 422 or 420
 * @compact: tables of the JPEG fitted to the picture: a smaller file, the same pixels
 * @seed: of noise, grain, scratches and clutter
 * @write_exif: whether there is metadata at all
 * @write_lens: whether focal length and f-number are in it
 * @exif_focal_mm: focal length as recorded; 0 = @focal_mm
 * @exif_f_number: f-number as recorded; 0 = @f_number
 * @plane_unit_cm: focal plane resolution per cm (else per inch)
 * @thumbnail: whether a small picture is embedded
 */
typedef struct
{
  int width_px;
  int height_px;
  double sensor_width_mm;
  double focal_mm;
  double f_number;
  double distance_mm;
  double delta_mm;
  double roll_deg;
  double shift_x_mm;
  double shift_y_mm;
  int turn_deg;
  gboolean tag_orientation;
  double k1;
  double softness_px;
  double aberration_px;
  double shake_px;
  double shake_deg;

  gboolean ruler;
  double angle_deg;
  double aligned_mm;
  gboolean toward;
  gboolean far_down;
  double length_mm;
  double ruler_width_mm;
  FrameScale scale;
  FrameMaterial material;
  FrameEdge edge;
  double tick_contrast;
  gboolean numerals;
  int scratches;
  gboolean blob;
  double blob_mm;
  gboolean card;
  gboolean own_target;
  double own_card_up_mm;

  double background;
  guint clutter;
  double exposure;
  double uneven;
  double uneven_deg;
  double veil;
  double glare;
  double glare_mm;

  int iso;
  gboolean noise;
  gboolean noise_everywhere;
  gboolean bayer;
  double sharpening;
  double sharpening_px;
  int quality;
  int subsampling;
  gboolean compact;
  guint32 seed;

  gboolean write_exif;
  gboolean write_lens;
  double exif_focal_mm;
  double exif_f_number;
  gboolean plane_unit_cm;
  gboolean thumbnail;
  double exposure_s;
  const char *make;
  const char *model;
  const char *body_serial;
  const char *lens_model;
  const char *lens_serial;
  const char *taken;  /* "YYYY:MM:DD HH:MM:SS" */
  const char *subsec; /* "38" */
} FrameScene;

typedef enum
{
  FRAME_ERROR_SCENE, /* values that make no picture */
  FRAME_ERROR_WRITE  /* the file could not be written */
} FrameError;

#define FRAME_ERROR (frame_error_quark ())
GQuark frame_error_quark (void);

void     frame_scene_init      (FrameScene *scene);
gboolean frame_scene_check     (const FrameScene *scene, GError **error);
double   frame_scene_pitch_mm  (const FrameScene *scene);
void     frame_scene_canvas    (const FrameScene *scene, int *width, int *height);
void     frame_scene_on_edge   (const FrameScene *scene, double reading_mm, double xyz[3]);
double   frame_scene_edge_x_mm (const FrameScene *scene);
double   frame_scene_sharp_mm  (const FrameScene *scene);

G_END_DECLS
