/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-advice.h"

static const char *const action_names[] = {
  [SHIM_ADVICE_START] = "start",
  [SHIM_ADVICE_MORE_FRAMES] = "more-frames",
  [SHIM_ADVICE_TRY] = "try",
  [SHIM_ADVICE_ACCEPT] = "accept",
  [SHIM_ADVICE_CHECK_SETUP] = "check-setup",
  [SHIM_ADVICE_SERVICE] = "service",
};

static const char *const reason_names[] = {
  [SHIM_REASON_FIRST_ROUND] = "first-round",
  [SHIM_REASON_NO_COUNTED_FRAME] = "no-counted-frame",
  [SHIM_REASON_COARSE_STEP] = "coarse-step",
  [SHIM_REASON_LINE] = "line",
  [SHIM_REASON_SPREAD] = "spread",
  [SHIM_REASON_SCATTER] = "scatter",
  [SHIM_REASON_NOT_PROVEN] = "not-proven",
  [SHIM_REASON_INSIDE] = "inside",
  [SHIM_REASON_BEST_THERE_IS] = "best-there-is",
  [SHIM_REASON_COMMON_PART] = "common-part",
  [SHIM_REASON_NO_RESPONSE] = "no-response",
  [SHIM_REASON_WRONG_WAY] = "wrong-way",
  [SHIM_REASON_OUT_OF_RANGE] = "out-of-range",
};

const char *
shim_advice_action_to_name (ShimAdviceAction action)
{
  g_return_val_if_fail ((guint) action < G_N_ELEMENTS (action_names), "start");

  return action_names[action];
}

const char *
shim_advice_reason_to_name (ShimAdviceReason reason)
{
  g_return_val_if_fail ((guint) reason < G_N_ELEMENTS (reason_names), "first-round");

  return reason_names[reason];
}

/* A length with as many digits as its standard error leaves sense. */
static char *
say_mm (double value_mm, double se_mm)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  return g_strdup (g_ascii_formatd (text, sizeof text, se_mm >= 2.0 ? "%.0f" : "%.1f", value_mm));
}

/* With the minus sign that stands everywhere else. */
static char *
say_setting (int setting)
{
  return setting == 0 ? g_strdup ("0") : g_strdup_printf ("%s%u", setting < 0 ? "−" : "+", (guint) ABS (setting));
}

static char *
say_frames (guint n_frames)
{
  return g_strdup_printf (n_frames == 1 ? "%u frame" : "%u frames", n_frames);
}

/* "12.3 ± 1.1 mm past the target" */
static char *
say_offset (const ShimAdvice *self)
{
  g_autofree char *size = say_mm (fabs (self->offset_mm), self->se_mm);
  g_autofree char *error = NULL;
  const char *side = self->offset_mm >= 0.0 ? "past the target" : "in front of the target";

  if (!isfinite (self->offset_mm))
    return g_strdup ("not known");
  if (!isfinite (self->se_mm))
    return g_strdup_printf ("%s mm %s (standard error not known)", size, side);
  error = say_mm (self->se_mm, self->se_mm);
  return g_strdup_printf ("%s ± %s mm %s", size, error, side);
}

static char *
say_action (const ShimAdvice *self)
{
  g_autofree char *setting = say_setting (self->setting);
  g_autofree char *frames = say_frames (self->n_frames);

  switch (self->action)
    {
    case SHIM_ADVICE_START:
      return g_strdup_printf ("Take %s at setting %s.", frames, setting);
    case SHIM_ADVICE_MORE_FRAMES:
      return g_strdup_printf ("Stay at setting %s and take %s more.", setting, frames);
    case SHIM_ADVICE_TRY:
      return g_strdup_printf ("Key in setting %s and take %s.", setting, frames);
    case SHIM_ADVICE_ACCEPT:
      return g_strdup_printf ("Accept setting %s.", setting);
    case SHIM_ADVICE_CHECK_SETUP:
      return g_strdup ("Stop and check the set-up.");
    case SHIM_ADVICE_SERVICE:
    default:
      return g_strdup ("This pair cannot be tuned by a setting.");
    }
}

