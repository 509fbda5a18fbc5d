/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-pair-state.h"
#include "shim-register-pairs.h"
#include "shim-register-private.h"
#include "shim-search.h"

/* Lists of pairs and windows of the matrix, from the table pair_now. */

#define SECONDS_PER_DAY 86400.0

/* In the order that read_now() expects. */
#define NOW_COLUMNS                                                                                                    \
  "n.pair, n.body, n.lens, n.converter, n.adapter, n.state, n.reasons, n.value, n.value_long, n.n_table_cells,"        \
  " n.decision, n.decided_at, n.tested_at, n.predicted, n.residual_mm, n.residual_se_mm, n.tolerance_mm,"              \
  " n.error_tolerances, n.out_of_reach, n.slot, n.slot_state, n.slot_value, n.slot_value_long, n.conflict,"            \
  " n.not_needed, strftime ('%s', n.tested_at)"

static ShimPairNow *
read_now (ShimRegister *self, ShimStatement *row)
{
  ShimPairNow *now = shim_pair_now_new (shim_statement_get_text (row, 1), shim_statement_get_text (row, 2));

  now->pair = shim_statement_dup_text (row, 0);
  now->converter = shim_statement_dup_text (row, 3);
  now->adapter = shim_statement_dup_text (row, 4);
  now->state = shim_statement_get_int (row, 5);
  now->reasons = shim_statement_get_int (row, 6);
  now->value = shim_statement_get_int (row, 7);
  now->value_long = shim_statement_get_int (row, 8);
  now->n_table_cells = shim_statement_get_int (row, 9);
  now->decision = shim_statement_dup_text (row, 10);
  now->decided_at = shim_statement_dup_text (row, 11);
  now->tested_at = shim_statement_dup_text (row, 12);
  now->predicted = shim_statement_get_int (row, 13) != 0;
  now->residual_mm = shim_statement_get_real (row, 14);
  now->residual_se_mm = shim_statement_get_real (row, 15);
  now->tolerance_mm = shim_statement_get_real (row, 16);
  now->error_tolerances = shim_statement_get_real (row, 17);
  now->out_of_reach = shim_statement_get_int (row, 18) != 0;
  now->slot = shim_statement_get_int (row, 19);
  now->slot_state = shim_statement_get_int (row, 20);
  now->slot_value = shim_statement_get_int (row, 21);
  now->slot_value_long = shim_statement_get_int (row, 22);
  now->conflict = shim_statement_get_int (row, 23) != 0;
  now->not_needed = shim_statement_get_int (row, 24) != 0;
  if (!shim_statement_is_null (row, 25))
    {
      gint64 tested_s = g_ascii_strtoll (shim_statement_get_text (row, 25), NULL, 10);

      shim_pair_now_set_age (now, (shim_register_now_s (self) - tested_s) / SECONDS_PER_DAY, self->max_age_days);
    }
  return now;
}

static gboolean
read_list (ShimRegister *self, ShimStatement *statement, GPtrArray *list, GError **error)
{
  ShimStep step;

  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    g_ptr_array_add (list, read_now (self, statement));
  return step == SHIM_STEP_DONE;
}

static GPtrArray *
now_list_new (void)
{
  return g_ptr_array_new_with_free_func ((GDestroyNotify) shim_pair_now_free);
}

static char *
placeholders (guint n)
{
  GString *marks = g_string_new (NULL);

  for (guint i = 0; i < n; i++)
    g_string_append (marks, i > 0 ? ", ?" : "?");
  return g_string_free (marks, FALSE);
}

