/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-fit.h"
#include "shim-format.h"
#include "shim-kit-sheet.h"
#include "shim-readiness.h"

static char *
or_empty (const char *text)
{
  return g_strdup (text != NULL ? text : "");
}

static char *
body_detail (ShimBody *body)
{
  g_autofree char *low = shim_format_setting (body->range_min);
  g_autofree char *high = shim_format_setting (body->range_max);

  if (body->slot_count == 0 || body->range_min == SHIM_NO_INT)
    return g_strdup (_ ("no fine adjustment"));
  if (body->slot_count == SHIM_NO_INT)
    return g_strdup_printf (_ ("%s … %s, number of slots not recorded"), low, high);
  if (body->slot_count < 0)
    return g_strdup_printf (_ ("%s … %s, any number of slots"), low, high);
  return g_strdup_printf (g_dngettext (GETTEXT_PACKAGE, "%s … %s, %d slot", "%s … %s, %d slots", (gulong) body->slot_count), low,
                          high, (int) body->slot_count);
}

static char *
lens_detail (ShimLens *lens)
{
  g_autofree char *focal = shim_format_focal (lens->focal_min_mm, lens->focal_max_mm);
  g_autofree char *aperture = shim_format_f_number (lens->aperture_wide);

  if (isnan (lens->aperture_wide))
    return g_steal_pointer (&focal);
  return g_strdup_printf ("%s %s", focal, aperture);
}

static void
item_free (ShimSheetItem *item)
{
  g_free (item->kind);
  g_free (item->name);
  g_free (item->model);
  g_free (item->serial);
  g_free (item->mount);
  g_free (item->detail);
  g_free (item->holder);
  g_free (item->currency);
  g_free (item);
}

static void
pair_free (ShimSheetPair *pair)
{
  g_free (pair->body);
  g_free (pair->body_serial);
  g_free (pair->lens);
  g_free (pair->lens_serial);
  g_free (pair->converter);
  g_free (pair->slot_note);
  g_free (pair->decided_on);
  g_free (pair);
}

/* The three kinds of item share these fields by name (see the field tables), not by type. */
static ShimSheetItem *
item_new (ShimRecord *record, const char *kind, char *detail)
{
  ShimSheetItem *item = g_new0 (ShimSheetItem, 1);
  g_autofree char *label = NULL, *maker = NULL, *model = NULL, *holder = NULL;

  g_object_get (record, "label", &label, "maker", &maker, "model", &model, "serial", &item->serial, "mount", &item->mount,
                "holder", &holder, "worth", &item->worth, "currency", &item->currency, NULL);
  item->kind = g_strdup (kind);
  item->name = or_empty (label);
  item->model = shim_format_product (maker, model);
  if (item->model == NULL)
    item->model = g_strdup ("");
  item->holder = or_empty (holder);
  item->detail = detail;
  if (item->serial == NULL)
    item->serial = g_strdup ("");
  if (item->mount == NULL)
    item->mount = g_strdup ("");
  return item;
}

static ShimSheetItem *
adapter_item_new (ShimAdapter *adapter)
{
  ShimSheetItem *item = g_new0 (ShimSheetItem, 1);

  item->kind = g_strdup ("adapter");
  item->name = or_empty (adapter->label);
  item->model = g_strdup ("");
  item->serial = or_empty (adapter->serial);
  item->mount = g_strdup_printf ("%s → %s", adapter->lens_mount, adapter->body_mount);
  item->detail = g_strdup (adapter->passes_data ? _ ("passes lens data") : _ ("passes no lens data"));
  item->holder = g_strdup ("");
  item->worth = NAN;
  return item;
}

static void
add_items (ShimKitSheet *self, const ShimJobKit *kit)
{
  for (guint i = 0; i < kit->bodies->len; i++)
    g_ptr_array_add (self->items, item_new (kit->bodies->pdata[i], "body", body_detail (kit->bodies->pdata[i])));
  for (guint i = 0; i < kit->lenses->len; i++)
    g_ptr_array_add (self->items, item_new (kit->lenses->pdata[i], "lens", lens_detail (kit->lenses->pdata[i])));
  for (guint i = 0; i < kit->converters->len; i++)
    {
      ShimConverter *converter = kit->converters->pdata[i];

      g_ptr_array_add (self->items, item_new (SHIM_RECORD (converter), "converter", g_strdup_printf ("× %.3g", converter->factor)));
    }
  for (guint i = 0; i < kit->adapters->len; i++)
    g_ptr_array_add (self->items, adapter_item_new (kit->adapters->pdata[i]));
}

static char *
slot_note (const ShimPairNow *now)
{
  if (now == NULL || now->value == SHIM_NO_INT)
    return g_strdup ("");
  if (now->slot == SHIM_NO_INT)
    return g_strdup (_ ("not keyed in"));
  if (now->slot_state == SHIM_SLOT_LOST)
    return g_strdup_printf (_ ("slot %d, lost by a reset"), (int) now->slot);
  if (now->slot_state == SHIM_SLOT_OVERWRITTEN)
    return g_strdup_printf (_ ("slot %d, overwritten"), (int) now->slot);
  if (now->slot == 0)
    return g_strdup (_ ("in the lens"));
  if (now->slot_value != now->value || now->slot_value_long != now->value_long)
    return g_strdup_printf (_ ("slot %d holds another value"), (int) now->slot);
  return g_strdup_printf (_ ("slot %d"), (int) now->slot);
}

