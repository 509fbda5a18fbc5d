/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "store-fixture.h"

static void
assert_sound (ShimRegister *reg)
{
  g_autoptr (GPtrArray) problems = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (shim_register_check (reg, &problems, &error));
  g_assert_no_error (error);
  for (guint i = 0; i < problems->len; i++)
    g_test_message ("%s", (char *) problems->pdata[i]);
  g_assert_cmpuint (problems->len, ==, 0);
}

static int
by_title (gconstpointer a, gconstpointer b)
{
  return g_strcmp0 ((*(ShimFound *const *) a)->title, (*(ShimFound *const *) b)->title);
}

/* Everything that a person sees of the register, as text. */
static char *
describe (ShimRegister *reg)
{
  GString *text = g_string_new (NULL);
  const GType *types;
  guint n_types;

  types = shim_kind_list_types (&n_types);
  for (guint i = 0; i < n_types; i++)
    {
      const ShimKind *kind = shim_kind_for_type (types[i]);
      g_autoptr (ShimQuery) query = shim_query_new ();
      g_autoptr (GPtrArray) list = NULL;

      shim_query_set_include_archived (query, TRUE);
      shim_query_add_order (query, "id", FALSE);
      list = shim_register_list (reg, types[i], query, NULL);
      for (guint j = 0; j < list->len; j++)
        for (guint k = 0; k < kind->n_fields; k++)
          if (kind->fields[k].type != SHIM_FIELD_BLOB)
            {
              g_autofree char *value = shim_record_to_string (list->pdata[j], &kind->fields[k]);

              g_string_append_printf (text, "%s.%s=%s\n", kind->name, kind->fields[k].name, value);
            }
    }
  {
    const ShimPairFilter all = { 0 };
    g_autoptr (GPtrArray) pairs = shim_register_pairs (reg, &all, NULL);
    g_autoptr (GPtrArray) found = shim_register_search (reg, "e", 0, NULL);

    for (guint i = 0; i < pairs->len; i++)
      {
        const ShimPairNow *now = pairs->pdata[i];

        g_string_append_printf (text, "now %s %d %d %" G_GINT64_FORMAT " %" G_GINT64_FORMAT " %d %d\n", now->pair, now->state,
                                now->reasons, now->value, now->slot, now->slot_state, now->conflict);
      }
    g_ptr_array_sort (found, by_title);
    for (guint i = 0; i < found->len; i++)
      g_string_append_printf (text, "found %s\n", ((ShimFound *) found->pdata[i])->title);
  }
  return g_string_free (text, FALSE);
}

static void
make_knock (StoreFixture *f)
{
  g_free (store_add_event (f->reg, "body", f->body, "knock", "2026-06-01", TRUE));
}

static void
make_accepted_test (StoreFixture *f)
{
  g_assert_true (shim_register_begin (f->reg, "Accept +3", NULL));
  {
    g_autofree char *pair = store_add_pair (f->reg, f->body, f->lens);
    g_autofree char *test = store_add_test (f->reg, pair, "2026-05-01T10:00:00Z");
    g_autofree char *round = store_add_round (f->reg, test, 0);
    g_autoptr (ShimFrame) frame = store_frame_new (round, 1);

    g_free (store_add (f->reg, frame));
    g_free (store_add_decision (f->reg, pair, test, "2026-05-01T11:00:00Z", 3));
    g_free (store_add_slot (f->reg, f->body, 1, pair, 3, "keyed", "2026-05-01T11:10:00Z"));
  }
  g_assert_true (shim_register_commit (f->reg, NULL));
}

static void
make_reset (StoreFixture *f)
{
  guint n_lost;

  g_assert_true (shim_register_begin (f->reg, "Reset of Orrin One", NULL));
  g_free (store_add_event (f->reg, "body", f->body, "reset", "2026-06-02", FALSE));
  g_assert_true (shim_register_lose_slots (f->reg, f->body, NULL, &n_lost, NULL));
  g_assert_cmpuint (n_lost, ==, 1);
  g_assert_true (shim_register_commit (f->reg, NULL));
}

static void
make_edit (StoreFixture *f)
{
  g_autoptr (ShimRecord) lens = shim_register_get (f->reg, SHIM_TYPE_LENS, f->lens, NULL);

  STORE_SET (lens, "label", "Velle eighty-five", "holder", "Mina", "note", "scratch on the hood");
  g_assert_true (shim_register_update (f->reg, lens, NULL));
}