GPtrArray *
shim_register_pair_cells (ShimRegister *self, const char *const *bodies, guint n_bodies, const char *const *lenses, guint n_lenses,
                          GError **error)
{
  g_autoptr (GPtrArray) list = now_list_new ();
  g_autofree char *marks = NULL;
  g_autofree char *sql = NULL;

  g_return_val_if_fail (self != NULL, NULL);

  if (!shim_register_flush (self, error))
    return NULL;
  marks = placeholders (n_lenses);
  sql = g_strconcat ("SELECT " NOW_COLUMNS " FROM pair_now AS n WHERE n.body = ? AND n.converter IS NULL AND n.lens IN (", marks,
                     ")", NULL);
  for (guint i = 0; i < n_bodies; i++)
    {
      g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, sql, error);

      if (statement == NULL)
        return NULL;
      shim_statement_bind_text (statement, 1, bodies[i]);
      for (guint j = 0; j < n_lenses; j++)
        shim_statement_bind_text (statement, j + 2, lenses[j]);
      if (!read_list (self, statement, list, error))
        return NULL;
    }
  return g_steal_pointer (&list);
}

/* --- Filtered lists --- */

/* Numbered parameters: the text is the same for every value, so that the statement is kept. */
enum
{
  PARAM_BODY = 1,
  PARAM_LENS,
  PARAM_BODY_MOUNT,
  PARAM_LENS_MOUNT,
  PARAM_JOB,
  PARAM_OLDEST,
  PARAM_AHEAD,
  PARAM_LIMIT,
  PARAM_OFFSET,
  PARAM_LENS_WORDS,
  PARAM_BODY_WORDS,
  PARAM_CONVERTER,
};

#define IN_JOB(column)                                                                                                 \
  " AND n." column " IN (SELECT j.item FROM job_item AS j WHERE j.job = ?5"                                            \
  " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = j.id))"

/* What somebody typed, made ready. Few records found: they are looked up in the index, and their pairs are fetched. Many: the words of
 * each pair are looked at as it comes by. */
typedef struct
{
  char *lens; /* NULL = nothing typed */
  char *body;
  gboolean few_lenses;
  gboolean few_bodies;
} Words;

static void
words_clear (Words *words)
{
  g_free (words->lens);
  g_free (words->body);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Words, words_clear)

static gboolean
read_words (ShimRegister *self, const char *typed, const char *kind, char **words, gboolean *few, GError **error)
{
  g_autofree char *plain = typed != NULL ? shim_search_plain (typed) : NULL;
  g_autofree char *match = NULL;

  if (plain == NULL || *plain == '\0')
    return TRUE;
  match = shim_search_match (kind, plain);
  if (!shim_search_are_few (self->db, match, few, error))
    return FALSE;
  *words = *few ? g_steal_pointer (&match) : g_steal_pointer (&plain);
  return TRUE;
}

static gboolean
words_init (Words *words, ShimRegister *self, const ShimPairFilter *filter, GError **error)
{
  return read_words (self, filter->lens_words, NULL, &words->lens, &words->few_lenses, error)
         && read_words (self, filter->body_words, "body", &words->body, &words->few_bodies, error);
}

#define FOUND(param) "(SELECT s.id FROM search CROSS JOIN search_text AS s ON s.n = search.rowid WHERE search MATCH " param ")"
#define HAS_WORDS(ids, param) "EXISTS (SELECT 1 FROM search_text AS s WHERE s.id IN (" ids ") AND shim_has_words (s.words, " param "))"

static void
add_words (GString *sql, const Words *words)
{
  if (words->lens != NULL)
    g_string_append (sql, words->few_lenses ? " AND (n.lens IN " FOUND ("?10") " OR n.converter IN " FOUND ("?10") ")"
                                            : " AND " HAS_WORDS ("n.lens, n.converter", "?10"));
  if (words->body != NULL)
    g_string_append (sql, words->few_bodies ? " AND n.body IN " FOUND ("?11") : " AND " HAS_WORDS ("n.body", "?11"));
}

static char *
stored_states (guint states)
{
  GString *list = g_string_new (NULL);

  for (guint i = 0; i <= SHIM_PAIR_NOT_NEEDED; i++)
    if (states & (1u << i))
      g_string_append_printf (list, "%s%u", list->len > 0 ? ", " : "", i);
  return g_string_free (list, FALSE);
}

