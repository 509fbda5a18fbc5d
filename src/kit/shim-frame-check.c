/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "shim-format.h"
#include "shim-frame-check.h"
#include "shim-kit-error.h"
#include "shim-lens-reach.h"

/* Focal lengths in metadata are rounded, and a zoom ring cannot be set to better than this. */
#define FOCAL_SHARE 0.05

/* A third of a stop is a ratio of f-numbers of 2^(1/6) = 1.12; less than that is rounding. */
#define APERTURE_SHARE 0.12

/* On a steady stand with the shutter released by cable, exposures up to this long are common; longer ones feel every step on the
 * floor. Common practice, no source. */
#define SLOW_SHUTTER_S 0.5

static gboolean
same_serial (const char *a, const char *b)
{
  g_autofree char *left = g_strstrip (g_strdup (a));
  g_autofree char *right = g_strstrip (g_strdup (b));

  return g_ascii_strcasecmp (left, right) == 0;
}

static gboolean
check_serial (const char *seen, const char *known, const char *message, const char *label, GError **error)
{
  if (seen == NULL || known == NULL || same_serial (seen, known))
    return TRUE;
  g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_CONFLICT, message, seen, label, known);
  return FALSE;
}

gboolean
shim_frame_check_serials (const ShimFrame *frame, const ShimBody *body, const ShimLens *lens, GError **error)
{
  g_return_val_if_fail (frame != NULL && body != NULL && lens != NULL, FALSE);

  return check_serial (frame->body_serial, body->serial,
                       _ ("The photograph was taken with the body of serial number %s, but %s has %s. "
                          "Test the pair that it shows, or say that it is to be taken in spite of this."),
                       body->label, error)
         && check_serial (frame->lens_serial, lens->serial,
                          _ ("The photograph was taken with the lens of serial number %s, but %s has %s. "
                             "Test the pair that it shows, or say that it is to be taken in spite of this."),
                          lens->label, error);
}

static gboolean
differs (double a, double b, double share)
{
  return isfinite (a) && isfinite (b) && a > 0.0 && b > 0.0 && fabs (log (a / b)) > log1p (share);
}

static gboolean
other_model (const char *seen, const char *known)
{
  g_autofree char *left = NULL;
  g_autofree char *right = NULL;

  if (seen == NULL || known == NULL)
    return FALSE;
  left = g_utf8_casefold (seen, -1);
  right = g_utf8_casefold (known, -1);
  /* Makers write their own name before the model or leave it out. */
  return strstr (left, right) == NULL && strstr (right, left) == NULL;
}

static double
factor_of (const ShimConverter *converter)
{
  return converter != NULL && isfinite (converter->factor) ? converter->factor : 1.0;
}

static void
add_focal_doubt (GStrvBuilder *doubts, const ShimFrame *frame, const ShimLens *lens, const ShimConverter *converter,
                 const ShimTest *test)
{
  double factor = factor_of (converter);
  double longest = shim_lens_longest_mm (lens);
  g_autofree char *sentence = NULL;

  /* Some cameras count the converter in, some do not: either is accepted. */
  if (test != NULL && differs (frame->focal_mm, test->focal_mm, FOCAL_SHARE)
      && differs (frame->focal_mm * factor, test->focal_mm, FOCAL_SHARE))
    sentence = g_strdup_printf (_ ("Taken at %.4g mm, but the test is for %.4g mm."), frame->focal_mm, test->focal_mm);
  else if (isfinite (frame->focal_mm)
           && (frame->focal_mm < lens->focal_min_mm / (1.0 + FOCAL_SHARE)
               || frame->focal_mm > longest * factor * (1.0 + FOCAL_SHARE)))
    sentence = g_strdup_printf (_ ("Taken at %.4g mm, which %s does not have."), frame->focal_mm, lens->label);
  if (sentence != NULL)
    g_strv_builder_add (doubts, sentence);
}

static void
add_aperture_doubt (GStrvBuilder *doubts, const ShimFrame *frame, const ShimTest *test)
{
  g_autofree char *sentence = NULL;

  if (test == NULL || !differs (frame->f_number, test->f_number, APERTURE_SHARE))
    return;
  if (frame->f_number > test->f_number)
    sentence = g_strdup_printf (_ ("Stopped down to f/%.3g: the test is for f/%.3g, where an error shows best."),
                                frame->f_number, test->f_number);
  else
    sentence = g_strdup_printf (_ ("Taken at f/%.3g, but the test is for f/%.3g."), frame->f_number, test->f_number);
  g_strv_builder_add (doubts, sentence);
}

static void
add_adjustment_doubt (GStrvBuilder *doubts, const ShimFrame *frame, gint64 setting)
{
  g_autofree char *sentence = NULL, *used = NULL, *wanted = NULL;

  if (setting == SHIM_NO_INT || frame->adjustment == SHIM_NO_INT || frame->adjustment == setting)
    return;
  used = shim_format_setting (frame->adjustment);
  wanted = shim_format_setting (setting);
  sentence = g_strdup_printf (_ ("The camera wrote that it used the setting %s; the round is for %s."), used, wanted);
  g_strv_builder_add (doubts, sentence);
}

static void
add_model_doubt (GStrvBuilder *doubts, const ShimFrame *frame, const ShimBody *body, const ShimLens *lens)
{
  g_autofree char *sentence = NULL;

  /* A serial that fits settles it. */
  if (frame->body_serial == NULL && other_model (frame->model, body->model))
    sentence = g_strdup_printf (_ ("Taken with a %s, but %s is a %s."), frame->model, body->label, body->model);
  else if (frame->lens_serial == NULL && other_model (frame->lens_model, lens->model))
    sentence = g_strdup_printf (_ ("Taken with a %s, but %s is a %s."), frame->lens_model, lens->label, lens->model);
  if (sentence != NULL)
    g_strv_builder_add (doubts, sentence);
}

char **
shim_frame_find_doubts (const ShimFrame *frame, const ShimBody *body, const ShimLens *lens, const ShimConverter *converter,
                        const ShimTest *test, gint64 setting)
{
  g_autoptr (GStrvBuilder) doubts = g_strv_builder_new ();

  g_return_val_if_fail (frame != NULL && body != NULL && lens != NULL, NULL);

  add_model_doubt (doubts, frame, body, lens);
  add_focal_doubt (doubts, frame, lens, converter, test);
  add_aperture_doubt (doubts, frame, test);
  add_adjustment_doubt (doubts, frame, setting);
  if (isfinite (frame->exposure_s) && frame->exposure_s > SLOW_SHUTTER_S)
    {
      g_autofree char *sentence = g_strdup_printf (_ ("Exposed for %.2g s: more light would keep shake out."), frame->exposure_s);

      g_strv_builder_add (doubts, sentence);
    }
  return g_strv_builder_end (doubts);
}
