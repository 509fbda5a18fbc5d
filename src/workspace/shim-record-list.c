/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-record-answer.h"
#include "shim-record-list.h"
#include "shim-workspace-private.h"

/* Rows read in one go: more than a screen shows, few enough to take about a millisecond. */
#define PAGE_ROWS 32
/* Rows of a new question that are asked for by themselves, so that a screen is filled as soon with many records as with few. */
#define FIRST_ROWS 32
/* Pages kept although nobody holds their records: scrolling back and forth reads nothing. */
#define PAGES_KEPT 16

struct _ShimRecordList
{
  GObject parent_instance;

  ShimWorkspace *workspace;
  GType type;
  ShimQuery *query;
  char *search;

  GPtrArray *ids;             /* of char * */
  GHashTable *positions;      /* id → position; made when first asked for */
  GHashTable *held;           /* id → ShimRecord, all that are alive; no reference */
  GQueue pages;               /* of GPtrArray of ShimRecord, the newest first */

  GCancellable *cancellable;  /* of the question on its way */
  gboolean asked_again;
  gboolean is_new;            /* nothing of the answer has been shown yet */
  gboolean lacks_rest;        /* only the first rows of it have */
};

static void shim_record_list_iface_init (GListModelInterface *iface);

G_DEFINE_FINAL_TYPE_WITH_CODE (ShimRecordList, shim_record_list, G_TYPE_OBJECT,
                               G_IMPLEMENT_INTERFACE (G_TYPE_LIST_MODEL, shim_record_list_iface_init))

enum
{
  PROP_0,
  PROP_WORKSPACE,
  PROP_SEARCH,
  PROP_LOADING,
  PROP_N_ITEMS,
  N_PROPS,
};

static GParamSpec *props[N_PROPS];

/* --- taking in the answer --- */

static void
copy_values (ShimRecord *from, ShimRecord *to)
{
  const ShimKind *kind = shim_record_get_kind (to);

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];

      if (field->type == SHIM_FIELD_REAL)
        shim_record_set_real (to, field, shim_record_get_real (from, field));
      else if (field->type == SHIM_FIELD_INT || field->type == SHIM_FIELD_BOOL)
        shim_record_set_int (to, field, shim_record_get_int (from, field));
      else if (field->type != SHIM_FIELD_BLOB)
        shim_record_set_text (to, field, shim_record_get_text (from, field));
    }
}

static void
renew_held (ShimRecordList *self, GHashTable *records)
{
  GHashTableIter iter;
  gpointer id, fresh;

  g_hash_table_iter_init (&iter, records);
  while (g_hash_table_iter_next (&iter, &id, &fresh))
    {
      ShimRecord *held = g_hash_table_lookup (self->held, id);

      if (held == NULL)
        continue;
      g_object_ref (held);   /* whoever is told may let go of it */
      copy_values (fresh, held);
      g_object_unref (held);
    }
}

static gboolean
same_id (GPtrArray *a, guint i, GPtrArray *b, guint k)
{
  return g_str_equal (g_ptr_array_index (a, i), g_ptr_array_index (b, k));
}

/* Takes the new ids and says which span differs: what is alike at both ends is left alone. */
static void
take_ids (ShimRecordList *self, GPtrArray *ids)
{
  g_autoptr (GPtrArray) old = self->ids;
  const guint shorter = MIN (old->len, ids->len);
  guint head = 0, tail = 0;

  while (head < shorter && same_id (old, head, ids, head))
    head++;
  while (tail < shorter - head && same_id (old, old->len - 1 - tail, ids, ids->len - 1 - tail))
    tail++;
  self->ids = g_ptr_array_ref (ids);
  /* Its keys are the old ids, also where the new ones read the same. */
  g_clear_pointer (&self->positions, g_hash_table_unref);
  if (head == old->len && head == ids->len)
    return;
  if (head < old->len)
    g_queue_clear_full (&self->pages, (GDestroyNotify) g_ptr_array_unref);
  g_list_model_items_changed (G_LIST_MODEL (self), head, old->len - head - tail, ids->len - head - tail);
  if (old->len != ids->len)
    g_object_notify_by_pspec (G_OBJECT (self), props[PROP_N_ITEMS]);
}

static void ask (ShimRecordList *self);
static void send (ShimRecordList *self, gboolean renews_held);