#define DUE_BIT (1u << SHIM_PAIR_DUE)
#define TUNED_BIT (1u << SHIM_PAIR_TUNED)
#define TOO_OLD "(n.tested_at < %s OR n.tested_at > %s)"

/**
 * shim_register_add_pair_states:
 * @self: a register
 * @sql: a condition of rows of pair_now AS n, which " AND …" is added to
 * @states: bits 1 << #ShimPairState; 0 = all
 * @reasons: what it must be due for, one of them; 0 = anything
 * @oldest: marker of the parameter with the time before which a test is too old
 * @ahead: marker of the one after which a test is dated ahead
 *
 * The table does not know that time passes: a pair kept as tuned is due when its test is too old (or dated ahead).
 *
 * Returns: whether the two parameters are used, in this order
 */
gboolean
shim_register_add_pair_states (ShimRegister *self, GString *sql, guint states, ShimDueReasons reasons, const char *oldest,
                               const char *ahead)
{
  g_autofree char *plain = NULL;
  gboolean due = (states & DUE_BIT) != 0, tuned = (states & TUNED_BIT) != 0;

  if (reasons != SHIM_DUE_NONE)
    g_string_append_printf (sql, " AND n.state = %d AND n.reasons & %u <> 0", SHIM_PAIR_DUE, (guint) reasons);
  if (states == 0)
    return FALSE;
  if (self->max_age_days <= 0.0 || due == tuned || reasons != SHIM_DUE_NONE)
    {
      plain = stored_states (states);
      g_string_append_printf (sql, " AND n.state IN (%s)", plain);
      return FALSE;
    }
  plain = stored_states (states & ~TUNED_BIT);
  if (due)
    g_string_append_printf (sql, " AND (n.state IN (%s) OR (n.state = %d AND " TOO_OLD "))", plain, SHIM_PAIR_TUNED, oldest, ahead);
  else if (*plain != '\0')
    g_string_append_printf (sql, " AND (n.state IN (%s) OR (n.state = %d AND NOT " TOO_OLD "))", plain, SHIM_PAIR_TUNED, oldest, ahead);
  else
    g_string_append_printf (sql, " AND n.state = %d AND NOT " TOO_OLD, SHIM_PAIR_TUNED, oldest, ahead);
  return TRUE;
}

static void
add_conditions (ShimRegister *self, GString *sql, const ShimPairFilter *filter, const Words *words, const char *source)
{
  g_string_append_printf (sql, " FROM %s WHERE 1", source);
  if (filter->body != NULL)
    g_string_append (sql, " AND n.body = ?1");
  if (filter->lens != NULL)
    g_string_append (sql, " AND n.lens = ?2");
  if (filter->converter != NULL)
    g_string_append (sql, " AND n.pair IN (SELECT id FROM pair WHERE converter = ?12)");
  if (filter->body_mount != NULL)
    g_string_append (sql, " AND n.body_mount = ?3");
  if (filter->lens_mount != NULL)
    g_string_append (sql, " AND n.lens_mount = ?4");
  if (filter->job != NULL)
    g_string_append (sql, IN_JOB ("body") IN_JOB ("lens") " AND (n.converter IS NULL OR (1" IN_JOB ("converter") "))");
  add_words (sql, words);
  if (filter->conflict)
    g_string_append (sql, " AND n.conflict <> 0");
  shim_register_add_pair_states (self, sql, filter->states, filter->reasons, "?6", "?7");
}

/* A list in an order that an index has can be had in two ways: walking the index until the window is full, or fetching what the
 * conditions leave and sorting it. The plus sign keeps SQLite from using the index. */
#define PLAIN "pair_now AS n"
#define LENS_NAME "(SELECT k.sort_key FROM search_text AS k WHERE k.id = n.lens)"
#define BODY_NAME "(SELECT k.sort_key FROM search_text AS k WHERE k.id = n.body)"
#define BY_NAME_OF(kind) \
  "search_text AS o INDEXED BY search_text_by_sort_key CROSS JOIN pair_now AS n INDEXED BY pair_now_by_" kind \
  " ON o.kind = '" kind "' AND n." kind " = o.id"

