/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "shim-ops-propose.h"

/**
 * shim_proposal_free:
 * @self: (nullable): a proposal
 */
void
shim_proposal_free (ShimProposal *self)
{
  if (self == NULL)
    return;
  g_clear_object (&self->body);
  g_clear_object (&self->lens);
  g_strfreev (self->doubts);
  g_free (self);
}

static gboolean
same_text (const char *a, const char *b)
{
  g_autofree char *left = a != NULL ? g_utf8_casefold (a, -1) : NULL;
  g_autofree char *right = b != NULL ? g_utf8_casefold (b, -1) : NULL;

  return left != NULL && right != NULL && g_str_equal (left, right);
}

/* "ORRIN CORPORATION" is "Orrin" to its users. */
static char *
tidy_maker (const char *make)
{
  const char *const tails[] = { "corporation", "corp.", "corp",    "co., ltd.", "co.,ltd.",
                                "ltd.",        "inc.",  "company", "optical" };
  g_autofree char *text = NULL;
  gboolean shorter = TRUE, has_lower = FALSE;

  if (make == NULL)
    return NULL;
  text = g_strdup (make);
  while (shorter)
    {
      g_autofree char *folded = g_utf8_casefold (g_strchomp (text), -1);

      shorter = FALSE;
      for (guint i = 0; i < G_N_ELEMENTS (tails) && !shorter; i++)
        {
          g_autofree char *tail = g_strconcat (" ", tails[i], NULL);

          if (strlen (folded) == strlen (text) && g_str_has_suffix (folded, tail))
            {
              text[strlen (text) - strlen (tail)] = '\0';
              shorter = TRUE;
            }
        }
    }
  for (const char *p = text; *p != '\0'; p = g_utf8_next_char (p))
    has_lower |= g_unichar_islower (g_utf8_get_char (p));
  if (!has_lower && g_utf8_strlen (text, -1) > 3)
    {
      const char *rest = g_utf8_next_char (text);
      g_autofree char *lower = g_utf8_strdown (rest, -1);
      g_autofree char *first = g_strndup (text, rest - text);

      return g_strconcat (first, lower, NULL);
    }
  return g_steal_pointer (&text);
}

/* (transfer full) (nullable): the one item of @type with this @field; NULL when there is none or more than one. */
static ShimRecord *
find_only (ShimRegister *reg, GType type, const char *field, const char *value)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) found = NULL;

  shim_query_add_filter (query, field, value);
  shim_query_set_window (query, 0, 2);
  found = shim_register_list (reg, type, query, NULL);
  return found != NULL && found->len == 1 ? g_object_ref (g_ptr_array_index (found, 0)) : NULL;
}

/* The item with this serial: of several, the one whose model agrees. */
static gboolean
find_by_serial (ShimRegister *reg, GType type, const char *serial, const char *model, ShimRecord **found,
                GError **error)
{
  g_autoptr (GPtrArray) items = NULL;

  *found = NULL;
  if (serial == NULL)
    return TRUE;
  items = shim_register_find_serial (reg, type, serial, error);
  if (items == NULL)
    return FALSE;
  for (guint i = 0; i < items->len && *found == NULL; i++)
    {
      const ShimField *field = shim_kind_find_field (shim_kind_for_type (type), "model");

      if (same_text (shim_record_get_text (g_ptr_array_index (items, i), field), model))
        *found = g_object_ref (g_ptr_array_index (items, i));
    }
  if (*found == NULL && items->len > 0)
    *found = g_object_ref (g_ptr_array_index (items, 0));
  return TRUE;
}

/* The mount that all bodies of a maker share, if they do. */
static char *
guess_mount (ShimRegister *reg, const char *maker)
{
  g_autoptr (ShimQuery) query = NULL;
  g_autoptr (GPtrArray) bodies = NULL;
  const char *mount = NULL;

  if (maker == NULL)
    return NULL;
  query = shim_query_new ();
  shim_query_add_filter (query, "maker", maker);
  bodies = shim_register_list (reg, SHIM_TYPE_BODY, query, NULL);
  for (guint i = 0; bodies != NULL && i < bodies->len; i++)
    {
      ShimBody *body = g_ptr_array_index (bodies, i);

      if (mount != NULL && g_strcmp0 (mount, body->mount) != 0)
        return NULL;
      mount = body->mount;
    }
  return g_strdup (mount);
}

static double
round_to (double value, double unit)
{
  return round (value / unit) * unit;
}

