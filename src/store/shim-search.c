/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-row.h"
#include "shim-search.h"

/* The index behind "search over everything as one types": SQLite's FTS5, kept in step by the store. */

/* More words than anybody types; a pasted page must not become a query of a thousand terms. */
#define MAX_WORDS 16

/* Endings of a serial shorter than this would find half the kit. */
#define MIN_ENDING 3
#define MAX_SERIAL 40

/**
 * shim_search_plain:
 * @text: what somebody typed, or the text of a field
 *
 * The words alone: no accents, no capitals, one blank between two. Both what is searched and what is looked for go through here, so
 * that the index and the comparison of single records agree.
 *
 * Returns: (transfer full): the words; empty when there is none
 */
char *
shim_search_plain (const char *text)
{
  g_autofree char *valid = g_utf8_make_valid (text, -1);
  g_autofree char *apart = g_utf8_normalize (valid, -1, G_NORMALIZE_ALL);
  GString *plain = g_string_new (NULL);
  gboolean in_word = FALSE;

  for (const char *p = apart; *p != '\0'; p = g_utf8_next_char (p))
    {
      gunichar c = g_utf8_get_char (p);

      if (g_unichar_ismark (c))
        continue;
      if (g_unichar_isalnum (c))
        {
          if (!in_word && plain->len > 0)
            g_string_append_c (plain, ' ');
          g_string_append_unichar (plain, g_unichar_tolower (c));
        }
      in_word = g_unichar_isalnum (c);
    }
  return g_string_free (plain, FALSE);
}

/* Above this, the number of digits takes three digits more. */
#define MOST_DIGITS 8

/**
 * shim_search_sort_key:
 * @title: (nullable): a name
 *
 * Names sorted by their keys go by their words, and where these hold numbers by their size: 24–70, 50, 105. Each number is led by how
 * many digits it has.
 *
 * Returns: (transfer full): the key
 */
char *
shim_search_sort_key (const char *title)
{
  g_autofree char *plain = shim_search_plain (title != NULL ? title : "");
  GString *key = g_string_new (NULL);

  for (const char *p = plain; *p != '\0';)
    {
      gsize n;

      if (!g_ascii_isdigit (*p))
        {
          g_string_append_c (key, *p++);
          continue;
        }
      while (*p == '0' && g_ascii_isdigit (p[1]))
        p++;
      n = strspn (p, "0123456789");
      if (n <= MOST_DIGITS)
        g_string_append_printf (key, "%u", (guint) n);
      else
        g_string_append_printf (key, "9%03u", (guint) MIN (n, 999));
      g_string_append_len (key, p, n);
      p += n;
    }
  return g_string_free (key, FALSE);
}

static void
sort_key_func (sqlite3_context *context, int n, sqlite3_value **values)
{
  sqlite3_result_text (context, shim_search_sort_key ((const char *) sqlite3_value_text (values[0])), -1, g_free);
}

/**
 * shim_search_lend_sort_key:
 * @db: a connection
 *
 * Lets SQL ask for shim_sort_key (title), which a step of the schema does.
 */
void
shim_search_lend_sort_key (ShimDb *db)
{
  sqlite3_create_function (shim_db_get_handle (db), "shim_sort_key", 1, SQLITE_UTF8 | SQLITE_DETERMINISTIC | SQLITE_DIRECTONLY, NULL,
                           sort_key_func, NULL, NULL);
}

/**
 * shim_search_match:
 * @kind: (nullable): name of a kind; %NULL = all
 * @plain: words as of shim_search_plain(), at least one
 *
 * Returns: (transfer full): a MATCH expression that wants every word to begin a word of the record
 */
char *
shim_search_match (const char *kind, const char *plain)
{
  g_auto (GStrv) words = g_strsplit (plain, " ", MAX_WORDS + 1);
  g_autoptr (GString) match = g_string_new (NULL);

  for (guint i = 0; i < MAX_WORDS && words[i] != NULL; i++)
    g_string_append_printf (match, "%s\"%s\" *", i > 0 ? " AND " : "", words[i]);
  if (kind == NULL)
    return g_strdup_printf ("words : (%s)", match->str);
  return g_strdup_printf ("kind : \"%s\" AND words : (%s)", kind, match->str);
}

/* So many records are fetched and sorted sooner than the list is walked through for them. */
#define FEW 300

/**
 * shim_search_are_few:
 * @db: a connection
 * @match: a MATCH expression
 * @few: (out): whether no more than a few records match
 * @error: return location
 *
 * Counts no further than it must.
 */
gboolean
shim_search_are_few (ShimDb *db, const char *match, gboolean *few, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (db, "SELECT count(*) FROM (SELECT 1 FROM search WHERE search MATCH ?1 LIMIT ?2)", error);

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, match);
  shim_statement_bind_int (statement, 2, FEW + 1);
  if (shim_statement_step (statement, error) != SHIM_STEP_ROW)
    return FALSE;
  *few = shim_statement_get_int (statement, 0) <= FEW;
  return TRUE;
}