static const struct
{
  const char *source; /* of a walk */
  const char *walk;
  const char *fetch;
} orders[] = {
  [SHIM_PAIR_ORDER_ENTRY] = { PLAIN, "n.pair", "+n.pair" },
  [SHIM_PAIR_ORDER_OLDEST] = { PLAIN " INDEXED BY pair_now_by_age", "n.tested_at, n.pair", "+n.tested_at, n.pair" },
  [SHIM_PAIR_ORDER_WORST] = { PLAIN " INDEXED BY pair_now_by_error", "n.error_tolerances DESC, n.pair DESC",
                              "+n.error_tolerances DESC, n.pair DESC" },
  [SHIM_PAIR_ORDER_NEWEST] = { PLAIN " INDEXED BY pair_now_by_age", "n.tested_at DESC, n.pair DESC",
                               "+n.tested_at DESC, n.pair DESC" },
  [SHIM_PAIR_ORDER_LENS] = { BY_NAME_OF ("lens"), "o.sort_key, o.id, " BODY_NAME ", n.pair", LENS_NAME ", n.lens, " BODY_NAME ", n.pair" },
  [SHIM_PAIR_ORDER_BODY] = { BY_NAME_OF ("body"), "o.sort_key, o.id, " LENS_NAME ", n.pair", BODY_NAME ", n.body, " LENS_NAME ", n.pair" },
};

/* So many are sorted sooner than one in a hundred of them is found on a walk. */
#define FEW 2000

static char *
format_time (gint64 unix_s)
{
  g_autoptr (GDateTime) time = g_date_time_new_from_unix_utc (unix_s);

  return time != NULL ? g_date_time_format (time, "%Y-%m-%dT%H:%M:%SZ") : g_strdup ("0000");
}

/**
 * shim_register_dup_age_limits:
 * @self: a register
 * @oldest: (out): tests before this time are too old
 * @ahead: (out): tests after it are dated in the future, with the same day's grace as shim_due_reasons() gives
 */
void
shim_register_dup_age_limits (ShimRegister *self, char **oldest, char **ahead)
{
  *oldest = format_time (shim_register_now_s (self) - (gint64) (self->max_age_days * SECONDS_PER_DAY));
  *ahead = format_time (shim_register_now_s (self) + (gint64) SECONDS_PER_DAY);
}

static ShimStatement *
prepare_filtered (ShimRegister *self, const char *sql, const ShimPairFilter *filter, const Words *words, gint64 limit, GError **error)
{
  g_autofree char *oldest = NULL, *ahead = NULL;
  ShimStatement *statement = shim_db_prepare (self->db, sql, error);

  if (statement == NULL)
    return NULL;
  shim_register_dup_age_limits (self, &oldest, &ahead);
  /* Parameters that this text does not have are passed over by SQLite. */
  shim_statement_bind_text (statement, PARAM_BODY, filter->body);
  shim_statement_bind_text (statement, PARAM_LENS, filter->lens);
  shim_statement_bind_text (statement, PARAM_BODY_MOUNT, filter->body_mount);
  shim_statement_bind_text (statement, PARAM_LENS_MOUNT, filter->lens_mount);
  shim_statement_bind_text (statement, PARAM_JOB, filter->job);
  shim_statement_bind_text (statement, PARAM_OLDEST, oldest);
  shim_statement_bind_text (statement, PARAM_AHEAD, ahead);
  shim_statement_bind_int (statement, PARAM_LIMIT, limit > 0 ? limit : -1);
  shim_statement_bind_int (statement, PARAM_OFFSET, filter->offset);
  shim_statement_bind_text (statement, PARAM_LENS_WORDS, words->lens);
  shim_statement_bind_text (statement, PARAM_BODY_WORDS, words->body);
  shim_statement_bind_text (statement, PARAM_CONVERTER, filter->converter);
  return statement;
}

