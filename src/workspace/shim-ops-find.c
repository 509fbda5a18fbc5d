/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-format.h"
#include "shim-kinds.h"
#include "shim-ops-find.h"
#include "shim-ops-kit.h"
#include "shim-pair-state.h"
#include "shim-register-pairs.h"

/* The search over everything: what is found, what to call it, and what to open for it. */

/* Nobody names a pair with more words, and every further word costs two more looks. */
#define MAX_WORDS_OF_PAIR 8

/* So many times more items are read than are told, so that one is found by its name behind others that have the word elsewhere. */
#define ITEMS_READ 4

/**
 * shim_hit_free:
 * @self: (transfer full): something that was found
 */
void
shim_hit_free (ShimHit *self)
{
  g_free (self->kind);
  g_free (self->id);
  g_free (self->title);
  g_free (self->detail);
  g_free (self->open_kind);
  g_free (self->open_id);
  g_free (self);
}

/* Takes @title and @detail. */
static void
add_hit (GPtrArray *hits, ShimRecord *record, char *title, char *detail, const char *open_kind, const char *open_id)
{
  ShimHit *hit = g_new (ShimHit, 1);

  *hit = (ShimHit) {
    .kind = g_strdup (shim_record_get_kind (record)->name),
    .id = g_strdup (record->id),
    .title = title,
    .detail = detail != NULL ? detail : g_strdup (""),
    .open_kind = g_strdup (open_kind),
    .open_id = g_strdup (open_id),
  };
  g_ptr_array_add (hits, hit);
}

/* What is known, joined. The last argument is NULL and the others may be NULL: so they come as an array. */
static char *
join (const char *const *parts, guint n)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (guint i = 0; i < n; i++)
    if (parts[i] != NULL && *parts[i] != '\0')
      g_string_append_printf (text, "%s%s", text->len > 0 ? " · " : "", parts[i]);
  return g_string_free (g_steal_pointer (&text), FALSE);
}

/* --- names --- */

static char *
label_of (ShimRegister *reg, GType type, const char *id)
{
  g_autoptr (ShimRecord) record = id != NULL ? shim_register_get (reg, type, id, NULL) : NULL;

  return record != NULL ? g_strdup (shim_ops_kit_item_name (record)) : g_strdup ("–");
}

static char *
pair_title (ShimRegister *reg, const char *body_id, const char *lens_id, const char *converter_id)
{
  g_autofree char *body = label_of (reg, SHIM_TYPE_BODY, body_id), *lens = label_of (reg, SHIM_TYPE_LENS, lens_id);
  g_autofree char *converter = converter_id != NULL ? label_of (reg, SHIM_TYPE_CONVERTER, converter_id) : NULL;

  if (converter == NULL)
    return g_strdup_printf (_ ("%s on %s"), lens, body);
  return g_strdup_printf (_ ("%s + %s on %s"), lens, converter, body);
}

static char *
title_of_pair_id (ShimRegister *reg, const char *id)
{
  g_autoptr (ShimRecord) record = shim_register_get (reg, SHIM_TYPE_PAIR, id, NULL);
  ShimPair *pair = (ShimPair *) record;

  return pair != NULL ? pair_title (reg, pair->body, pair->lens, pair->converter) : g_strdup ("–");
}

/* --- one kind of record each --- */

static void
add_item (ShimRegister *reg, ShimRecord *record, GPtrArray *hits)
{
  const ShimKind *kind = shim_record_get_kind (record);
  g_autofree char *serial = NULL, *maker = NULL, *model = NULL, *product = NULL, *holder = NULL, *note = NULL;
  gboolean archived;

  g_object_get (record, "serial", &serial, "note", &note, "archived", &archived, NULL);
  if (!SHIM_IS_ADAPTER (record))
    g_object_get (record, "maker", &maker, "model", &model, "holder", &holder, NULL);
  product = shim_format_product (maker, model);
  add_hit (hits, record, g_strdup (shim_ops_kit_item_name (record)),
           join ((const char *[]) { product, serial, holder, note, archived ? _ ("archived") : NULL }, 5), kind->name, record->id);
}

static void
add_job (ShimRegister *reg, ShimRecord *record, GPtrArray *hits)
{
  ShimJob *job = SHIM_JOB (record);

  add_hit (hits, record, g_strdup (job->name), join ((const char *[]) { job->on_date, job->place, job->holder, job->note }, 4), "job",
           record->id);
}