static void
answered_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimRecordList) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecordAnswer) answer = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  const gboolean outdated = g_cancellable_is_cancelled (self->cancellable);
  const gboolean is_part = answer != NULL && !outdated && answer->is_part;

  g_clear_object (&self->cancellable);
  self->lacks_rest = is_part;
  if (answer != NULL && !outdated)
    {
      self->is_new = FALSE;
      take_ids (self, answer->ids);
      renew_held (self, answer->held);
    }
  _shim_workspace_report (self->workspace, error);
  /* Whoever was told of the rows may have asked by now. */
  if (self->cancellable != NULL)
    return;
  if (self->asked_again)
    ask (self);
  else if (is_part)
    send (self, FALSE);
  else
    g_object_notify_by_pspec (G_OBJECT (self), props[PROP_LOADING]);
}

/* One question at a time: while one is on its way, another one waits, and several waiting ones are one. */
static void
ask (ShimRecordList *self)
{
  if (self->cancellable != NULL)
    {
      self->asked_again = TRUE;
      return;
    }
  send (self, TRUE);
}

static void
send (ShimRecordList *self, gboolean renews_held)
{
  g_autoptr (GStrvBuilder) held_ids = g_strv_builder_new ();
  ShimRecordQuestion *question;
  GHashTableIter iter;
  gpointer id;

  self->asked_again = FALSE;
  if (shim_workspace_is_closed (self->workspace))
    return;
  question = g_new0 (ShimRecordQuestion, 1);
  question->type = self->type;
  question->query = shim_query_copy (self->query);
  if (*self->search != '\0')
    shim_query_set_search (question->query, self->search);
  question->most = self->is_new ? FIRST_ROWS : 0;
  g_hash_table_iter_init (&iter, self->held);
  while (renews_held && g_hash_table_iter_next (&iter, &id, NULL))
    g_strv_builder_add (held_ids, id);
  question->held_ids = g_strv_builder_end (held_ids);
  self->cancellable = g_cancellable_new ();
  g_object_notify_by_pspec (G_OBJECT (self), props[PROP_LOADING]);
  /* All but the first screen of a new question can wait: nobody looks at it yet. */
  (self->is_new ? shim_workspace_call_async : _shim_workspace_call_later_async) (
      self->workspace, shim_record_answer, question, (GDestroyNotify) shim_record_question_free,
      (GDestroyNotify) shim_record_answer_free, self->cancellable, answered_cb, g_object_ref (self));
}

/* Another question: the answer on its way is of no use any more. */
static void
ask_anew (ShimRecordList *self)
{
  self->is_new = TRUE;
  if (self->cancellable != NULL)
    g_cancellable_cancel (self->cancellable);
  ask (self);
}

static void
changed_cb (ShimRecordList *self)
{
  ask (self);
}

/* --- rows --- */

static void
let_go_cb (gpointer user_data, GObject *where_it_was)
{
  ShimRecordList *self = user_data;
  GHashTableIter iter;
  gpointer record;

  /* Only a page's worth of records is alive at a time, so looking for it costs little. */
  g_hash_table_iter_init (&iter, self->held);
  while (g_hash_table_iter_next (&iter, NULL, &record))
    if (record == (gpointer) where_it_was)
      g_hash_table_iter_remove (&iter);
}

/* (transfer full): the record to hand out for @fresh: the one somebody holds already, if any. */
static ShimRecord *
hold (ShimRecordList *self, ShimRecord *fresh)
{
  ShimRecord *held = g_hash_table_lookup (self->held, shim_record_get_id (fresh));

  if (held != NULL)
    return g_object_ref (held);
  g_hash_table_insert (self->held, g_strdup (shim_record_get_id (fresh)), fresh);
  g_object_weak_ref (G_OBJECT (fresh), let_go_cb, self);
  return g_object_ref (fresh);
}

/* A row that cannot be read (removed a moment ago by another program, or the register is closed) is a record that
 * knows its id only. */
static ShimRecord *
read_nothing (ShimRecordList *self, const char *id)
{
  ShimRecord *record = g_object_new (self->type, NULL);

  shim_record_set_id (record, id);
  return record;
}