/* A photograph that was made smaller still shows the body's format, but pixels that are larger than any sensor has. */
static void
set_format (ShimBody *body, const ShimMetadata *metadata, GPtrArray *doubts)
{
  const ShimField *pitch = shim_kind_find_field (shim_kind_for_type (SHIM_TYPE_BODY), "pixel_pitch_um");
  const double pitch_um = round_to (metadata->pixel_pitch_mm * 1000.0, 0.01);

  g_object_set (body, "format-width-mm", round_to (MAX (metadata->width_px, metadata->height_px) * metadata->pixel_pitch_mm, 0.1),
                "format-height-mm", round_to (MIN (metadata->width_px, metadata->height_px) * metadata->pixel_pitch_mm, 0.1), NULL);
  if (pitch_um >= pitch->min && pitch_um <= pitch->max)
    g_object_set (body, "pixel-pitch-um", pitch_um, NULL);
  else
    g_ptr_array_add (doubts, g_strdup (_ ("The photograph was made smaller: it does not show the body's pixel pitch.")));
}

static ShimBody *
new_body (ShimRegister *reg, const ShimMetadata *metadata, GPtrArray *doubts)
{
  g_autofree char *maker = tidy_maker (metadata->make);
  g_autofree char *mount = guess_mount (reg, maker);
  const char *label = metadata->model != NULL ? metadata->model : metadata->body_serial;
  ShimBody *body = shim_body_new ();

  g_object_set (body, "label", label, "maker", maker, "model", metadata->model, "serial", metadata->body_serial,
                "mount", mount, NULL);
  if (isfinite (metadata->pixel_pitch_mm) && metadata->width_px > 0 && metadata->height_px > 0)
    set_format (body, metadata, doubts);
  else
    g_ptr_array_add (doubts,
                     g_strdup (_ ("The photograph does not say how large the body's image is: enter its format.")));
  if (metadata->pitch_source == SHIM_PITCH_EQUIVALENT)
    g_ptr_array_add (doubts, g_strdup (_ ("The image format was worked out from a rounded focal length: check it.")));
  if (mount == NULL)
    g_ptr_array_add (doubts, g_strdup (_ ("The photograph does not say which mount the body has: choose it.")));
  if (metadata->body_serial == NULL)
    g_ptr_array_add (doubts,
                     g_strdup (_ ("The photograph does not carry the body's serial number: read it off the body.")));
  g_ptr_array_add (doubts,
                   g_strdup (_ ("Range and slots of the body's fine adjustment are in its manual: enter them.")));
  return body;
}

static gboolean
propose_body (ShimRegister *reg, const ShimMetadata *metadata, ShimProposal *proposal, GPtrArray *doubts,
              GError **error)
{
  ShimRecord *found = NULL;

  if (metadata->body_serial == NULL && metadata->model == NULL)
    {
      g_ptr_array_add (doubts, g_strdup (_ ("The photograph does not say which body took it.")));
      return TRUE;
    }
  if (!find_by_serial (reg, SHIM_TYPE_BODY, metadata->body_serial, metadata->model, &found, error))
    return FALSE;
  if (found == NULL && metadata->body_serial == NULL)
    {
      found = find_only (reg, SHIM_TYPE_BODY, "model", metadata->model);
      if (found != NULL)
        g_ptr_array_add (
            doubts, g_strdup_printf (_ ("The body was recognised by its model alone, as “%s”: the photograph carries "
                                        "no serial number."),
                                     shim_ops_kit_item_name (found)));
    }
  proposal->body_is_known = found != NULL;
  proposal->body = found != NULL ? SHIM_BODY (found) : new_body (reg, metadata, doubts);
  if (found != NULL && metadata->model != NULL && proposal->body->model != NULL
      && !same_text (metadata->model, proposal->body->model))
    g_ptr_array_add (
        doubts,
        g_strdup_printf (_ ("The serial number belongs to “%s”, whose model is recorded as “%s”; the photograph "
                            "says “%s”."),
                         shim_ops_kit_item_name (found), proposal->body->model, metadata->model));
  return TRUE;
}

/* The first number pair of @pattern in @text; @second = @first when only one is there. */
static gboolean
find_numbers (const char *text, const char *pattern, double *first, double *second)
{
  g_autoptr (GRegex) regex = g_regex_new (pattern, G_REGEX_CASELESS, 0, NULL);
  g_autoptr (GMatchInfo) match = NULL;
  g_autofree char *one = NULL;
  g_autofree char *two = NULL;

  g_assert (regex != NULL);
  if (text == NULL || !g_regex_match (regex, text, 0, &match))
    return FALSE;
  one = g_match_info_fetch (match, 1);
  two = g_match_info_fetch (match, 2);
  *first = g_ascii_strtod (one, NULL);
  *second = two != NULL && *two != '\0' ? g_ascii_strtod (two, NULL) : *first;
  return *first > 0.0 && *second > 0.0;
}

