/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-settings.h"

/* Settings are a convenience: without the installed schema (a bare build folder) the window works with the usual values. */

#define USUAL_SHARE 0.1
#define USUAL_DAYS 365

/**
 * shim_settings_get:
 *
 * Returns: (transfer none) (nullable): the user's preferences and the state of the window
 */
GSettings *
shim_settings_get (void)
{
  static GSettings *settings;
  static gboolean asked;
  GSettingsSchemaSource *source = g_settings_schema_source_get_default ();

  if (!asked)
    {
      g_autoptr (GSettingsSchema) schema
          = source != NULL ? g_settings_schema_source_lookup (source, SHIM_APP_ID, TRUE) : NULL;

      settings = schema != NULL ? g_settings_new_full (schema, NULL, NULL) : NULL;
      asked = TRUE;
    }
  return settings;
}

/**
 * shim_settings_tolerance_share:
 *
 * Returns: the largest offset accepted, as a share of the depth of field
 */
double
shim_settings_tolerance_share (void)
{
  GSettings *settings = shim_settings_get ();

  return settings != NULL ? g_settings_get_double (settings, "tolerance-share") : USUAL_SHARE;
}

/**
 * shim_settings_due_after_days:
 *
 * Returns: how old a test may be before its pair is due; 0 = any age
 */
int
shim_settings_due_after_days (void)
{
  GSettings *settings = shim_settings_get ();

  return settings != NULL ? g_settings_get_int (settings, "due-after-days") : USUAL_DAYS;
}

/**
 * shim_settings_paper:
 *
 * Returns: the paper that documents are written for
 */
ShimPaper
shim_settings_paper (void)
{
  GSettings *settings = shim_settings_get ();
  g_autofree char *name = settings != NULL ? g_settings_get_string (settings, "paper") : NULL;
  ShimPaper paper = SHIM_PAPER_A4;

  shim_paper_from_name (name, &paper);
  return paper;
}