static void
make_archive (StoreFixture *f)
{
  g_autoptr (ShimRecord) lens = shim_register_get (f->reg, SHIM_TYPE_LENS, f->lens_two, NULL);

  STORE_SET (lens, "archived", TRUE);
  g_assert_true (shim_register_update (f->reg, lens, NULL));
}

static void
make_job (StoreFixture *f)
{
  g_autoptr (ShimJob) job = shim_job_new ();
  g_autoptr (ShimJobItem) item = shim_job_item_new ();
  g_autofree char *id = NULL;

  g_assert_true (shim_register_begin (f->reg, "Prepare the school play", NULL));
  STORE_SET (job, "name", "School play");
  id = store_add (f->reg, job);
  STORE_SET (item, "job", id, "item-kind", "lens", "item", f->lens);
  g_free (store_add (f->reg, item));
  g_assert_true (shim_register_commit (f->reg, NULL));
}

/* Every kind of change: undone one after the other, each state is what it was before; redone, what it was after. */
static void
test_there_and_back (void)
{
  static void (*const changes[]) (StoreFixture *) = { make_accepted_test, make_knock, make_reset, make_edit, make_archive, make_job };
  char *states[G_N_ELEMENTS (changes) + 1];
  StoreFixture f;
  g_autoptr (GError) error = NULL;
  g_autofree char *summary = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  states[0] = describe (f.reg);
  for (guint i = 0; i < G_N_ELEMENTS (changes); i++)
    {
      changes[i](&f);
      states[i + 1] = describe (f.reg);
      g_assert_cmpstr (states[i], !=, states[i + 1]);
    }
  g_assert_false (shim_register_can_redo (f.reg, NULL));
  g_assert_true (shim_register_can_undo (f.reg, &summary));
  g_assert_cmpstr (summary, ==, "Prepare the school play");
  for (guint round = 0; round < 2; round++)
    {
      for (guint i = G_N_ELEMENTS (changes); i-- > 0;)
        {
          g_autofree char *now = NULL;

          g_assert_true (shim_register_undo (f.reg, NULL, &error));
          g_assert_no_error (error);
          now = describe (f.reg);
          g_assert_cmpstr (now, ==, states[i]);
          assert_sound (f.reg);
        }
      store_fixture_reopen (&f);
      for (guint i = 0; i < G_N_ELEMENTS (changes); i++)
        {
          g_autofree char *now = NULL;

          g_assert_true (shim_register_redo (f.reg, NULL, &error));
          g_assert_no_error (error);
          now = describe (f.reg);
          g_assert_cmpstr (now, ==, states[i + 1]);
        }
      assert_sound (f.reg);
    }
  /* What is worked out comes to the same when it is made anew. */
  {
    g_autofree char *now = NULL;

    g_assert_true (shim_register_rebuild (f.reg, &error));
    g_assert_no_error (error);
    now = describe (f.reg);
    g_assert_cmpstr (now, ==, states[G_N_ELEMENTS (changes)]);
  }
  for (guint i = 0; i < G_N_ELEMENTS (states); i++)
    g_free (states[i]);
  store_fixture_tear_down (&f);
}

