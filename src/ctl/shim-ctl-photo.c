/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>
#include <stdio.h>

#include "shim-ctl-request.h"
#include "shim-ctl.h"
#include "shim-format.h"
#include "shim-frame-carried.h"
#include "shim-frame-measure.h"
#include "shim-json.h"
#include "shim-measurement-json.h"
#include "shim-metadata.h"

/* Commands on photographs: they need no register. */

static char *
depth_text (const ShimMeasurement *measurement)
{
  g_autofree char *depth = shim_format_number (measurement->depth_of_field_mm, 0);

  return isfinite (measurement->depth_of_field_mm) ? g_strdup_printf (_ ("depth of field %s mm"), depth)
                                                   : g_strdup (_ ("depth of field not known"));
}

/* What else there is to know where a frame was refused. */
static void
print_way_out (const ShimMeasurement *measurement, const ShimMetadata *metadata)
{
  if (measurement->refusal == SHIM_REFUSAL_NO_TARGET)
    g_print (_ ("  note: %s\n"), _ ("--target X,Y shows it: any point at that height of the upright picture, in pixels."));
  else if (metadata != NULL && shim_orientation_swaps_axes (metadata->orientation))
    g_print (_ ("  note: %s\n"), _ ("The file holds this picture on its side; places are pixels of the picture as it stands upright."));
}

static void
print_measurement (const char *file, const ShimMeasurement *measurement, const ShimMetadata *metadata)
{
  g_autofree char *offset = NULL, *depth = NULL, *distance = NULL, *scale = NULL, *angle = NULL, *carried = NULL;

  if (measurement->refusal != SHIM_REFUSAL_NONE)
    {
      g_print (_ ("%s: refused (%s). %s\n"), file, shim_refusal_to_name (measurement->refusal), measurement->reason);
      print_way_out (measurement, metadata);
      return;
    }
  offset = shim_format_signed_error (measurement->offset_mm, measurement->offset_se_mm, "mm");
  depth = depth_text (measurement);
  distance = shim_format_distance (measurement->distance_mm);
  scale = shim_format_number (measurement->mm_per_px, 3);
  angle = shim_format_number (measurement->angle_deg, 1);
  g_print (_ ("%s: offset %s (%s), %s, distance %s, %s mm/px\n"), file, offset,
           measurement->offset_mm > 0.0 ? _ ("past the target") : _ ("in front of the target"), depth, distance, scale);
  if (!isfinite (measurement->depth_of_field_mm))
    g_print (_ ("  note: %s\n"), _ ("Focal length, f-number or the sensor's size is not known, so the growth of the blur could not be "
                                    "checked."));
  carried = shim_frame_carried_sentence (measurement);
  if (carried != NULL)
    g_print (_ ("  note: %s\n"), carried);
  if (measurement->own_target)
    g_print (_ ("  the printed target was recognised: target line, strip and angle (%s°) are its own\n"), angle);
  for (guint i = 0; measurement->warnings != NULL && measurement->warnings[i] != NULL; i++)
    g_print (_ ("  note: %s\n"), measurement->warnings[i]);
}

static void
progress_cb (guint index, guint n_done, guint n_files, const ShimFrameResult *result, gpointer user_data)
{
  g_printerr ("\r%u/%u", n_done, n_files);
  if (n_done == n_files)
    g_printerr ("\n");
}

static int
measure_files (ShimCtl *ctl, const ShimMeasureRequest *request, gboolean carry, const char *const *files)
{
  GPtrArray *(*measure) (const char *const *, const ShimMeasureRequest *, ShimFrameProgressFunc, gpointer, GCancellable *) =
    carry ? shim_frame_measure_series : shim_frame_measure_many;
  g_autoptr (GPtrArray) results = NULL;
  g_autoptr (JsonNode) node = json_node_new (JSON_NODE_ARRAY);
  g_autoptr (JsonArray) array = json_array_new ();
  gboolean show_progress = !ctl->json && files[1] != NULL && g_log_writer_supports_color (fileno (stderr));
  int status = SHIM_CTL_OK;

  results = measure (files, request, show_progress ? progress_cb : NULL, NULL, NULL);
  for (guint i = 0; i < results->len; i++)
    {
      const ShimFrameResult *result = results->pdata[i];

      if (result->measurement->refusal != SHIM_REFUSAL_NONE)
        status = SHIM_CTL_FAILED;
      if (ctl->json)
        json_array_add_object_element (array, shim_measurement_to_json (result->measurement, files[i]));
      else
        print_measurement (files[i], result->measurement, result->metadata);
    }
  if (ctl->json)
    {
      json_node_set_array (node, array);
      shim_ctl_print_json (node);
    }
  return status;
}