static GPtrArray *
read_page (ShimRecordList *self, guint first)
{
  ShimRegister *reader = _shim_workspace_get_reader (self->workspace);
  const guint n = MIN (PAGE_ROWS, self->ids->len - first);
  const char *ids[PAGE_ROWS + 1] = { NULL };
  g_autoptr (GError) error = NULL;
  g_autoptr (GHashTable) records = NULL;
  GPtrArray *page = g_ptr_array_new_with_free_func (g_object_unref);

  for (guint i = 0; i < n; i++)
    ids[i] = g_ptr_array_index (self->ids, first + i);
  if (reader != NULL)
    records = shim_records_by_ids (reader, self->type, ids, &error);
  _shim_workspace_report (self->workspace, error);
  for (guint i = 0; i < n; i++)
    {
      ShimRecord *found = records != NULL ? g_hash_table_lookup (records, ids[i]) : NULL;
      g_autoptr (ShimRecord) fresh = found != NULL ? g_object_ref (found) : read_nothing (self, ids[i]);

      g_ptr_array_add (page, hold (self, fresh));
    }
  return page;
}

static gpointer
shim_record_list_get_item (GListModel *model, guint position)
{
  ShimRecordList *self = SHIM_RECORD_LIST (model);
  const char *id;
  ShimRecord *held;
  GPtrArray *page;
  guint first;

  if (position >= self->ids->len)
    return NULL;
  id = g_ptr_array_index (self->ids, position);
  held = g_hash_table_lookup (self->held, id);
  if (held != NULL)
    return g_object_ref (held);
  first = position / PAGE_ROWS * PAGE_ROWS;
  page = read_page (self, first);
  g_queue_push_head (&self->pages, page);
  if (g_queue_get_length (&self->pages) > PAGES_KEPT)
    g_ptr_array_unref (g_queue_pop_tail (&self->pages));
  return g_object_ref (g_ptr_array_index (page, position - first));
}

static GType
shim_record_list_get_item_type (GListModel *model)
{
  return SHIM_RECORD_LIST (model)->type;
}

static guint
shim_record_list_get_n_items (GListModel *model)
{
  return SHIM_RECORD_LIST (model)->ids->len;
}

static void
shim_record_list_iface_init (GListModelInterface *iface)
{
  iface->get_item = shim_record_list_get_item;
  iface->get_item_type = shim_record_list_get_item_type;
  iface->get_n_items = shim_record_list_get_n_items;
}

/* --- public --- */

/**
 * shim_record_list_new:
 * @workspace: the workspace
 * @type: a record type
 * @query: (nullable): which records, in which order; %NULL = all that are not archived, in the order of entry
 *
 * Returns: (transfer full): the list, empty until the register has answered
 */
ShimRecordList *
shim_record_list_new (ShimWorkspace *workspace, GType type, const ShimQuery *query)
{
  ShimRecordList *self;

  g_return_val_if_fail (SHIM_IS_WORKSPACE (workspace), NULL);
  g_return_val_if_fail (g_type_is_a (type, SHIM_TYPE_RECORD) && !G_TYPE_IS_ABSTRACT (type), NULL);

  self = g_object_new (SHIM_TYPE_RECORD_LIST, NULL);
  self->workspace = g_object_ref (workspace);
  self->type = type;
  self->query = query != NULL ? shim_query_copy (query) : shim_query_new ();
  g_signal_connect_object (workspace, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  ask_anew (self);
  return self;
}

/**
 * shim_record_list_set_query:
 * @self: a list
 * @query: (nullable): which records, in which order
 *
 * What is searched for (shim_record_list_set_search()) stays.
 */
void
shim_record_list_set_query (ShimRecordList *self, const ShimQuery *query)
{
  ShimQuery *wanted;

  g_return_if_fail (SHIM_IS_RECORD_LIST (self));

  wanted = query != NULL ? shim_query_copy (query) : shim_query_new ();
  if (shim_query_equal (wanted, self->query))
    {
      shim_query_free (wanted);
      return;
    }
  shim_query_free (self->query);
  self->query = wanted;
  ask_anew (self);
}

/**
 * shim_record_list_set_search:
 * @self: a list
 * @search: (nullable): what somebody typed, see shim_query_set_search()
 */
void
shim_record_list_set_search (ShimRecordList *self, const char *search)
{
  g_return_if_fail (SHIM_IS_RECORD_LIST (self));

  if (search == NULL)
    search = "";
  if (g_str_equal (search, self->search))
    return;
  g_free (self->search);
  self->search = g_strdup (search);
  g_object_notify_by_pspec (G_OBJECT (self), props[PROP_SEARCH]);
  ask_anew (self);
}

/**
 * shim_record_list_get_search:
 * @self: a list
 *
 * Returns: (transfer none): what is searched for, never %NULL
 */
const char *
shim_record_list_get_search (ShimRecordList *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD_LIST (self), NULL);

  return self->search;
}

/**
 * shim_record_list_is_loading:
 * @self: a list
 *
 * Returns: whether the answer to the newest question, or the rest of it behind the first rows, is on its way
 */
