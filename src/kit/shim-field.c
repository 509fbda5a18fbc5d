/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "shim-field.h"

/**
 * shim_kind_find_field:
 * @kind: a kind
 * @name: a field's name, with '_' or '-'
 *
 * Returns: (nullable) (transfer none): the field
 */
const ShimField *
shim_kind_find_field (const ShimKind *kind, const char *name)
{
  g_return_val_if_fail (kind != NULL, NULL);
  g_return_val_if_fail (name != NULL, NULL);

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const char *a = kind->fields[i].name, *b = name;

      while (*a != '\0' && (*a == *b || (*a == '_' && *b == '-')))
        a++, b++;
      if (*a == '\0' && *b == '\0')
        return &kind->fields[i];
    }
  return NULL;
}

/* Letters and digits only, lower case: "Serial no." and "serial_no" are one heading. */
static char *
squeeze (const char *heading)
{
  g_autofree char *folded = g_utf8_casefold (heading, -1);
  GString *out = g_string_new (NULL);

  for (const char *p = folded; *p != '\0'; p = g_utf8_next_char (p))
    if (g_unichar_isalnum (g_utf8_get_char (p)))
      g_string_append_unichar (out, g_utf8_get_char (p));
  return g_string_free (out, FALSE);
}

/* Without the unit behind it: "Weight (g)" is a weight. */
static char *
without_unit (const char *squeezed, const char *unit)
{
  g_autofree char *squeezed_unit = squeeze (unit != NULL ? unit : "");

  if (*squeezed_unit == '\0' || !g_str_has_suffix (squeezed, squeezed_unit))
    return g_strdup (squeezed);
  return g_strndup (squeezed, strlen (squeezed) - strlen (squeezed_unit));
}

static gboolean
is_one_of (const char *squeezed, const char *words)
{
  g_auto (GStrv) list = g_strsplit (words, ";", -1);
  gboolean is = FALSE;

  for (char **word = list; *word != NULL && !is; word++)
    {
      g_autofree char *known = squeeze (*word);

      is = strcmp (squeezed, known) == 0;
    }
  return is;
}

static gboolean
is_own (const char *squeezed, const ShimField *field)
{
  return is_one_of (squeezed, field->name) || is_one_of (squeezed, field->label) || is_one_of (squeezed, _ (field->label));
}

static gboolean
heads (const char *squeezed, const ShimField *field)
{
  return is_own (squeezed, field)
         || (field->also != NULL && (is_one_of (squeezed, field->also) || is_one_of (squeezed, _ (field->also))));
}

/**
 * shim_kind_guess_field:
 * @kind: a kind
 * @heading: a column heading as somebody typed it into a spreadsheet
 *
 * Matches the name, the label and other usual words, in English and in the user's language, with and without the unit.
 *
 * Returns: (nullable) (transfer none): the field that was probably meant
 */
const ShimField *
shim_kind_guess_field (const ShimKind *kind, const char *heading)
{
  g_autofree char *wanted = NULL;

  g_return_val_if_fail (kind != NULL, NULL);
  g_return_val_if_fail (heading != NULL, NULL);

  wanted = squeeze (heading);
  if (*wanted == '\0')
    return NULL;
  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];
      g_autofree char *bare = without_unit (wanted, field->unit);

      if ((field->flags & (SHIM_FIELD_DERIVED | SHIM_FIELD_INTERNAL)) == 0
          && (heads (wanted, field) || (*bare != '\0' && heads (bare, field))))
        return field;
    }
  return NULL;
}

/**
 * shim_field_words_hold:
 * @words: words separated by semicolons
 * @text: what somebody typed
 *
 * Returns: whether it is one of them, whatever its case, blanks and signs
 */
gboolean
shim_field_words_hold (const char *words, const char *text)
{
  g_autofree char *squeezed = NULL;

  g_return_val_if_fail (words != NULL && text != NULL, FALSE);

  squeezed = squeeze (text);
  return is_one_of (squeezed, words);
}

/**
 * shim_field_is_headed:
 * @field: a field
 * @heading: a column heading
 *
 * Returns: whether @heading is the field's own name or label, and not merely another word for it
 */
gboolean
shim_field_is_headed (const ShimField *field, const char *heading)
{
  g_autofree char *squeezed = NULL;
  g_autofree char *bare = NULL;

  g_return_val_if_fail (field != NULL, FALSE);
  g_return_val_if_fail (heading != NULL, FALSE);

  squeezed = squeeze (heading);
  bare = without_unit (squeezed, field->unit);
  return is_own (squeezed, field) || is_own (bare, field);
}

/**
 * shim_kind_is_searched:
 * @kind: a kind
 *
 * Returns: whether the search over everything looks at records of this kind
 */
gboolean
shim_kind_is_searched (const ShimKind *kind)
{
  g_return_val_if_fail (kind != NULL, FALSE);

  for (guint i = 0; i < kind->n_fields; i++)
    if (kind->fields[i].flags & SHIM_FIELD_SEARCHED)
      return TRUE;
  return FALSE;
}

/**
 * shim_field_choice_label:
 * @field: a field of type %SHIM_FIELD_CHOICE
 * @value: (nullable): a stored value
 *
 * Returns: (nullable) (transfer none): its translated label; %NULL when @value is not one of the choices
 */
const char *
shim_field_choice_label (const ShimField *field, const char *value)
{
  g_return_val_if_fail (field != NULL, NULL);

  for (const ShimChoice *choice = field->choices; choice != NULL && choice->value != NULL; choice++)
    if (g_strcmp0 (choice->value, value) == 0)
      return _ (choice->label);
  return NULL;
}