static void
test_nothing_left (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  g_assert_false (shim_register_can_undo (f.reg, NULL));
  g_assert_false (shim_register_undo (f.reg, NULL, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOTHING);
  g_clear_error (&error);
  store_fixture_fill (&f);
  g_assert_true (shim_register_undo (f.reg, NULL, &error));
  make_knock (&f);
  /* A new change: what was undone before cannot be redone. */
  g_assert_false (shim_register_redo (f.reg, NULL, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOTHING);
  store_fixture_tear_down (&f);
}

/* The id of the newest line of the history. */
static char *
newest_entry (StoreFixture *f)
{
  g_autoptr (GPtrArray) history = shim_register_history (f->reg, NULL, 1, 0, NULL);

  return g_strdup (((ShimHistoryEntry *) history->pdata[0])->id);
}

/* An older change is undone by itself; what came later stays, and stops it only where it depends on it. */
static void
test_older (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) lens = NULL, again = NULL;
  g_autofree char *edit = NULL, *test = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  make_accepted_test (&f);
  test = newest_entry (&f);
  make_edit (&f);
  edit = newest_entry (&f);
  make_archive (&f);
  make_reset (&f);

  g_assert_true (shim_register_undo_entry (f.reg, edit, TRUE, NULL, &error));
  lens = shim_register_get (f.reg, SHIM_TYPE_LENS, f.lens, NULL);
  g_assert_cmpstr (SHIM_LENS (lens)->label, !=, "Velle eighty-five");
  lens = (g_object_unref (lens), shim_register_get (f.reg, SHIM_TYPE_LENS, f.lens_two, NULL));
  g_assert_cmpint (SHIM_LENS (lens)->archived, ==, 1);
  g_assert_false (shim_register_undo_entry (f.reg, edit, TRUE, NULL, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOTHING);
  g_clear_error (&error);
  g_assert_true (shim_register_undo_entry (f.reg, edit, FALSE, NULL, &error));
  again = shim_register_get (f.reg, SHIM_TYPE_LENS, f.lens, NULL);
  g_assert_cmpstr (SHIM_LENS (again)->label, ==, "Velle eighty-five");
  /* The reset lost the slot that this one filled. */
  g_assert_false (shim_register_undo_entry (f.reg, test, TRUE, NULL, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONFLICT);
  store_fixture_tear_down (&f);
}

/* Somebody went past the store: undo does not write over it. */
static void
test_conflict (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;
  g_autofree char *before = NULL;
  g_autofree char *after = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  make_edit (&f);
  store_exec (f.path, "UPDATE lens SET holder = 'Jonas' WHERE holder = 'Mina'");
  before = describe (f.reg);
  g_assert_false (shim_register_undo (f.reg, NULL, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONFLICT);
  g_assert_nonnull (strstr (error->message, "Velle eighty-five"));
  after = describe (f.reg);
  g_assert_cmpstr (before, ==, after);
  store_fixture_tear_down (&f);
}

static void
test_nested (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimLens) one = store_lens_new ("One", NULL);
  g_autoptr (ShimLens) two = store_lens_new ("Two", NULL);
  g_autoptr (ShimLens) bad = store_lens_new (NULL, NULL);

  store_fixture_set_up (&f);
  /* A record that is refused leaves the larger change going. */
  g_assert_true (shim_register_begin (f.reg, "Import", &error));
  g_assert_true (shim_register_begin (f.reg, "Joined", &error));
  g_free (store_add (f.reg, one));
  g_assert_false (shim_register_insert (f.reg, SHIM_RECORD (bad), NULL));
  g_assert_true (shim_register_commit (f.reg, &error));
  g_free (store_add (f.reg, two));
  g_assert_true (shim_register_commit (f.reg, &error));
  g_assert_no_error (error);
  g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, NULL, NULL), ==, 2);
  {
    g_autoptr (GPtrArray) history = shim_register_history (f.reg, NULL, 0, 0, &error);

    g_assert_cmpuint (history->len, ==, 1);
    g_assert_cmpstr (((ShimHistoryEntry *) history->pdata[0])->summary, ==, "Import");
  }
  /* An inner rollback takes all of it. */
  g_assert_true (shim_register_begin (f.reg, "Outer", &error));
  g_assert_true (shim_register_begin (f.reg, "Inner", &error));
  shim_register_rollback (f.reg);
  g_assert_false (shim_register_commit (f.reg, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FAILED);
  g_clear_error (&error);
  /* A change that alters nothing leaves no history. */
  g_assert_true (shim_register_begin (f.reg, "Nothing", &error));
  g_assert_true (shim_register_update (f.reg, SHIM_RECORD (one), &error));
  g_assert_true (shim_register_commit (f.reg, &error));
  {
    g_autoptr (GPtrArray) history = shim_register_history (f.reg, NULL, 0, 0, &error);

    g_assert_cmpuint (history->len, ==, 1);
  }
  store_fixture_tear_down (&f);
}

static const ShimHistoryChange *
find_change (ShimHistoryEntry *entry, const char *field)
{
  for (guint i = 0; i < entry->changes->len; i++)
    {
      const ShimHistoryChange *change = entry->changes->pdata[i];

      if (g_strcmp0 (change->field, field) == 0)
        return change;
    }
  return NULL;
}

static void
test_history (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  shim_register_set_who (f.reg, "Mina");
  make_edit (&f);
  {
    g_autoptr (ShimRecord) body = shim_register_get (f.reg, SHIM_TYPE_BODY, f.body, NULL);

    STORE_SET (body, "tells-lenses-by", "model", "slot-count", G_GINT64_CONSTANT (12));
    g_assert_true (shim_register_update (f.reg, body, &error));
  }
  {
    g_autoptr (GPtrArray) history = shim_register_history (f.reg, f.lens, 0, 0, &error);
    ShimHistoryEntry *edit = history->pdata[0], *added = history->pdata[1];

    g_assert_cmpuint (history->len, ==, 2);
    g_assert_cmpstr (edit->who, ==, "Mina");
    g_assert_cmpstr (edit->summary, ==, "Lens changed: Velle eighty-five");
    g_assert_cmpuint (edit->changes->len, ==, 3);
    g_assert_cmpstr (find_change (edit, "Name")->before, ==, "Velle 85 first");
    g_assert_cmpstr (find_change (edit, "Name")->after, ==, "Velle eighty-five");
    g_assert_null (find_change (edit, "Held by")->before);
    g_assert_cmpstr (added->summary, ==, "Lens added: Velle 85 first");
    g_assert_cmpstr (find_change (added, NULL)->action, ==, "added");
  }
  {
    g_autoptr (GPtrArray) history = shim_register_history (f.reg, f.body, 1, 0, &error);
    ShimHistoryEntry *edit = history->pdata[0];

    g_assert_cmpstr (find_change (edit, "Tells lenses apart by")->before, ==, "Serial number");
    g_assert_cmpstr (find_change (edit, "Tells lenses apart by")->after, ==, "Model only");
    g_assert_cmpstr (find_change (edit, "Slots")->after, ==, "12");
  }
  g_assert_true (shim_register_undo (f.reg, NULL, NULL));
  {
    g_autoptr (GPtrArray) history = shim_register_history (f.reg, NULL, 2, 0, &error);
    ShimHistoryEntry *undo = history->pdata[0], *edit = history->pdata[1];

    g_assert_cmpstr (undo->action, ==, "undo");
    g_assert_cmpstr (find_change (undo, "Slots")->after, ==, "3");
    g_assert_true (edit->undone);
  }
  store_fixture_tear_down (&f);
}

/* What happened to an item stands in its own history, also when it is taken back, and in that of no other. */
static void
test_history_of_events (void)
{
  StoreFixture f;
  g_autoptr (GPtrArray) before = NULL, after = NULL, other = NULL;
  g_autofree char *event = NULL;
  g_autoptr (ShimRecord) record = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  before = shim_register_history (f.reg, f.lens, 0, 0, NULL);
  event = store_add_event (f.reg, "lens", f.lens, "knock", "2026-06-01", TRUE);
  record = shim_register_get (f.reg, SHIM_TYPE_EVENT, event, NULL);
  STORE_SET (record, "taken-back", TRUE);
  g_assert_true (shim_register_update (f.reg, record, NULL));
  after = shim_register_history (f.reg, f.lens, 0, 0, NULL);
  g_assert_cmpuint (after->len, ==, before->len + 2);
  g_assert_cmpstr (find_change (after->pdata[0], "Taken back")->after, ==, "yes");
  g_assert_cmpstr (find_change (after->pdata[1], NULL)->action, ==, "added");
  g_assert_true (g_str_has_prefix (find_change (after->pdata[1], NULL)->title, "Velle 85 first · "));
  other = shim_register_history (f.reg, f.lens_two, 0, 0, NULL);
  g_assert_cmpuint (other->len, ==, before->len);
  store_fixture_tear_down (&f);
}

/* A whole sheet of changes while another connection looks on. */
static void
test_seen_by_others (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRegister) other = NULL;
  gint64 before;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  other = shim_register_open (f.path, SHIM_REGISTER_READ_ONLY, &error);
  g_assert_no_error (error);
  before = shim_register_data_version (other);
  g_assert_cmpint (shim_register_data_version (other), ==, before);
  make_edit (&f);
  g_assert_cmpint (shim_register_data_version (other), !=, before);
  {
    g_autoptr (ShimRecord) lens = shim_register_get (other, SHIM_TYPE_LENS, f.lens, &error);

    g_assert_cmpstr (SHIM_LENS (lens)->holder, ==, "Mina");
    STORE_SET (lens, "holder", "Jonas");
    g_assert_false (shim_register_update (other, lens, &error));
    g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_READ_ONLY);
  }
  store_fixture_tear_down (&f);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/store/undo/there-and-back", test_there_and_back);
  g_test_add_func ("/store/undo/nothing-left", test_nothing_left);
  g_test_add_func ("/store/undo/conflict", test_conflict);
  g_test_add_func ("/store/undo/older", test_older);
  g_test_add_func ("/store/undo/nested", test_nested);
  g_test_add_func ("/store/undo/history", test_history);
  g_test_add_func ("/store/undo/history-of-events", test_history_of_events);
  g_test_add_func ("/store/undo/seen-by-others", test_seen_by_others);
  return g_test_run ();
}
