/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-frame-check.h"
#include "shim-frame-doubts.h"
#include "shim-optics.h"

/* Judgements: from here on noise and scatter are worth a word. */
#define NOISY_ISO 3200.0
#define DIM_LX 100.0
/* Nobody drives the focus away and back in less. */
#define REFOCUS_S 1.0

static void
add_light_doubts (GStrvBuilder *doubts, const ShimFrame *frame)
{
  const double lx =
      shim_optics_illuminance_lx (shim_optics_exposure_value (frame->f_number, frame->exposure_s, frame->iso));

  if (frame->iso > NOISY_ISO)
    {
      g_autofree char *sentence =
          g_strdup_printf (_ ("ISO %.0f is noisy: with more light the frame says more."), frame->iso);

      g_strv_builder_add (doubts, sentence);
    }
  if (lx < DIM_LX)
    {
      g_autofree char *sentence =
          g_strdup_printf (_ ("There was little light, about %.0f lx: autofocus scatters more."), lx);

      g_strv_builder_add (doubts, sentence);
    }
}

/* Cameras write local time without a zone; for the time between two frames any zone does. */
static GDateTime *
taken_at (const ShimFrame *frame)
{
  g_autoptr (GTimeZone) zone = g_time_zone_new_utc ();

  return frame->taken != NULL ? g_date_time_new_from_iso8601 (frame->taken, zone) : NULL;
}

static void
add_refocus_doubt (GStrvBuilder *doubts, const ShimFrame *frame, const ShimFrame *before)
{
  g_autoptr (GDateTime) now = taken_at (frame);
  g_autoptr (GDateTime) then = before != NULL ? taken_at (before) : NULL;

  if (now == NULL || then == NULL || ABS (g_date_time_difference (now, then)) >= REFOCUS_S * G_TIME_SPAN_SECOND)
    return;
  g_strv_builder_add (
      doubts,
      _ ("It was taken within a second of the frame before: drive the focus away between frames, so that each one "
         "is focused anew."));
}

/*
 * (transfer full): sentences about what does not forbid the frame but should be looked at; empty when all is well.
 * @before is the frame before it in its round, if any; @setting that of the round, %SHIM_NO_INT for a reference
 * round.
 */
char **
_shim_frame_doubts (ShimFrame *frame, ShimFrame *before, const ShimTestSummary *test, gint64 setting)
{
  g_autoptr (GStrvBuilder) doubts = g_strv_builder_new ();
  g_auto (GStrv) of_kit =
      shim_frame_find_doubts (frame, test->body, test->lens, test->converter, test->test, setting);

  g_strv_builder_addv (doubts, (const char **) of_kit);
  add_light_doubts (doubts, frame);
  add_refocus_doubt (doubts, frame, before);
  return g_strv_builder_end (doubts);
}