static void
add_event (ShimRegister *reg, ShimRecord *record, GPtrArray *hits)
{
  ShimEvent *event = SHIM_EVENT (record);
  const ShimField *field = shim_kind_find_field (shim_record_get_kind (record), "kind");
  g_autoptr (ShimRecord) item = shim_ops_kit_get_item (reg, event->item_kind, event->item, NULL);

  add_hit (hits, record,
           g_strdup_printf (_ ("%s: %s"), shim_field_choice_label (field, event->kind),
                            item != NULL ? shim_ops_kit_item_name (item) : "–"),
           join ((const char *[]) { event->happened_on, event->who, event->note }, 3), event->item_kind, event->item);
}

static void
add_pair (ShimRegister *reg, ShimRecord *record, GPtrArray *hits)
{
  ShimPair *pair = SHIM_PAIR (record);
  g_autoptr (ShimPairNow) now = shim_register_pair_now (reg, record->id, NULL);
  g_autofree char *setting = now != NULL && now->value != SHIM_NO_INT ? shim_format_setting (now->value) : NULL;

  add_hit (hits, record, pair_title (reg, pair->body, pair->lens, pair->converter),
           join ((const char *[]) { setting, now != NULL ? shim_pair_state_to_label (now->state) : NULL, pair->note }, 3), "pair",
           record->id);
}

static void
add_test (ShimRegister *reg, ShimRecord *record, GPtrArray *hits)
{
  ShimTest *test = SHIM_TEST (record);
  g_autofree char *day = g_strndup (test->started_at, 10);

  add_hit (hits, record, title_of_pair_id (reg, test->pair), join ((const char *[]) { day, test->note }, 2), "pair", test->pair);
}

static void
add_round (ShimRegister *reg, ShimRecord *record, GPtrArray *hits)
{
  ShimRound *round = SHIM_ROUND (record);
  g_autoptr (ShimRecord) test = shim_register_get (reg, SHIM_TYPE_TEST, round->test, NULL);
  const char *pair = test != NULL ? SHIM_TEST (test)->pair : NULL;
  g_autofree char *day = test != NULL ? g_strndup (SHIM_TEST (test)->started_at, 10) : NULL;

  if (pair != NULL)
    add_hit (hits, record, title_of_pair_id (reg, pair), join ((const char *[]) { day, round->note }, 2), "pair", pair);
}

static void
add_decision (ShimRegister *reg, ShimRecord *record, GPtrArray *hits)
{
  ShimDecision *decision = SHIM_DECISION (record);
  g_autofree char *day = g_strndup (decision->decided_at, 10), *setting = shim_format_setting (decision->value);

  add_hit (hits, record, title_of_pair_id (reg, decision->pair), join ((const char *[]) { setting, day, decision->note }, 3), "pair",
           decision->pair);
}

/* What people look for most comes first. */
static const struct
{
  const char *kind;
  const char *order;
  gboolean descending;
  void (*add) (ShimRegister *reg, ShimRecord *record, GPtrArray *hits);
} sources[] = {
  { "body", "label", FALSE, add_item },
  { "lens", "label", FALSE, add_item },
  { "converter", "label", FALSE, add_item },
  { "adapter", "label", FALSE, add_item },
  { "pair", NULL, FALSE, add_pair },
  { "job", "on_date", TRUE, add_job },
  { "event", "happened_on", TRUE, add_event },
  { "test", "started_at", TRUE, add_test },
  { "round", NULL, FALSE, add_round },
  { "decision", "decided_at", TRUE, add_decision },
};

/* --- pairs by the names of their items: some of the words name the lens, the others the body --- */

static GPtrArray *
find_ids (ShimRegister *reg, GType type, char **words, guint from, guint to, guint limit, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GString) search = g_string_new (NULL);

  for (guint i = from; i < to; i++)
    g_string_append_printf (search, "%s ", words[i]);
  shim_query_set_search (query, search->str);
  shim_query_add_order (query, "label", FALSE);
  shim_query_set_window (query, 0, limit);
  return shim_register_list_ids (reg, type, query, error);
}

static gboolean
is_found (GPtrArray *hits, const char *id)
{
  for (guint i = 0; i < hits->len; i++)
    if (g_str_equal (((ShimHit *) hits->pdata[i])->id, id))
      return TRUE;
  return FALSE;
}

