/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-pair-list.h"
#include "shim-workspace-private.h"

#define PAGE_ROWS 64
#define PAGES_KEPT 8

/* --- one row --- */

struct _ShimPairItem
{
  GObject parent_instance;

  ShimPairNow *now;
  ShimBody *body;
  ShimLens *lens;
  ShimConverter *converter;
};

G_DEFINE_FINAL_TYPE (ShimPairItem, shim_pair_item, G_TYPE_OBJECT)

/**
 * shim_pair_item_get_now:
 * @self: a pair
 *
 * Returns: (transfer none): what is true of it
 */
const ShimPairNow *
shim_pair_item_get_now (ShimPairItem *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_ITEM (self), NULL);

  return self->now;
}

/**
 * shim_pair_item_get_body:
 * @self: a pair
 *
 * Returns: (transfer none): its body
 */
ShimBody *
shim_pair_item_get_body (ShimPairItem *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_ITEM (self), NULL);

  return self->body;
}

/**
 * shim_pair_item_get_lens:
 * @self: a pair
 *
 * Returns: (transfer none): its lens
 */
ShimLens *
shim_pair_item_get_lens (ShimPairItem *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_ITEM (self), NULL);

  return self->lens;
}

/**
 * shim_pair_item_get_converter:
 * @self: a pair
 *
 * Returns: (transfer none) (nullable): its converter
 */
ShimConverter *
shim_pair_item_get_converter (ShimPairItem *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_ITEM (self), NULL);

  return self->converter;
}

static void
shim_pair_item_finalize (GObject *object)
{
  ShimPairItem *self = SHIM_PAIR_ITEM (object);

  shim_pair_now_free (self->now);
  g_clear_object (&self->body);
  g_clear_object (&self->lens);
  g_clear_object (&self->converter);
  G_OBJECT_CLASS (shim_pair_item_parent_class)->finalize (object);
}

static void
shim_pair_item_class_init (ShimPairItemClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = shim_pair_item_finalize;
}

static void
shim_pair_item_init (ShimPairItem *self)
{
}

/* --- the list --- */

/* A filter with texts of its own. */
typedef struct
{
  ShimPairFilter filter;
  char *text[5];
} OwnFilter;

typedef struct
{
  guint number;
  GPtrArray *items;
} Page;

struct _ShimPairList
{
  GObject parent_instance;

  ShimWorkspace *workspace;
  OwnFilter *filter;         /* as asked for */
  OwnFilter *shown;          /* what @n_items counts */
  guint n_items;
  GQueue pages;
  GCancellable *cancellable;
  gboolean asked_again;
};

static void shim_pair_list_iface_init (GListModelInterface *iface);

G_DEFINE_FINAL_TYPE_WITH_CODE (ShimPairList, shim_pair_list, G_TYPE_OBJECT,
                               G_IMPLEMENT_INTERFACE (G_TYPE_LIST_MODEL, shim_pair_list_iface_init))

enum
{
  PROP_0,
  PROP_LOADING,
  PROP_N_ITEMS,
  N_PROPS,
};

static GParamSpec *props[N_PROPS];

static OwnFilter *
own_filter_new (const ShimPairFilter *filter)
{
  OwnFilter *self = g_new0 (OwnFilter, 1);

  if (filter == NULL)
    return self;
  self->filter = *filter;
  self->filter.body = self->text[0] = g_strdup (filter->body);
  self->filter.lens = self->text[1] = g_strdup (filter->lens);
  self->filter.body_mount = self->text[2] = g_strdup (filter->body_mount);
  self->filter.lens_mount = self->text[3] = g_strdup (filter->lens_mount);
  self->filter.job = self->text[4] = g_strdup (filter->job);
  self->filter.offset = self->filter.limit = 0;
  return self;
}

static void
own_filter_free (OwnFilter *self)
{
  for (guint i = 0; i < G_N_ELEMENTS (self->text); i++)
    g_free (self->text[i]);
  g_free (self);
}

static void
page_free (Page *page)
{
  g_ptr_array_unref (page->items);
  g_free (page);
}

/* The register's thread. One more than there are, since a result of nothing would be an error. */
static gpointer
count_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const gint64 n = shim_register_count_pairs (reg, &((OwnFilter *) data)->filter, error);

  return n >= 0 ? GSIZE_TO_POINTER ((gsize) n + 1) : NULL;
}

static void ask (ShimPairList *self);