gboolean
shim_record_list_is_loading (ShimRecordList *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD_LIST (self), FALSE);

  return self->cancellable != NULL || self->lacks_rest;
}

/**
 * shim_record_list_get_id:
 * @self: a list
 * @position: a row
 *
 * Reads nothing from the register.
 *
 * Returns: (transfer none) (nullable): id of the record there
 */
const char *
shim_record_list_get_id (ShimRecordList *self, guint position)
{
  g_return_val_if_fail (SHIM_IS_RECORD_LIST (self), NULL);

  return position < self->ids->len ? g_ptr_array_index (self->ids, position) : NULL;
}

/**
 * shim_record_list_find:
 * @self: a list
 * @id: id of a record
 * @position: (out) (optional): its row
 *
 * Returns: whether it is in the list
 */
gboolean
shim_record_list_find (ShimRecordList *self, const char *id, guint *position)
{
  gpointer found;

  g_return_val_if_fail (SHIM_IS_RECORD_LIST (self), FALSE);
  g_return_val_if_fail (id != NULL, FALSE);

  if (self->positions == NULL)
    {
      self->positions = g_hash_table_new (g_str_hash, g_str_equal);
      for (guint i = 0; i < self->ids->len; i++)
        g_hash_table_insert (self->positions, g_ptr_array_index (self->ids, i), GUINT_TO_POINTER (i));
    }
  if (!g_hash_table_lookup_extended (self->positions, id, NULL, &found))
    return FALSE;
  if (position != NULL)
    *position = GPOINTER_TO_UINT (found);
  return TRUE;
}

static void
shim_record_list_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  ShimRecordList *self = SHIM_RECORD_LIST (object);

  switch (id)
    {
    case PROP_WORKSPACE:
      g_value_set_object (value, self->workspace);
      break;
    case PROP_SEARCH:
      g_value_set_string (value, self->search);
      break;
    case PROP_LOADING:
      g_value_set_boolean (value, shim_record_list_is_loading (self));
      break;
    case PROP_N_ITEMS:
      g_value_set_uint (value, self->ids->len);
      break;
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
    }
}

static void
shim_record_list_set_property (GObject *object, guint id, const GValue *value, GParamSpec *pspec)
{
  if (id == PROP_SEARCH)
    shim_record_list_set_search (SHIM_RECORD_LIST (object), g_value_get_string (value));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
shim_record_list_finalize (GObject *object)
{
  ShimRecordList *self = SHIM_RECORD_LIST (object);
  GHashTableIter iter;
  gpointer record;

  g_hash_table_iter_init (&iter, self->held);
  while (g_hash_table_iter_next (&iter, NULL, &record))
    g_object_weak_unref (record, let_go_cb, self);
  g_hash_table_remove_all (self->held);
  g_queue_clear_full (&self->pages, (GDestroyNotify) g_ptr_array_unref);
  g_hash_table_unref (self->held);
  g_clear_pointer (&self->positions, g_hash_table_unref);
  g_ptr_array_unref (self->ids);
  g_clear_pointer (&self->query, shim_query_free);
  g_free (self->search);
  g_clear_object (&self->workspace);
  G_OBJECT_CLASS (shim_record_list_parent_class)->finalize (object);
}

static void
shim_record_list_class_init (ShimRecordListClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  const GParamFlags flags = G_PARAM_READABLE | G_PARAM_STATIC_STRINGS | G_PARAM_EXPLICIT_NOTIFY;

  object_class->get_property = shim_record_list_get_property;
  object_class->set_property = shim_record_list_set_property;
  object_class->finalize = shim_record_list_finalize;

  props[PROP_WORKSPACE] = g_param_spec_object ("workspace", NULL, NULL, SHIM_TYPE_WORKSPACE, flags);
  props[PROP_SEARCH] = g_param_spec_string ("search", NULL, NULL, "", flags | G_PARAM_WRITABLE);
  props[PROP_LOADING] = g_param_spec_boolean ("loading", NULL, NULL, FALSE, flags);
  props[PROP_N_ITEMS] = g_param_spec_uint ("n-items", NULL, NULL, 0, G_MAXUINT, 0, flags);
  g_object_class_install_properties (object_class, N_PROPS, props);
}

static void
shim_record_list_init (ShimRecordList *self)
{
  self->search = g_strdup ("");
  self->ids = g_ptr_array_new_with_free_func (g_free);
  self->held = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
}