#define NUMBER "([0-9]+(?:\\.[0-9]+)?)"

static ShimLens *
new_lens (const ShimMetadata *metadata, ShimBody *body, GPtrArray *doubts)
{
  g_autofree char *maker = tidy_maker (metadata->lens_make);
  const char *label = metadata->lens_model != NULL ? metadata->lens_model : metadata->lens_serial;
  ShimLens *lens = shim_lens_new ();
  double wide, tele;

  g_object_set (lens, "label", label, "maker", maker, "model", metadata->lens_model, "serial", metadata->lens_serial,
                "mount", body != NULL ? body->mount : NULL, NULL);
  if (find_numbers (metadata->lens_model, NUMBER "(?:\\s*-\\s*" NUMBER ")?\\s*mm", &wide, &tele))
    g_object_set (lens, "focal-min-mm", wide, "focal-max-mm", tele, NULL);
  else if (isfinite (metadata->focal_length_mm))
    {
      g_object_set (lens, "focal-min-mm", metadata->focal_length_mm, "focal-max-mm", metadata->focal_length_mm, NULL);
      g_ptr_array_add (
          doubts, g_strdup (_ ("The lens's focal range is not in the photograph, only the focal length it was taken "
                               "at: check whether it is a zoom.")));
    }
  if (find_numbers (metadata->lens_model, "\\b(?:f/?\\s*|1:)" NUMBER "(?:\\s*-\\s*" NUMBER ")?", &wide, &tele))
    g_object_set (lens, "aperture-wide", wide, "aperture-long", tele, NULL);
  if (metadata->lens_serial == NULL)
    g_ptr_array_add (doubts,
                     g_strdup (_ ("The photograph does not carry the lens's serial number: read it off the lens.")));
  if (body != NULL && body->mount != NULL)
    g_ptr_array_add (
        doubts,
        g_strdup_printf (_ ("The lens was taken to have the body's mount, %s: check it, an adapter may have been "
                            "between them."),
                         body->mount));
  return lens;
}

static gboolean
propose_lens (ShimRegister *reg, const ShimMetadata *metadata, ShimProposal *proposal, GPtrArray *doubts,
              GError **error)
{
  ShimRecord *found = NULL;

  if (metadata->lens_serial == NULL && metadata->lens_model == NULL)
    {
      g_ptr_array_add (doubts, g_strdup (_ ("The photograph does not say which lens was on the body.")));
      return TRUE;
    }
  if (!find_by_serial (reg, SHIM_TYPE_LENS, metadata->lens_serial, metadata->lens_model, &found, error))
    return FALSE;
  if (found == NULL && metadata->lens_serial == NULL)
    {
      found = find_only (reg, SHIM_TYPE_LENS, "model", metadata->lens_model);
      if (found != NULL)
        g_ptr_array_add (
            doubts, g_strdup_printf (_ ("The lens was recognised by its model alone, as “%s”: the photograph carries "
                                        "no serial number of it."),
                                     shim_ops_kit_item_name (found)));
    }
  proposal->lens_is_known = found != NULL;
  proposal->lens = found != NULL ? SHIM_LENS (found) : new_lens (metadata, proposal->body, doubts);
  return TRUE;
}

/**
 * shim_ops_kit_propose:
 * @reg: a register
 * @metadata: what a photograph says about itself
 * @error: a #ShimStoreError
 *
 * Recognises body and lens by their serials, or fills in new ones. Nothing is stored.
 *
 * Returns: (transfer full) (nullable): the proposal
 */
ShimProposal *
shim_ops_kit_propose (ShimRegister *reg, const ShimMetadata *metadata, GError **error)
{
  g_autoptr (ShimProposal) proposal = NULL;
  g_autoptr (GPtrArray) doubts = NULL;

  g_return_val_if_fail (reg != NULL, NULL);
  g_return_val_if_fail (metadata != NULL, NULL);

  proposal = g_new0 (ShimProposal, 1);
  doubts = g_ptr_array_new_with_free_func (g_free);
  if (!propose_body (reg, metadata, proposal, doubts, error)
      || !propose_lens (reg, metadata, proposal, doubts, error))
    return NULL;
  g_ptr_array_add (doubts, NULL);
  proposal->doubts = (char **) g_ptr_array_free (g_steal_pointer (&doubts), FALSE);
  return g_steal_pointer (&proposal);
}
