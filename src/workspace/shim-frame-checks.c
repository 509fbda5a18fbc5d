/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-format.h"
#include "shim-ops-frames.h"
#include "shim-ops-kit.h"
#include "shim-optics.h"

/* What a frame's metadata say against its test. Limits of the remarks are judgements. */
#define FOCAL_SLACK 0.05
#define STOPPED_DOWN 1.15
#define SLOW_S (1.0 / 30.0)
#define NOISY_ISO 3200.0
#define DIM_LX 100.0

static gboolean
differ (const char *a, const char *b)
{
  g_autofree char *left = a != NULL ? g_strstrip (g_strdup (a)) : NULL;
  g_autofree char *right = b != NULL ? g_strstrip (g_strdup (b)) : NULL;

  return left != NULL && right != NULL && g_strcmp0 (left, right) != 0;
}

static gboolean
differ_in_case_too (const char *a, const char *b)
{
  g_autofree char *left = a != NULL ? g_utf8_casefold (a, -1) : NULL;
  g_autofree char *right = b != NULL ? g_utf8_casefold (b, -1) : NULL;

  return differ (left, right);
}

static char **
to_strv (GPtrArray *sentences)
{
  g_ptr_array_add (sentences, NULL);
  return (char **) g_ptr_array_free (sentences, FALSE);
}

static void
check_focal (const ShimMetadata *metadata, const ShimTestSummary *test, GPtrArray *sentences)
{
  const double taken_mm = metadata->focal_length_mm, wanted_mm = test->test->focal_mm;
  g_autofree char *taken = NULL;
  g_autofree char *wanted = NULL;

  if (!isfinite (taken_mm) || fabs (taken_mm - wanted_mm) <= FOCAL_SLACK * wanted_mm)
    return;
  taken = shim_format_focal (taken_mm, taken_mm);
  wanted = shim_format_focal (wanted_mm, wanted_mm);
  g_ptr_array_add (sentences, g_strdup_printf (_ ("This frame was taken at %s, the test is for %s."), taken, wanted));
}

static void
check_setting (const ShimMetadata *metadata, ShimRound *meant_for, GPtrArray *sentences)
{
  g_autofree char *taken = NULL;
  g_autofree char *wanted = NULL;

  if (!isfinite (metadata->adjustment) || meant_for == NULL || meant_for->setting == SHIM_NO_INT
      || (gint64) round (metadata->adjustment) == meant_for->setting)
    return;
  taken = shim_format_setting ((gint64) round (metadata->adjustment));
  wanted = shim_format_setting (meant_for->setting);
  g_ptr_array_add (sentences, g_strdup_printf (_ ("This frame was taken at setting %s, the round is for %s."), taken, wanted));
}

/**
 * shim_ops_frames_contradictions:
 * @metadata: of a photograph
 * @test: the test it is meant for
 * @round: (nullable): the round it is meant for
 *
 * Returns: (transfer full) (array zero-terminated=1): a sentence for each point in which the photograph belongs elsewhere; empty when
 *   it does not
 */
char **
shim_ops_frames_contradictions (const ShimMetadata *metadata, const ShimTestSummary *test, ShimRound *round)
{
  GPtrArray *sentences;

  g_return_val_if_fail (metadata != NULL && test != NULL, NULL);

  sentences = g_ptr_array_new ();
  if (differ (metadata->body_serial, test->body->serial))
    g_ptr_array_add (sentences, g_strdup_printf (_ ("This frame was taken with another body: serial %s, the test is for %s."),
                                                 metadata->body_serial, test->body->serial));
  if (differ (metadata->lens_serial, test->lens->serial))
    g_ptr_array_add (sentences, g_strdup_printf (_ ("This frame was taken with another lens: serial %s, the test is for %s."),
                                                 metadata->lens_serial, test->lens->serial));
  check_focal (metadata, test, sentences);
  check_setting (metadata, round, sentences);
  return to_strv (sentences);
}

static void
remark_on_models (const ShimMetadata *metadata, const ShimTestSummary *test, GPtrArray *sentences)
{
  if (metadata->body_serial == NULL && differ_in_case_too (metadata->model, test->body->model))
    g_ptr_array_add (sentences, g_strdup_printf (_ ("The photograph says that the body is a “%s”; the test is for a “%s”."),
                                                 metadata->model, test->body->model));
  if (metadata->lens_serial == NULL && differ_in_case_too (metadata->lens_model, test->lens->model))
    g_ptr_array_add (sentences, g_strdup_printf (_ ("The photograph says that the lens is a “%s”; the test is for a “%s”."),
                                                 metadata->lens_model, test->lens->model));
}

static void
remark_on_light (const ShimMetadata *metadata, GPtrArray *sentences)
{
  const double lx = shim_optics_illuminance_lx (shim_optics_exposure_value (metadata->f_number, metadata->exposure_s, metadata->iso));

  if (metadata->exposure_s > SLOW_S)
    {
      g_autofree char *exposure = shim_format_exposure (metadata->exposure_s);

      g_ptr_array_add (sentences, g_strdup_printf (_ ("The shutter was slow, %s: use a firm stand and the self-timer, or more light."),
                                                   exposure));
    }
  if (metadata->iso > NOISY_ISO)
    g_ptr_array_add (sentences, g_strdup_printf (_ ("ISO %.0f is noisy: with more light the frame says more."), metadata->iso));
  if (lx < DIM_LX)
    g_ptr_array_add (sentences, g_strdup_printf (_ ("There was little light, about %.0f lx: autofocus scatters more."), lx));
}

/**
 * shim_ops_frames_remarks:
 * @metadata: of a photograph
 * @test: the test it is meant for
 *
 * Returns: (transfer full) (array zero-terminated=1): a sentence for each point that makes the frame worse than it could be, without
 *   forbidding it
 */
char **
shim_ops_frames_remarks (const ShimMetadata *metadata, const ShimTestSummary *test)
{
  GPtrArray *sentences;

  g_return_val_if_fail (metadata != NULL && test != NULL, NULL);

  sentences = g_ptr_array_new ();
  if (metadata->f_number > test->test->f_number * STOPPED_DOWN)
    {
      g_autofree char *taken = shim_format_f_number (metadata->f_number);
      g_autofree char *wanted = shim_format_f_number (test->test->f_number);

      g_ptr_array_add (sentences, g_strdup_printf (_ ("It was stopped down to %s: at %s an error shows more clearly."), taken, wanted));
    }
  remark_on_models (metadata, test, sentences);
  remark_on_light (metadata, sentences);
  return to_strv (sentences);
}
