/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-names.h"

gboolean
shim_names_find (const char *const *names, gsize n_names, const char *name, guint *index)
{
  g_return_val_if_fail (names != NULL && index != NULL, FALSE);

  for (guint i = 0; i < n_names; i++)
    if (g_strcmp0 (names[i], name) == 0)
      {
        *index = i;
        return TRUE;
      }
  return FALSE;
}