static void
add_endings (GString *words, const char *serial)
{
  glong length = g_utf8_strlen (serial, -1);

  if (length > MAX_SERIAL)
    return;
  for (glong i = 1; i <= length - MIN_ENDING; i++)
    g_string_append_printf (words, " %s", g_utf8_offset_to_pointer (serial, i));
}

static char *
words_of (ShimRecord *record)
{
  const ShimKind *kind = shim_record_get_kind (record);
  GString *words = g_string_new (NULL);
  char *plain;

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];

      if ((field->flags & SHIM_FIELD_SEARCHED) == 0 || !shim_record_is_known (record, field))
        continue;
      g_string_append_printf (words, "%s%s", words->len > 0 ? " " : "", shim_record_get_text (record, field));
      if (g_str_equal (field->name, "serial"))
        add_endings (words, shim_record_get_text (record, field));
    }
  plain = shim_search_plain (words->str);
  g_string_free (words, TRUE);
  return plain;
}

/* An index that does not keep its text must be told the old text to forget it. */
static gboolean
forget_words (ShimDb *db, gint64 n, const char *kind, const char *words, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (db, "INSERT INTO search (search, rowid, kind, words) VALUES ('delete', ?1, ?2, ?3)", error);

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_int (statement, 1, n);
  shim_statement_bind_text (statement, 2, kind);
  shim_statement_bind_text (statement, 3, words);
  return shim_statement_run (statement, error);
}

static gboolean
add_words (ShimDb *db, const char *id, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (
      db, "INSERT INTO search (rowid, kind, words) SELECT n, kind, words FROM search_text WHERE id = ?1", error);

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, id);
  return shim_statement_run (statement, error);
}

/* Takes the words of a record out of the index, if it is there. Its line in search_text stays. */
static gboolean
forget (ShimDb *db, const char *id, gboolean *was_there, GError **error)
{
  g_autoptr (ShimStatement) find = shim_db_prepare (db, "SELECT n, kind, words FROM search_text WHERE id = ?1", error);
  ShimStep step;

  if (find == NULL)
    return FALSE;
  shim_statement_bind_text (find, 1, id);
  step = shim_statement_step (find, error);
  *was_there = step == SHIM_STEP_ROW;
  if (step != SHIM_STEP_ROW)
    return step == SHIM_STEP_DONE;
  return forget_words (db, shim_statement_get_int (find, 0), shim_statement_get_text (find, 1), shim_statement_get_text (find, 2),
                       error);
}

/**
 * shim_search_drop:
 * @db: a connection
 * @id: a record that is not to be found any more
 * @error: return location
 */
gboolean
shim_search_drop (ShimDb *db, const char *id, GError **error)
{
  g_autoptr (ShimStatement) drop = shim_db_prepare (db, "DELETE FROM search_text WHERE id = ?1", error);
  gboolean was_there;

  if (drop == NULL || !forget (db, id, &was_there, error))
    return FALSE;
  shim_statement_bind_text (drop, 1, id);
  return !was_there || shim_statement_run (drop, error);
}

static gboolean
is_archived (ShimRecord *record)
{
  const ShimField *field = shim_kind_find_field (shim_record_get_kind (record), "archived");

  return field != NULL && shim_record_get_int (record, field) != 0;
}

/**
 * shim_search_put:
 * @db: a connection
 * @record: a record as it is now
 * @error: return location
 *
 * Lets it be found by its searched fields; nothing when it has none.
 */
gboolean
shim_search_put (ShimDb *db, ShimRecord *record, GError **error)
{
  g_autofree char *words = words_of (record);
  g_autofree char *title = NULL, *sort_key = NULL;
  g_autoptr (ShimStatement) put = NULL;
  gboolean was_there;

  if (*words == '\0')
    return shim_search_drop (db, record->id, error);
  if (!forget (db, record->id, &was_there, error))
    return FALSE;
  /* A record keeps its place among those found. */
  put = shim_db_prepare (db,
                         was_there ? "UPDATE search_text SET kind = ?1, title = ?3, words = ?4, archived = ?5, sort_key = ?6 WHERE id = ?2"
                                   : "INSERT INTO search_text (kind, id, title, words, archived, sort_key)"
                                     " VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                         error);
  if (put == NULL)
    return FALSE;
  title = shim_record_dup_title (record);
  sort_key = shim_search_sort_key (title);
  shim_statement_bind_text (put, 1, shim_record_get_kind (record)->name);
  shim_statement_bind_text (put, 2, record->id);
  shim_statement_bind_text (put, 3, title);
  shim_statement_bind_text (put, 4, words);
  shim_statement_bind_int (put, 5, is_archived (record));
  shim_statement_bind_text (put, 6, sort_key);
  return shim_statement_run (put, error) && add_words (db, record->id, error);
}