static void
answered_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimPairList) self = user_data;
  g_autoptr (GError) error = NULL;
  const gsize n = GPOINTER_TO_SIZE (shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error));
  const gboolean outdated = g_cancellable_is_cancelled (self->cancellable);
  const guint before = self->n_items;

  g_clear_object (&self->cancellable);
  if (error == NULL && !outdated)
    {
      g_queue_clear_full (&self->pages, (GDestroyNotify) page_free);
      own_filter_free (self->shown);
      self->shown = own_filter_new (&self->filter->filter);
      self->n_items = (guint) (n - 1);
      g_list_model_items_changed (G_LIST_MODEL (self), 0, before, self->n_items);
      if (before != self->n_items)
        g_object_notify_by_pspec (G_OBJECT (self), props[PROP_N_ITEMS]);
    }
  else if (error != NULL && !g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED)
           && !shim_workspace_is_closed (self->workspace))
    g_warning ("The pairs cannot be counted: %s", error->message);
  if (self->asked_again)
    ask (self);
  else
    g_object_notify_by_pspec (G_OBJECT (self), props[PROP_LOADING]);
}

/* One question at a time; several that wait are one. */
static void
ask (ShimPairList *self)
{
  if (self->cancellable != NULL)
    {
      self->asked_again = TRUE;
      return;
    }
  self->asked_again = FALSE;
  if (shim_workspace_is_closed (self->workspace))
    return;
  self->cancellable = g_cancellable_new ();
  g_object_notify_by_pspec (G_OBJECT (self), props[PROP_LOADING]);
  shim_workspace_call_async (self->workspace, count_func, own_filter_new (&self->filter->filter),
                             (GDestroyNotify) own_filter_free, NULL, self->cancellable, answered_cb,
                             g_object_ref (self));
}

/* --- rows --- */

/* id → record of all @type that @ids name. */
static GHashTable *
read_records (ShimRegister *reader, GType type, GHashTable *ids)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autofree const char **values = (const char **) g_hash_table_get_keys_as_array (ids, NULL);
  g_autoptr (GPtrArray) records = NULL;
  GHashTable *table = g_hash_table_new_full (g_str_hash, g_str_equal, NULL, g_object_unref);

  shim_query_add_filter_in (query, "id", values);
  shim_query_set_include_archived (query, TRUE);
  records = shim_register_list (reader, type, query, NULL);
  for (guint i = 0; records != NULL && i < records->len; i++)
    {
      ShimRecord *record = g_ptr_array_index (records, i);

      g_hash_table_insert (table, (gpointer) shim_record_get_id (record), g_object_ref (record));
    }
  return table;
}

static gpointer
take_record (GHashTable *records, GType type, const char *id)
{
  ShimRecord *record = id != NULL ? g_hash_table_lookup (records, id) : NULL;

  if (record != NULL)
    return g_object_ref (record);
  if (id == NULL)
    return NULL;
  record = g_object_new (type, NULL);
  shim_record_set_id (record, id);
  return record;
}

static void
add_items (GPtrArray *items, ShimRegister *reader, GPtrArray *pairs)
{
  const GType types[] = { SHIM_TYPE_BODY, SHIM_TYPE_LENS, SHIM_TYPE_CONVERTER };
  GHashTable *ids[3], *records[3];

  for (guint k = 0; k < G_N_ELEMENTS (types); k++)
    ids[k] = g_hash_table_new (g_str_hash, g_str_equal);
  for (guint i = 0; i < pairs->len; i++)
    {
      const ShimPairNow *now = g_ptr_array_index (pairs, i);

      g_hash_table_add (ids[0], now->body);
      g_hash_table_add (ids[1], now->lens);
      if (now->converter != NULL)
        g_hash_table_add (ids[2], now->converter);
    }
  for (guint k = 0; k < G_N_ELEMENTS (types); k++)
    records[k] = read_records (reader, types[k], ids[k]);
  for (guint i = 0; i < pairs->len; i++)
    {
      ShimPairItem *item = g_object_new (SHIM_TYPE_PAIR_ITEM, NULL);

      item->now = g_ptr_array_index (pairs, i);
      item->body = take_record (records[0], SHIM_TYPE_BODY, item->now->body);
      item->lens = take_record (records[1], SHIM_TYPE_LENS, item->now->lens);
      item->converter = take_record (records[2], SHIM_TYPE_CONVERTER, item->now->converter);
      g_ptr_array_index (pairs, i) = NULL;
      g_ptr_array_add (items, item);
    }
  for (guint k = 0; k < G_N_ELEMENTS (types); k++)
    {
      g_hash_table_unref (ids[k]);
      g_hash_table_unref (records[k]);
    }
}

/* Rows that another program took away a moment ago are pairs of nothing, until the list is told. */
static void
add_nothing (GPtrArray *items, guint n)
{
  while (items->len < n)
    {
      ShimPairItem *item = g_object_new (SHIM_TYPE_PAIR_ITEM, NULL);

      item->now = shim_pair_now_new ("", "");
      item->body = shim_body_new ();
      item->lens = shim_lens_new ();
      g_ptr_array_add (items, item);
    }
}

