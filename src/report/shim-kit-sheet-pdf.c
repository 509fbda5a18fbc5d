/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "shim-format.h"
#include "shim-kit-sheet.h"
#include "shim-page.h"

/* So many bodies stand side by side; more of them make further tables. */
#define BODIES_ACROSS 5

/* The state as a letter-sized sign for a printed cell; the legend explains it. Tuned needs none. */
static const char *
state_sign (ShimPairState state)
{
  switch (state)
    {
    case SHIM_PAIR_UNTESTED:
      return "○";
    case SHIM_PAIR_IN_TEST:
      return "◐";
    case SHIM_PAIR_DUE:
      return "△";
    case SHIM_PAIR_OUT_OF_REACH:
      return "✕";
    case SHIM_PAIR_NOT_NEEDED:
      return "–";
    case SHIM_PAIR_TUNED:
    default:
      return "●";
    }
}

static char *
setting_text (const ShimSheetPair *pair)
{
  g_autofree char *value = shim_format_setting (pair->value);
  g_autofree char *value_long = shim_format_setting (pair->value_long);

  if (pair->value == SHIM_NO_INT)
    return g_strdup ("");
  if (pair->value_long == SHIM_NO_INT)
    return g_steal_pointer (&value);
  return g_strdup_printf ("%s / %s", value, value_long);
}

static char *
cell_text (const ShimSheetPair *pair)
{
  g_autofree char *setting = NULL;

  if (pair == NULL)
    return g_strdup ("—");
  setting = setting_text (pair);
  if (*setting == '\0')
    return g_strdup_printf ("%s %s", state_sign (pair->state), shim_pair_state_to_label (pair->state));
  return g_strdup_printf ("%s %s\n%s%s", state_sign (pair->state), setting, pair->slot_note, pair->conflict ? " ⚠" : "");
}

static void
matrix_part (const ShimKitSheet *self, ShimPage *page, guint first, guint n)
{
  g_autofree ShimColumn *columns = g_new0 (ShimColumn, n + 1);
  const double width_mm = shim_page_width_mm (page);
  const double first_mm = MAX (40.0, width_mm - (double) n * 45.0);

  columns[0] = (ShimColumn) { _ ("Lens"), first_mm, FALSE };
  for (guint b = 0; b < n; b++)
    columns[b + 1] = (ShimColumn) { self->body_names[first + b], (width_mm - first_mm) / n, FALSE, TRUE };
  shim_page_table_head (page, columns, n + 1);
  for (guint l = 0; l < self->n_lenses; l++)
    {
      g_autoptr (GPtrArray) cells = g_ptr_array_new_with_free_func (g_free);

      g_ptr_array_add (cells, g_strdup (self->lens_names[l]));
      for (guint b = 0; b < n; b++)
        g_ptr_array_add (cells, cell_text (self->matrix[l * self->n_bodies + first + b]));
      shim_page_table_row (page, columns, n + 1, (const char *const *) cells->pdata);
    }
  shim_page_skip (page, 3.0);
}

static void
matrix (const ShimKitSheet *self, ShimPage *page)
{
  const ShimTextStyle small = { .size_pt = 7.5, .grey = TRUE };

  if (self->n_bodies == 0 || self->n_lenses == 0)
    return;
  shim_page_heading (page, _ ("Settings"));
  for (guint first = 0; first < self->n_bodies; first += BODIES_ACROSS)
    matrix_part (self, page, first, MIN (BODIES_ACROSS, self->n_bodies - first));
  shim_page_paragraph (page, &small,
                       _ ("● tuned   △ due   ◐ in test   ○ untested   ✕ out of reach   — does not fit   ⚠ another copy of this "
                          "model needs another value. Under each setting: where it is kept."));
}

static char *
worth_text (double worth, const char *currency)
{
  g_autofree char *number = isnan (worth) ? NULL : shim_format_number (worth, 0);

  if (number == NULL)
    return g_strdup ("");
  return currency != NULL && *currency != '\0' ? g_strdup_printf ("%s %s", number, currency) : g_steal_pointer (&number);
}

static void
items (const ShimKitSheet *self, ShimPage *page)
{
  const double width_mm = shim_page_width_mm (page);
  const ShimColumn columns[] = {
    { _ ("Item"), width_mm * 0.15, FALSE },          { _ ("Maker and model"), width_mm * 0.22, FALSE },
    { _ ("Serial number"), width_mm * 0.15, FALSE }, { _ ("Mount"), width_mm * 0.09, FALSE },
    { _ ("Data"), width_mm * 0.17, FALSE },          { _ ("Held by"), width_mm * 0.11, FALSE },
    { _ ("Worth"), width_mm * 0.11, TRUE },
  };

  if (self->items->len == 0)
    return;
  shim_page_heading (page, _ ("Items"));
  shim_page_table_head (page, columns, G_N_ELEMENTS (columns));
  for (guint i = 0; i < self->items->len; i++)
    {
      const ShimSheetItem *item = self->items->pdata[i];
      g_autofree char *worth = worth_text (item->worth, item->currency);
      const char *cells[] = { item->name, item->model, item->serial, item->mount, item->detail, item->holder, worth };

      shim_page_table_row (page, columns, G_N_ELEMENTS (columns), cells);
    }
}