static int
run_measure (ShimCtl *ctl, int argc, char **argv)
{
  ShimCtlRequest options = { 0 };
  gboolean carry = FALSE;
  const GOptionEntry entries[] = {
    SHIM_CTL_REQUEST_ENTRIES (options),
    { "carry", 0, 0, G_OPTION_ARG_NONE, &carry, N_ ("The marks are those of the first file; carry them over to the others"), NULL },
    { NULL },
  };
  ShimMeasureRequest request;
  int status = SHIM_CTL_USAGE;

  if (shim_ctl_parse (ctl, entries, &argc, &argv) && shim_ctl_want_args (argv, argc, 1, -1)
      && shim_ctl_request_parse (&options, &request))
    status = measure_files (ctl, &request, carry, (const char *const *) argv + 1);
  shim_ctl_request_clear (&options);
  return status;
}

/* A file that cannot be read has no metadata, but it has its place in the list. */
static void
add_info (JsonBuilder *builder, const char *file, const ShimMetadata *metadata, const GError *error)
{
  g_autoptr (ShimMetadata) nothing = shim_metadata_new ();
  const ShimMetadata *m = metadata != NULL ? metadata : nothing;

  json_builder_begin_object (builder);
  shim_json_add_text (builder, "file", file);
  shim_json_add_text (builder, "make", m->make);
  shim_json_add_text (builder, "model", m->model);
  shim_json_add_text (builder, "body_serial", m->body_serial);
  shim_json_add_text (builder, "lens_make", m->lens_make);
  shim_json_add_text (builder, "lens_model", m->lens_model);
  shim_json_add_text (builder, "lens_serial", m->lens_serial);
  shim_json_add_real (builder, "focal_length_mm", m->focal_length_mm);
  shim_json_add_real (builder, "f_number", m->f_number);
  shim_json_add_real (builder, "exposure_s", m->exposure_s);
  shim_json_add_real (builder, "iso", m->iso);
  shim_json_add_text (builder, "taken", m->taken);
  shim_json_add_real (builder, "distance_m", m->distance_m);
  shim_json_add_int (builder, "width_px", m->width_px > 0 ? m->width_px : SHIM_NO_INT);
  shim_json_add_int (builder, "height_px", m->height_px > 0 ? m->height_px : SHIM_NO_INT);
  shim_json_add_int (builder, "orientation", metadata != NULL ? (gint64) m->orientation : SHIM_NO_INT);
  shim_json_add_real (builder, "pixel_pitch_um", m->pixel_pitch_mm * 1000.0);
  shim_json_add_real (builder, "adjustment", m->adjustment);
  shim_json_add_text (builder, "error", error != NULL ? error->message : NULL);
  json_builder_end_object (builder);
}

static void
print_line (const char *name, char *value)
{
  g_print ("  %-18s %s\n", name, value != NULL ? value : "–");
  g_free (value);
}

static char *
serial_text (const char *model, const char *serial)
{
  if (model == NULL && serial == NULL)
    return NULL;
  return serial != NULL ? g_strdup_printf ("%s, %s %s", model != NULL ? model : "–", _ ("serial"), serial) : g_strdup (model);
}

static void
print_info (const char *file, const ShimMetadata *m)
{
  g_autofree char *distance = shim_format_distance (m->distance_m * 1000.0);

  g_print ("%s\n", file);
  print_line (_ ("Maker"), g_strdup (m->make));
  print_line (_ ("Body"), serial_text (m->model, m->body_serial));
  print_line (_ ("Lens"), serial_text (m->lens_model, m->lens_serial));
  print_line (_ ("Focal length"), shim_format_focal (m->focal_length_mm, NAN));
  print_line (_ ("Aperture"), shim_format_f_number (m->f_number));
  print_line (_ ("Exposure"), shim_format_exposure (m->exposure_s));
  print_line (_ ("ISO"), shim_format_number (m->iso, 0));
  print_line (_ ("Taken"), g_strdup (m->taken));
  print_line (_ ("Distance"), g_strdup (distance));
  print_line (_ ("Size"), m->width_px > 0 ? g_strdup_printf ("%d × %d px", m->width_px, m->height_px) : NULL);
  print_line (_ ("Adjustment"), isnan (m->adjustment) ? NULL : shim_format_signed (m->adjustment, 0));
}

static int
run_info (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  int status = SHIM_CTL_OK;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, -1))
    return SHIM_CTL_USAGE;
  json_builder_begin_array (builder);
  for (int i = 1; i < argc; i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (ShimMetadata) metadata = shim_metadata_read (argv[i], &error);

      if (metadata == NULL)
        status = shim_ctl_fail (error);
      if (ctl->json)
        add_info (builder, argv[i], metadata, error);
      else if (metadata != NULL)
        print_info (argv[i], metadata);
    }
  json_builder_end_array (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  return status;
}

const ShimCtlCommand shim_ctl_photo_commands[] = {
  { "measure",
    "[--target X,Y] [--strip X1,Y1,X2,Y2,WIDTH] [--tick MM] [--angle DEG] [--far up|down|left|right] [--focal MM] "
    "[--f-number N] [--distance MM] [--carry] FILE…",
    N_ ("Measure the offset on photographs of a ruler"), run_measure },
  { "info", "FILE…", N_ ("Print what photographs say about themselves"), run_info },
  { NULL, NULL, NULL, NULL },
};