static char *
say_inside (const ShimAdvice *self, const char *offset, const char *tolerance)
{
  g_autofree char *better = NULL;
  const int nearest =
      isfinite (self->wanted_setting) ? (int) lround (CLAMP (self->wanted_setting, -1e6, 1e6)) : self->setting;

  if (nearest == self->setting)
    return g_strdup_printf ("The offset is %s, inside the tolerance of %s mm with %.0f %% certainty.", offset,
                            tolerance, floor (100.0 * MIN (self->chance_inside, 0.99)));
  better = say_setting (nearest);
  return g_strdup_printf (
      "The offset is %s, inside the tolerance of %s mm with %.0f %% certainty; by the line, setting %s "
      "would come nearer still.",
      offset, tolerance, floor (100.0 * MIN (self->chance_inside, 0.99)), better);
}

static char *
say_reason (const ShimAdvice *self)
{
  g_autofree char *offset = say_offset (self);
  g_autofree char *tolerance = say_mm (self->tolerance_mm, self->tolerance_mm >= 20.0 ? 2.0 : 0.0);

  switch (self->reason)
    {
    case SHIM_REASON_FIRST_ROUND:
      return g_strdup ("Nothing has been measured yet; refocus before every frame.");
    case SHIM_REASON_NO_COUNTED_FRAME:
      return g_strdup ("None of the frames there counts: each was refused or left out.");
    case SHIM_REASON_COARSE_STEP:
      return g_strdup_printf (
          "So far one setting is known, outside the tolerance of %s mm; a coarse step that way tells how "
          "far a step goes.",
          tolerance);
    case SHIM_REASON_LINE:
      return g_strdup_printf ("It is the best whole setting by the line, which puts the offset at %s.", offset);
    case SHIM_REASON_SPREAD:
      return g_strdup (
          "The offset does not follow the setting clearly yet; settings far apart tell more than more frames.");
    case SHIM_REASON_SCATTER:
      return g_strdup_printf (
          "The offset is %s; the frames scatter too much to say whether that is inside the tolerance of %s mm.",
          offset, tolerance);
    case SHIM_REASON_NOT_PROVEN:
      return g_strdup_printf ("The offset is %s, but from too few frames to be proof.", offset);
    case SHIM_REASON_INSIDE:
      return say_inside (self, offset, tolerance);
    case SHIM_REASON_BEST_THERE_IS:
      return g_strdup_printf (
          "The offset is %s. That is not proven to be inside the tolerance of %s mm, but no other whole "
          "setting is likely to do better.",
          offset, tolerance);
    case SHIM_REASON_COMMON_PART:
      return g_strdup_printf (
          "The offset is %s. More frames cannot prove that it is inside the tolerance of %s mm: the doubt "
          "lies in the set-up. Take a reference round, focused by contrast on the sensor itself.",
          offset, tolerance);
    case SHIM_REASON_NO_RESPONSE:
      return g_strdup (
          "The offset does not follow the setting. See that the setting was keyed in and is switched on, and that "
          "the frames were focused by the sensor that it acts on.");
    case SHIM_REASON_WRONG_WAY:
      return g_strdup ("The offset runs against the way in which this body is recorded to count. See whether settings "
                       "were mixed up; if not, change the record of the body.");
    case SHIM_REASON_OUT_OF_RANGE:
    default:
      return g_strdup_printf (
          "At the end of the range the offset is still %s, with a tolerance of %s mm. See the maker's manual; "
          "the pair belongs in the hands of a qualified technician.",
          offset, tolerance);
    }
}

char *
shim_advice_to_sentence (const ShimAdvice *self)
{
  g_autofree char *action = NULL;
  g_autofree char *reason = NULL;

  g_return_val_if_fail (self != NULL, NULL);

  action = say_action (self);
  reason = say_reason (self);
  return g_strdup_printf ("%s %s", action, reason);
}