/* Counts what the conditions leave, up to @limit. */
static gint64
count_up_to (ShimRegister *self, const ShimPairFilter *filter, const Words *words, gint64 limit, GError **error)
{
  g_autoptr (GString) sql = g_string_new ("SELECT count(*) FROM (SELECT 1");
  g_autoptr (ShimStatement) statement = NULL;

  add_conditions (self, sql, filter, words, PLAIN);
  g_string_append (sql, " LIMIT ?8)");
  statement = prepare_filtered (self, sql->str, filter, words, limit, error);
  if (statement == NULL || shim_statement_step (statement, error) != SHIM_STEP_ROW)
    return -1;
  return shim_statement_get_int (statement, 0);
}

/* Whether to walk the index of the order; -1 with @error set. */
static int
choose_walk (ShimRegister *self, const ShimPairFilter *filter, const Words *words, GError **error)
{
  gint64 n;

  if (filter->body != NULL || filter->lens != NULL || filter->converter != NULL || filter->job != NULL)
    return 0;
  if (filter->states == 0 && filter->reasons == SHIM_DUE_NONE && !filter->conflict && filter->body_mount == NULL
      && filter->lens_mount == NULL && words->lens == NULL && words->body == NULL)
    return 1;
  n = count_up_to (self, filter, words, FEW + 1, error);
  return n < 0 ? -1 : n > FEW;
}

GPtrArray *
shim_register_pairs (ShimRegister *self, const ShimPairFilter *filter, GError **error)
{
  g_autoptr (GPtrArray) list = now_list_new ();
  g_autoptr (GString) sql = g_string_new ("SELECT " NOW_COLUMNS);
  g_autoptr (ShimStatement) statement = NULL;
  g_auto (Words) words = { NULL };
  int walk;

  g_return_val_if_fail (self != NULL && filter != NULL, NULL);
  g_return_val_if_fail (filter->order < G_N_ELEMENTS (orders), NULL);

  if (!shim_register_flush (self, error) || !words_init (&words, self, filter, error)
      || (walk = choose_walk (self, filter, &words, error)) < 0)
    return NULL;
  add_conditions (self, sql, filter, &words, walk ? orders[filter->order].source : PLAIN);
  g_string_append_printf (sql, " ORDER BY %s LIMIT ?8 OFFSET ?9", walk ? orders[filter->order].walk : orders[filter->order].fetch);
  statement = prepare_filtered (self, sql->str, filter, &words, filter->limit, error);
  return statement != NULL && read_list (self, statement, list, error) ? g_steal_pointer (&list) : NULL;
}

gint64
shim_register_count_pairs (ShimRegister *self, const ShimPairFilter *filter, gint64 most, GError **error)
{
  g_auto (Words) words = { NULL };

  g_return_val_if_fail (self != NULL && filter != NULL, -1);

  if (!shim_register_flush (self, error) || !words_init (&words, self, filter, error))
    return -1;
  return count_up_to (self, filter, &words, most, error);
}

ShimPairNow *
shim_register_pair_now (ShimRegister *self, const char *pair, GError **error)
{
  g_autoptr (ShimStatement) statement = NULL;
  ShimStep step;

  g_return_val_if_fail (self != NULL && pair != NULL, NULL);

  if (!shim_register_flush (self, error))
    return NULL;
  statement = shim_db_prepare (self->db, "SELECT " NOW_COLUMNS " FROM pair_now AS n WHERE n.pair = ?1", error);
  if (statement == NULL)
    return NULL;
  shim_statement_bind_text (statement, 1, pair);
  step = shim_statement_step (statement, error);
  if (step == SHIM_STEP_ROW)
    return read_now (self, statement);
  if (step == SHIM_STEP_DONE)
    g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND, _ ("There is no pair with the id “%s”."), pair);
  return NULL;
}