static ShimSheetPair *
pair_new (ShimBody *body, ShimLens *lens, ShimConverter *converter, const ShimPairNow *now, gboolean fits)
{
  ShimSheetPair *pair = g_new0 (ShimSheetPair, 1);

  pair->body = or_empty (body->label);
  pair->body_serial = or_empty (body->serial);
  pair->lens = or_empty (lens->label);
  pair->lens_serial = or_empty (lens->serial);
  pair->converter = or_empty (converter != NULL ? converter->label : NULL);
  pair->fits = fits;
  pair->state = now != NULL ? now->state : SHIM_PAIR_UNTESTED;
  pair->value = now != NULL ? now->value : SHIM_NO_INT;
  pair->value_long = now != NULL ? now->value_long : SHIM_NO_INT;
  pair->slot = now != NULL ? now->slot : SHIM_NO_INT;
  pair->slot_note = slot_note (now);
  pair->decided_on = now != NULL && now->decided_at != NULL ? g_strndup (now->decided_at, 10) : g_strdup ("");
  pair->residual_mm = now != NULL ? now->residual_mm : NAN;
  pair->residual_se_mm = now != NULL ? now->residual_se_mm : NAN;
  pair->conflict = now != NULL && now->conflict;
  return pair;
}

static void
add_matrix (ShimKitSheet *self, const ShimJobKit *kit)
{
  for (guint b = 0; b < kit->bodies->len; b++)
    for (guint l = 0; l < kit->lenses->len; l++)
      {
        ShimBody *body = kit->bodies->pdata[b];
        ShimLens *lens = kit->lenses->pdata[l];
        const ShimPairNow *now = shim_job_kit_find_pair (kit, SHIM_RECORD (body)->id, SHIM_RECORD (lens)->id, NULL);
        gboolean fits = now != NULL || shim_fit_lens_on_body (lens, body, kit->adapters, NULL);
        ShimSheetPair *pair;

        if (!fits)
          continue;
        pair = pair_new (body, lens, NULL, now, fits);
        g_ptr_array_add (self->pairs, pair);
        self->matrix[l * self->n_bodies + b] = pair;
      }
}

static gpointer
find_by_id (GPtrArray *records, const char *id)
{
  for (guint i = 0; i < records->len; i++)
    if (g_strcmp0 (SHIM_RECORD (records->pdata[i])->id, id) == 0)
      return records->pdata[i];
  return NULL;
}

static void
add_converter_pairs (ShimKitSheet *self, const ShimJobKit *kit)
{
  for (guint i = 0; i < kit->pairs->len; i++)
    {
      const ShimPairNow *now = kit->pairs->pdata[i];
      ShimConverter *converter = now->converter != NULL ? find_by_id (kit->converters, now->converter) : NULL;
      ShimBody *body = find_by_id (kit->bodies, now->body);
      ShimLens *lens = find_by_id (kit->lenses, now->lens);

      if (converter != NULL && body != NULL && lens != NULL)
        g_ptr_array_add (self->pairs, pair_new (body, lens, converter, now, TRUE));
    }
}

static char **
labels_of (GPtrArray *records)
{
  char **labels = g_new0 (char *, records->len + 1);

  for (guint i = 0; i < records->len; i++)
    {
      g_object_get (records->pdata[i], "label", &labels[i], NULL);
      if (labels[i] == NULL)
        labels[i] = g_strdup ("");
    }
  return labels;
}

static const char *
label_by_id (GPtrArray *records, const char *id)
{
  ShimRecord *record = find_by_id (records, id);

  if (record == NULL)
    return id;
  return SHIM_IS_BODY (record) ? SHIM_BODY (record)->label : SHIM_LENS (record)->label;
}

/* A body that was tested with no lens at all would fill the sheet with a line for each; one line names them all. */
static gboolean
is_plain_untested (const ShimNotReady *line)
{
  return line->kind == SHIM_NOT_READY_UNTESTED && line->item == NULL && line->body != NULL && line->lens != NULL;
}

static guint
count_fitting (const ShimKitSheet *self, const ShimJobKit *kit, const char *body)
{
  guint index, n = 0;

  if (!g_ptr_array_find (kit->bodies, find_by_id (kit->bodies, body), &index))
    return 0;
  for (guint l = 0; l < self->n_lenses; l++)
    n += self->matrix[l * self->n_bodies + index] != NULL;
  return n;
}

