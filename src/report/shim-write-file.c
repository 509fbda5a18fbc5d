/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>
#include <stdio.h>
#include <stdlib.h>

#include "shim-report-error.h"
#include "shim-write-file.h"

/* A pipe or a device cannot be replaced by a new file; it is written to. */
static gboolean
write_through (const char *path, const void *data, gsize length)
{
  FILE *file = g_fopen (path, "wb");
  gboolean ok;
  int saved;

  if (file == NULL)
    return FALSE;
  ok = fwrite (data, 1, length, file) == length && fflush (file) == 0;
  saved = errno;
  if (fclose (file) != 0 && ok)
    return FALSE;
  errno = saved;
  return ok;
}

/* A link keeps pointing where it did: what it points at is written. */
static char *
follow_links (const char *path)
{
  char *real = realpath (path, NULL);
  char *copy = g_strdup (real != NULL ? real : path);

  free (real);
  return copy;
}

/**
 * shim_write_file:
 * @path: file to write
 * @data: (array length=length): what it is to hold
 * @length: its bytes
 * @error: WRITE, with the file's name and what stood in the way
 *
 * A file that is there is replaced whole or stays as it was.
 *
 * Returns: whether it was written
 */
gboolean
shim_write_file (const char *path, const void *data, gsize length, GError **error)
{
  g_autofree char *real = NULL;
  g_autofree char *shown = NULL;
  g_autoptr (GError) local_error = NULL;

  g_return_val_if_fail (path != NULL, FALSE);
  g_return_val_if_fail (data != NULL || length == 0, FALSE);

  real = follow_links (path);
  shown = g_filename_display_name (path);
  if (g_file_test (real, G_FILE_TEST_IS_DIR))
    g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_WRITE, _ ("“%s” is a folder; name a file in it"), shown);
  else if (g_file_test (real, G_FILE_TEST_EXISTS) && !g_file_test (real, G_FILE_TEST_IS_REGULAR))
    {
      if (write_through (real, data, length))
        return TRUE;
      g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_WRITE, _ ("“%s” was not written: %s"), shown,
                   g_strerror (errno));
    }
  else if (g_file_set_contents (real, data, (gssize) length, &local_error))
    return TRUE;
  else if (g_error_matches (local_error, G_FILE_ERROR, G_FILE_ERROR_NOSPC))
    g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_WRITE,
                 _ ("“%s” was not written: there is no room left on the disk. Make room, or save it elsewhere."), shown);
  else
    g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_WRITE, _ ("“%s” was not written: %s"), shown,
                 local_error->message);
  return FALSE;
}