static Page *
read_page (ShimPairList *self, guint number)
{
  ShimRegister *reader = _shim_workspace_get_reader (self->workspace);
  ShimPairFilter filter = self->shown->filter;
  g_autoptr (GPtrArray) pairs = NULL;
  Page *page = g_new0 (Page, 1);

  page->number = number;
  page->items = g_ptr_array_new_with_free_func (g_object_unref);
  filter.offset = number * PAGE_ROWS;
  filter.limit = PAGE_ROWS;
  if (reader != NULL)
    pairs = shim_register_pairs (reader, &filter, NULL);
  if (pairs != NULL)
    add_items (page->items, reader, pairs);
  add_nothing (page->items, MIN (PAGE_ROWS, self->n_items - filter.offset));
  return page;
}

static Page *
get_page (ShimPairList *self, guint number)
{
  Page *page;

  for (GList *link = self->pages.head; link != NULL; link = link->next)
    {
      page = link->data;
      if (page->number != number)
        continue;
      g_queue_unlink (&self->pages, link);
      g_queue_push_head_link (&self->pages, link);
      return page;
    }
  page = read_page (self, number);
  g_queue_push_head (&self->pages, page);
  if (g_queue_get_length (&self->pages) > PAGES_KEPT)
    page_free (g_queue_pop_tail (&self->pages));
  return page;
}

static gpointer
shim_pair_list_get_item (GListModel *model, guint position)
{
  ShimPairList *self = SHIM_PAIR_LIST (model);

  if (position >= self->n_items)
    return NULL;
  return g_object_ref (g_ptr_array_index (get_page (self, position / PAGE_ROWS)->items, position % PAGE_ROWS));
}

static GType
shim_pair_list_get_item_type (GListModel *model)
{
  return SHIM_TYPE_PAIR_ITEM;
}

static guint
shim_pair_list_get_n_items (GListModel *model)
{
  return SHIM_PAIR_LIST (model)->n_items;
}

static void
shim_pair_list_iface_init (GListModelInterface *iface)
{
  iface->get_item = shim_pair_list_get_item;
  iface->get_item_type = shim_pair_list_get_item_type;
  iface->get_n_items = shim_pair_list_get_n_items;
}

/**
 * shim_pair_list_new:
 * @workspace: a workspace
 * @filter: (nullable): which pairs, in which order; its window does not count. %NULL = all
 *
 * Returns: (transfer full): the list, empty until the register has answered
 */
ShimPairList *
shim_pair_list_new (ShimWorkspace *workspace, const ShimPairFilter *filter)
{
  ShimPairList *self;

  g_return_val_if_fail (SHIM_IS_WORKSPACE (workspace), NULL);

  self = g_object_new (SHIM_TYPE_PAIR_LIST, NULL);
  self->workspace = g_object_ref (workspace);
  self->filter = own_filter_new (filter);
  self->shown = own_filter_new (filter);
  g_signal_connect_object (workspace, "changed", G_CALLBACK (ask), self, G_CONNECT_SWAPPED);
  ask (self);
  return self;
}

/**
 * shim_pair_list_set_filter:
 * @self: a list
 * @filter: (nullable): which pairs, in which order
 */
void
shim_pair_list_set_filter (ShimPairList *self, const ShimPairFilter *filter)
{
  g_return_if_fail (SHIM_IS_PAIR_LIST (self));

  own_filter_free (self->filter);
  self->filter = own_filter_new (filter);
  if (self->cancellable != NULL)
    g_cancellable_cancel (self->cancellable);
  ask (self);
}

/**
 * shim_pair_list_is_loading:
 * @self: a list
 *
 * Returns: whether the answer to the newest question is on its way
 */
gboolean
shim_pair_list_is_loading (ShimPairList *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_LIST (self), FALSE);

  return self->cancellable != NULL;
}

static void
shim_pair_list_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  ShimPairList *self = SHIM_PAIR_LIST (object);

  if (id == PROP_LOADING)
    g_value_set_boolean (value, shim_pair_list_is_loading (self));
  else if (id == PROP_N_ITEMS)
    g_value_set_uint (value, self->n_items);
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
shim_pair_list_finalize (GObject *object)
{
  ShimPairList *self = SHIM_PAIR_LIST (object);

  g_queue_clear_full (&self->pages, (GDestroyNotify) page_free);
  g_clear_pointer (&self->filter, own_filter_free);
  g_clear_pointer (&self->shown, own_filter_free);
  g_clear_object (&self->workspace);
  G_OBJECT_CLASS (shim_pair_list_parent_class)->finalize (object);
}

static void
shim_pair_list_class_init (ShimPairListClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  const GParamFlags flags = G_PARAM_READABLE | G_PARAM_STATIC_STRINGS | G_PARAM_EXPLICIT_NOTIFY;

  object_class->get_property = shim_pair_list_get_property;
  object_class->finalize = shim_pair_list_finalize;

  props[PROP_LOADING] = g_param_spec_boolean ("loading", NULL, NULL, FALSE, flags);
  props[PROP_N_ITEMS] = g_param_spec_uint ("n-items", NULL, NULL, 0, G_MAXUINT, 0, flags);
  g_object_class_install_properties (object_class, N_PROPS, props);
}

static void
shim_pair_list_init (ShimPairList *self)
{
}