static gboolean
any_setting (const ShimKitSheet *self)
{
  for (guint i = 0; i < self->pairs->len; i++)
    if (((const ShimSheetPair *) self->pairs->pdata[i])->value != SHIM_NO_INT)
      return TRUE;
  return FALSE;
}

static void
pairs (const ShimKitSheet *self, ShimPage *page)
{
  const double width_mm = shim_page_width_mm (page);
  const ShimColumn columns[] = {
    { _ ("Body"), width_mm * 0.19, FALSE },    { _ ("Lens"), width_mm * 0.27, FALSE },
    { _ ("Setting"), width_mm * 0.10, FALSE }, { _ ("Kept"), width_mm * 0.15, FALSE },
    { _ ("Decided"), width_mm * 0.12, FALSE }, { _ ("Residual"), width_mm * 0.17, FALSE },
  };

  if (!any_setting (self))
    return;
  shim_page_heading (page, _ ("Evidence of each setting"));
  shim_page_table_head (page, columns, G_N_ELEMENTS (columns));
  for (guint i = 0; i < self->pairs->len; i++)
    {
      const ShimSheetPair *pair = self->pairs->pdata[i];
      g_autofree char *setting = setting_text (pair);
      g_autofree char *residual = shim_format_signed_error (pair->residual_mm, pair->residual_se_mm, "mm");
      g_autofree char *lens = *pair->converter != '\0' ? g_strdup_printf ("%s + %s", pair->lens, pair->converter)
                                                       : g_strdup (pair->lens);
      const char *cells[] = { pair->body, lens, setting, pair->slot_note, pair->decided_on, residual };

      if (*setting != '\0')
        shim_page_table_row (page, columns, G_N_ELEMENTS (columns), cells);
    }
}

static void
not_ready (const ShimKitSheet *self, ShimPage *page)
{
  const ShimTextStyle style = { .size_pt = 9.0 };

  shim_page_heading (page, _ ("Not ready"));
  if (self->not_ready[0] == NULL)
    shim_page_paragraph (page, &style, _ ("Nothing: every pair of this kit is tuned and keyed in."));
  for (guint i = 0; self->not_ready[i] != NULL; i++)
    {
      g_autofree char *line = g_strdup_printf ("☐  %s", self->not_ready[i]);

      shim_page_paragraph (page, &style, line);
    }
}

/* The sheet in one line: how much there is, and how much of it is in order. */
static void
counts (const ShimKitSheet *self, ShimPage *page)
{
  const ShimTextStyle style = { .size_pt = 10.0 };
  g_autofree char *line = NULL;
  guint n_tuned = 0, n_plain = 0;

  for (guint i = 0; i < self->pairs->len; i++)
    {
      const ShimSheetPair *pair = self->pairs->pdata[i];

      n_plain += pair->state != SHIM_PAIR_NOT_NEEDED;
      n_tuned += pair->state == SHIM_PAIR_TUNED;
    }
  line = g_strdup_printf (_ ("Items: %u. Pairs tuned: %u of %u. Not ready: %u, see below the settings."), self->items->len,
                          n_tuned, n_plain, g_strv_length (self->not_ready));
  shim_page_paragraph (page, &style, line);
}

static void
head (const ShimKitSheet *self, ShimPage *page)
{
  const ShimTextStyle title = { .size_pt = 18.0, .bold = TRUE };
  const ShimTextStyle line = { .size_pt = 10.0, .grey = TRUE };
  const char *parts[] = { self->date, self->place, self->holder };
  g_autoptr (GString) under = g_string_new (NULL);

  for (guint i = 0; i < G_N_ELEMENTS (parts); i++)
    if (*parts[i] != '\0')
      g_string_append_printf (under, "%s%s", under->len > 0 ? " · " : "", parts[i]);
  shim_page_paragraph (page, &title, self->title);
  if (under->len > 0)
    shim_page_paragraph (page, &line, under->str);
  counts (self, page);
}

/**
 * shim_kit_sheet_write_pdf:
 * @self: a sheet
 * @paper: the paper
 * @path: file to write
 * @error: return location for a #ShimReportError
 *
 * Returns: whether it was written
 */
gboolean
shim_kit_sheet_write_pdf (const ShimKitSheet *self, ShimPaper paper, const char *path, GError **error)
{
  g_autoptr (ShimPage) page = NULL;
  g_autoptr (GDateTime) made_at = NULL;
  g_autofree char *stamp = NULL;
  g_autofree char *footer = NULL;

  g_return_val_if_fail (self != NULL, FALSE);
  g_return_val_if_fail (path != NULL, FALSE);

  stamp = g_strdup_printf ("%s:00Z", self->made_at);
  stamp[10] = 'T';
  made_at = g_date_time_new_from_iso8601 (stamp, NULL);
  page = shim_page_new (path, paper, self->title, made_at, error);
  if (page == NULL)
    return FALSE;
  footer = g_strdup_printf (_ ("Kit sheet · %s · made %s by Shimbook. Adjusting is not repairing."), self->title, self->made_at);
  shim_page_set_footer (page, footer);
  head (self, page);
  matrix (self, page);
  not_ready (self, page);
  items (self, page);
  pairs (self, page);
  return shim_page_finish (page, error);
}
