/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "shim-kit-sheet.h"
#include "shim-report-error.h"
#include "shim-write-file.h"

/**
 * shim_kit_sheet_write:
 * @self: a sheet
 * @paper: the paper, for PDF
 * @path: file to write; its ending says how: .pdf, .csv or .json
 * @error: return location for a #ShimReportError
 *
 * Returns: whether it was written, whole or not at all
 */
gboolean
shim_kit_sheet_write (const ShimKitSheet *self, ShimPaper paper, const char *path, GError **error)
{
  g_autofree char *lower = NULL;

  g_return_val_if_fail (self != NULL, FALSE);
  g_return_val_if_fail (path != NULL, FALSE);

  lower = g_ascii_strdown (path, -1);
  if (g_str_has_suffix (lower, ".pdf"))
    return shim_kit_sheet_write_pdf (self, paper, path, error);
  if (g_str_has_suffix (lower, ".csv"))
    {
      g_autoptr (GBytes) table = shim_kit_sheet_to_csv (self);

      return shim_write_file (path, g_bytes_get_data (table, NULL), g_bytes_get_size (table), error);
    }
  if (g_str_has_suffix (lower, ".json"))
    {
      g_autofree char *json = shim_kit_sheet_to_json (self);

      return shim_write_file (path, json, strlen (json), error);
    }
  g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_WRITE,
               _ ("A kit sheet is written as .pdf, .csv or .json; “%s” ends in none of these"), path);
  return FALSE;
}