/* The pairs that the register knows among these bodies and lenses. */
static gboolean
add_cells (ShimRegister *reg, GPtrArray *bodies, GPtrArray *lenses, guint limit, GPtrArray *hits, GError **error)
{
  g_autoptr (GPtrArray) cells = NULL;
  guint n = 0;

  if (bodies->len == 0 || lenses->len == 0)
    return TRUE;
  cells = shim_register_pair_cells (reg, (const char *const *) bodies->pdata, bodies->len, (const char *const *) lenses->pdata,
                                    lenses->len, error);
  for (guint i = 0; cells != NULL && i < cells->len && n < limit; i++)
    {
      const ShimPairNow *now = cells->pdata[i];
      g_autoptr (ShimRecord) pair = now->pair != NULL && !is_found (hits, now->pair)
                                        ? shim_register_get (reg, SHIM_TYPE_PAIR, now->pair, error)
                                        : NULL;

      if (pair == NULL)
        continue;
      add_pair (reg, pair, hits);
      n++;
    }
  return cells != NULL;
}

static gboolean
add_split (ShimRegister *reg, char **words, guint n, guint at, gboolean body_first, guint limit, GPtrArray *hits, GError **error)
{
  g_autoptr (GPtrArray) bodies = find_ids (reg, SHIM_TYPE_BODY, words, body_first ? 0 : at, body_first ? at : n, limit, error);
  g_autoptr (GPtrArray) lenses = NULL;

  if (bodies == NULL)
    return FALSE;
  if (bodies->len == 0)
    return TRUE;
  lenses = find_ids (reg, SHIM_TYPE_LENS, words, body_first ? at : 0, body_first ? n : at, limit, error);
  return lenses != NULL && add_cells (reg, bodies, lenses, limit, hits, error);
}

static gboolean
add_named_pairs (ShimRegister *reg, const char *text, guint limit, GPtrArray *hits, GError **error)
{
  g_auto (GStrv) words = g_strsplit_set (text, " \t\n", -1);
  guint n = 0;

  for (guint i = 0; words[i] != NULL; i++)
    if (*g_strstrip (words[i]) != '\0')
      {
        char *word = words[i];

        words[i] = words[n];
        words[n++] = word;
      }
  if (n > MAX_WORDS_OF_PAIR)
    return TRUE;
  for (guint at = 1; at < n; at++)
    if (!add_split (reg, words, n, at, FALSE, limit, hits, error) || !add_split (reg, words, n, at, TRUE, limit, hits, error))
      return FALSE;
  return TRUE;
}

/* Of what was found those first whose name was meant, and not some number or note of theirs; no more than @limit of them. */
static void
add_by_name (ShimRegister *reg, guint index, const char *words, GPtrArray *records, guint limit, GPtrArray *hits)
{
  guint n = 0;

  for (guint turn = 0; turn < 2; turn++)
    for (guint i = 0; i < records->len && n < limit; i++)
      {
        ShimRecord *record = records->pdata[i];
        g_autofree char *title = shim_record_dup_title (record);

        if (g_str_match_string (words, title, TRUE) == (turn == 0))
          {
            sources[index].add (reg, record, hits);
            n++;
          }
      }
}

static gboolean
add_source (ShimRegister *reg, guint index, const char *words, guint limit, GPtrArray *hits, GError **error)
{
  const gboolean is_item = sources[index].add == add_item;
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) records = NULL;

  shim_query_set_search (query, words);
  shim_query_set_include_archived (query, TRUE);
  if (sources[index].order != NULL)
    shim_query_add_order (query, sources[index].order, sources[index].descending);
  shim_query_set_window (query, 0, is_item ? MIN (limit, G_MAXUINT / ITEMS_READ) * ITEMS_READ : limit);
  records = shim_register_list (reg, shim_kind_type_from_name (sources[index].kind), query, error);
  if (records == NULL)
    return FALSE;
  if (is_item)
    add_by_name (reg, index, words, records, limit, hits);
  else
    for (guint i = 0; i < records->len; i++)
      sources[index].add (reg, records->pdata[i], hits);
  return !g_str_equal (sources[index].kind, "pair") || add_named_pairs (reg, words, limit, hits, error);
}

/**
 * shim_ops_find:
 * @reg: a register
 * @words: as typed: every word begins a word of what is found; "velle two" finds the pair of the lens Velle and the body Two
 * @limit: how many of one kind at most
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (element-type ShimHit) (nullable): what was found, kind by kind; empty when nothing was asked
 */
GPtrArray *
shim_ops_find (ShimRegister *reg, const char *words, guint limit, GError **error)
{
  g_autoptr (GPtrArray) hits = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_hit_free);
  g_autofree char *stripped = g_strstrip (g_strdup (words != NULL ? words : ""));

  g_return_val_if_fail (reg != NULL, NULL);

  for (guint i = 0; *stripped != '\0' && i < G_N_ELEMENTS (sources); i++)
    if (!add_source (reg, i, stripped, limit, hits, error))
      return NULL;
  return g_steal_pointer (&hits);
}
