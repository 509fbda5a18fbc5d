/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-csv.h"
#include "shim-kit-sheet.h"

/* One table for a spreadsheet: the first column says what a row is about, the others stay empty where they do not apply. */
enum
{
  SECTION,
  KIND,
  NAME,
  MODEL,
  SERIAL,
  MOUNT,
  DETAIL,
  HOLDER,
  WORTH,
  CURRENCY,
  BODY,
  BODY_SERIAL,
  LENS,
  LENS_SERIAL,
  CONVERTER,
  STATE,
  SETTING,
  SETTING_LONG,
  SLOT,
  KEPT,
  DECIDED_ON,
  RESIDUAL_MM,
  RESIDUAL_SE_MM,
  CONFLICT,
  SENTENCE,
  N_COLUMNS,
};

static const char *const headings[N_COLUMNS] = {
  [SECTION] = "section",         [KIND] = "kind",
  [NAME] = "name",               [MODEL] = "model",
  [SERIAL] = "serial",           [MOUNT] = "mount",
  [DETAIL] = "detail",           [HOLDER] = "holder",
  [WORTH] = "worth",             [CURRENCY] = "currency",
  [BODY] = "body",               [BODY_SERIAL] = "body_serial",
  [LENS] = "lens",               [LENS_SERIAL] = "lens_serial",
  [CONVERTER] = "converter",     [STATE] = "state",
  [SETTING] = "setting",         [SETTING_LONG] = "setting_long",
  [SLOT] = "slot",               [KEPT] = "kept",
  [DECIDED_ON] = "decided_on",   [RESIDUAL_MM] = "residual_mm",
  [RESIDUAL_SE_MM] = "residual_se_mm", [CONFLICT] = "conflict",
  [SENTENCE] = "sentence",
};

static const char *
real_text (double value, const char *format, char buffer[G_ASCII_DTOSTR_BUF_SIZE])
{
  return isnan (value) ? "" : g_ascii_formatd (buffer, G_ASCII_DTOSTR_BUF_SIZE, format, value);
}

static const char *
int_text (gint64 value, char buffer[G_ASCII_DTOSTR_BUF_SIZE])
{
  if (value == SHIM_NO_INT)
    return "";
  g_snprintf (buffer, G_ASCII_DTOSTR_BUF_SIZE, "%" G_GINT64_FORMAT, value);
  return buffer;
}

static void
append_item (GString *out, const ShimSheetItem *item)
{
  char worth[G_ASCII_DTOSTR_BUF_SIZE];
  const char *const cells[N_COLUMNS] = {
    [SECTION] = "item",
    [KIND] = item->kind,
    [NAME] = item->name,
    [MODEL] = item->model,
    [SERIAL] = item->serial,
    [MOUNT] = item->mount,
    [DETAIL] = item->detail,
    [HOLDER] = item->holder,
    [WORTH] = real_text (item->worth, "%.2f", worth),
    [CURRENCY] = item->currency,
  };

  shim_csv_append_row (out, cells, N_COLUMNS);
}

static void
append_pair (GString *out, const ShimSheetPair *pair)
{
  char setting[G_ASCII_DTOSTR_BUF_SIZE], setting_long[G_ASCII_DTOSTR_BUF_SIZE], slot[G_ASCII_DTOSTR_BUF_SIZE];
  char residual[G_ASCII_DTOSTR_BUF_SIZE], residual_se[G_ASCII_DTOSTR_BUF_SIZE];
  const char *const cells[N_COLUMNS] = {
    [SECTION] = "pair",
    [BODY] = pair->body,
    [BODY_SERIAL] = pair->body_serial,
    [LENS] = pair->lens,
    [LENS_SERIAL] = pair->lens_serial,
    [CONVERTER] = pair->converter,
    [STATE] = shim_pair_state_to_name (pair->state),
    [SETTING] = int_text (pair->value, setting),
    [SETTING_LONG] = int_text (pair->value_long, setting_long),
    [SLOT] = int_text (pair->slot, slot),
    [KEPT] = pair->slot_note,
    [DECIDED_ON] = pair->decided_on,
    [RESIDUAL_MM] = real_text (pair->residual_mm, "%.2f", residual),
    [RESIDUAL_SE_MM] = real_text (pair->residual_se_mm, "%.2f", residual_se),
    [CONFLICT] = pair->conflict ? "yes" : "",
  };

  shim_csv_append_row (out, cells, N_COLUMNS);
}

/**
 * shim_kit_sheet_to_csv:
 * @self: a sheet
 *
 * Returns: (transfer full): the sheet as a CSV table (RFC 4180, UTF-8, numbers with a decimal point)
 */
GBytes *
shim_kit_sheet_to_csv (const ShimKitSheet *self)
{
  GString *out;

  g_return_val_if_fail (self != NULL, NULL);

  out = g_string_new (NULL);
  shim_csv_append_row (out, headings, N_COLUMNS);
  for (guint i = 0; i < self->items->len; i++)
    append_item (out, self->items->pdata[i]);
  for (guint i = 0; i < self->pairs->len; i++)
    append_pair (out, self->pairs->pdata[i]);
  for (guint i = 0; self->not_ready[i] != NULL; i++)
    {
      const char *const cells[N_COLUMNS] = { [SECTION] = "not ready", [SENTENCE] = self->not_ready[i] };

      shim_csv_append_row (out, cells, N_COLUMNS);
    }
  return g_string_free_to_bytes (out);
}