static char *
untested_of_body (const ShimKitSheet *self, const ShimJobKit *kit, GPtrArray *list, const char *body, guint *n)
{
  g_autoptr (GString) lenses = g_string_new (NULL);

  *n = 0;
  for (guint i = 0; i < list->len; i++)
    {
      const ShimNotReady *line = list->pdata[i];

      if (!is_plain_untested (line) || !g_str_equal (line->body, body))
        continue;
      g_string_append_printf (lenses, "%s%s", *n > 0 ? ", " : "", label_by_id (kit->lenses, line->lens));
      ++*n;
    }
  if (*n == count_fitting (self, kit, body))
    return g_strdup_printf (_ ("%s was never tested with any of the %u lenses that fit it. Test these pairs, or mark them as "
                               "not needed."),
                            label_by_id (kit->bodies, body), *n);
  return g_strdup_printf (_ ("%s was never tested with %s. Test these pairs, or mark them as not needed."),
                          label_by_id (kit->bodies, body), lenses->str);
}

/* The readiness list, with what says the same of many lenses drawn together. */
static char **
sentences_of (const ShimKitSheet *self, const ShimJobKit *kit)
{
  g_autoptr (GPtrArray) list = shim_job_kit_readiness (kit);
  g_autoptr (GHashTable) done = g_hash_table_new (g_str_hash, g_str_equal);
  GPtrArray *sentences = g_ptr_array_new ();

  for (guint i = 0; i < list->len; i++)
    {
      const ShimNotReady *line = list->pdata[i];
      g_autofree char *together = NULL;
      guint n = 0;

      if (is_plain_untested (line))
        {
          if (g_hash_table_contains (done, line->body))
            continue;
          together = untested_of_body (self, kit, list, line->body, &n);
        }
      if (n > 1)
        g_hash_table_add (done, line->body);
      g_ptr_array_add (sentences, n > 1 ? g_steal_pointer (&together) : g_strdup (line->sentence));
    }
  g_ptr_array_add (sentences, NULL);
  return (char **) g_ptr_array_free (sentences, FALSE);
}

static char *
span_of_days (ShimJob *job)
{
  if (job == NULL || job->on_date == NULL)
    return g_strdup ("");
  if (job->until_date == NULL || g_str_equal (job->until_date, job->on_date))
    return g_strdup (job->on_date);
  return g_strdup_printf ("%s – %s", job->on_date, job->until_date);
}

/**
 * shim_kit_sheet_new:
 * @kit: what a job takes along
 * @made_at: when
 *
 * Returns: (transfer full): the kit sheet
 */
ShimKitSheet *
shim_kit_sheet_new (const ShimJobKit *kit, GDateTime *made_at)
{
  ShimKitSheet *self;

  g_return_val_if_fail (kit != NULL, NULL);
  g_return_val_if_fail (made_at != NULL, NULL);

  self = g_new0 (ShimKitSheet, 1);
  self->title = g_strdup (kit->job != NULL ? kit->job->name : _ ("The whole kit"));
  self->date = span_of_days (kit->job);
  self->place = or_empty (kit->job != NULL ? kit->job->place : NULL);
  self->holder = or_empty (kit->job != NULL ? kit->job->holder : NULL);
  self->made_at = g_date_time_format (made_at, "%Y-%m-%d %H:%M");
  self->items = g_ptr_array_new_with_free_func ((GDestroyNotify) item_free);
  self->pairs = g_ptr_array_new_with_free_func ((GDestroyNotify) pair_free);
  self->n_bodies = kit->bodies->len;
  self->n_lenses = kit->lenses->len;
  self->matrix = g_new0 (const ShimSheetPair *, MAX (1, (gsize) self->n_bodies * self->n_lenses));
  self->body_names = labels_of (kit->bodies);
  self->lens_names = labels_of (kit->lenses);
  add_items (self, kit);
  add_matrix (self, kit);
  add_converter_pairs (self, kit);
  self->not_ready = sentences_of (self, kit);
  return self;
}

/**
 * shim_kit_sheet_free:
 * @self: (transfer full) (nullable): a sheet
 */
void
shim_kit_sheet_free (ShimKitSheet *self)
{
  if (self == NULL)
    return;
  g_free (self->title);
  g_free (self->date);
  g_free (self->place);
  g_free (self->holder);
  g_free (self->made_at);
  g_ptr_array_unref (self->items);
  g_ptr_array_unref (self->pairs);
  g_free (self->matrix);
  g_strfreev (self->body_names);
  g_strfreev (self->lens_names);
  g_strfreev (self->not_ready);
  g_free (self);
}

/**
 * shim_paper_from_name:
 * @name: (nullable): "a4" or "letter"
 * @paper: (out): the paper
 *
 * Returns: whether @name is one
 */
gboolean
shim_paper_from_name (const char *name, ShimPaper *paper)
{
  g_return_val_if_fail (paper != NULL, FALSE);

  if (name != NULL && g_ascii_strcasecmp (name, "a4") == 0)
    *paper = SHIM_PAPER_A4;
  else if (name != NULL && g_ascii_strcasecmp (name, "letter") == 0)
    *paper = SHIM_PAPER_LETTER;
  else
    return FALSE;
  return TRUE;
}
