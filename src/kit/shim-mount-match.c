/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-mount-match.h"

/* Small letters, and without the word "mount" behind. */
static char *
plain (const char *text)
{
  char *folded = g_utf8_casefold (text, -1);

  g_strstrip (folded);
  if (g_str_has_suffix (folded, " mount") || g_str_has_suffix (folded, "-mount"))
    folded[strlen (folded) - strlen (" mount")] = '\0';
  return g_strchomp (folded);
}

/* How much of @text the designation @key accounts for: all of it, or its end after a maker's name; 0 when it is another. */
static gsize
matched_length (const char *text, const char *key)
{
  const gsize text_length = strlen (text), length = strlen (key);

  if (length == 0 || !g_str_has_suffix (text, key))
    return 0;
  return text_length == length || text[text_length - length - 1] == ' ' ? length : 0;
}

/* The register says "EF / EF-S" for two designations of one bayonet and adds in brackets what tells two of a letter apart. */
static gsize
best_length (const char *text, const char *name)
{
  g_autofree char *folded = g_utf8_casefold (name, -1);
  g_auto (GStrv) keys = NULL;
  char *bracket = strchr (folded, '(');
  gsize best = 0;

  if (bracket != NULL)
    *bracket = '\0';
  keys = g_strsplit (folded, " / ", -1);
  for (char **key = keys; *key != NULL; key++)
    best = MAX (best, matched_length (text, g_strstrip (*key)));
  return best;
}

/**
 * shim_mount_match:
 * @mounts: (element-type ShimMount): those of the register
 * @text: a mount as a person wrote it: "EF", "ef-s", "F mount", a maker's name and the designation
 *
 * Returns: (nullable) (transfer none): the name of the mount that is meant; %NULL when there is none, or when more than one could be
 */
const char *
shim_mount_match (GPtrArray *mounts, const char *text)
{
  g_autofree char *wanted = NULL;
  const char *found = NULL;
  gsize length = 0;

  g_return_val_if_fail (mounts != NULL, NULL);
  g_return_val_if_fail (text != NULL, NULL);

  for (guint i = 0; i < mounts->len; i++)
    if (g_strcmp0 (((ShimMount *) mounts->pdata[i])->name, text) == 0)
      return ((ShimMount *) mounts->pdata[i])->name;
  wanted = plain (text);
  for (guint i = 0; i < mounts->len; i++)
    {
      const char *name = ((ShimMount *) mounts->pdata[i])->name;
      gsize matched = name != NULL ? best_length (wanted, name) : 0;

      if (matched == 0 || matched < length)
        continue;
      found = matched > length ? name : NULL;
      length = matched;
    }
  return found;
}
