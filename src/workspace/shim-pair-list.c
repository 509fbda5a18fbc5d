/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-pair-item-private.h"
#include "shim-pair-list.h"
#include "shim-workspace-private.h"

#define PAGE_ROWS 32
#define PAGES_KEPT 16
/* Pages of a new question that are read by themselves, so that a screen is filled as soon with many pairs as with few. */
#define FIRST_PAGES 1

/* A filter with texts of its own. */
typedef struct
{
  ShimPairFilter filter;
  char *text[7];
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
  GQueue pages;              /* of Page, the one used last first */
  GCancellable *cancellable; /* of the question on its way */
  gboolean asked_again;
  gboolean is_new;           /* nothing of the answer has been shown yet */
  gboolean lacks_rest;       /* only the first rows of it have */
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
  self->filter.lens_words = self->text[5] = g_strdup (filter->lens_words);
  self->filter.body_words = self->text[6] = g_strdup (filter->body_words);
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

static gboolean
same_filter (const ShimPairFilter *a, const ShimPairFilter *b)
{
  return g_strcmp0 (a->body, b->body) == 0 && g_strcmp0 (a->lens, b->lens) == 0 && g_strcmp0 (a->body_mount, b->body_mount) == 0
         && g_strcmp0 (a->lens_mount, b->lens_mount) == 0 && g_strcmp0 (a->job, b->job) == 0 && a->states == b->states
         && a->reasons == b->reasons && a->conflict == b->conflict && a->order == b->order && g_strcmp0 (a->lens_words, b->lens_words) == 0
         && g_strcmp0 (a->body_words, b->body_words) == 0;
}

/* Takes @items. */
static Page *
page_new (guint number, GPtrArray *items)
{
  Page *page = g_new (Page, 1);

  *page = (Page) { .number = number, .items = items };
  return page;
}

static guint
rows_of_page (guint number, guint n_items)
{
  return MIN (PAGE_ROWS, n_items - number * PAGE_ROWS);
}

static Page *
read_page (ShimRegister *reader, const OwnFilter *shown, guint number, guint n_items, GError **error)
{
  ShimPairFilter filter = shown->filter;
  GPtrArray *items;

  filter.offset = number * PAGE_ROWS;
  filter.limit = PAGE_ROWS;
  items = _shim_pair_items_read (reader, &filter, rows_of_page (number, n_items), error);
  return items != NULL ? page_new (number, items) : NULL;
}

/* --- asking the register's thread --- */

typedef struct
{
  OwnFilter *filter;
  guint most;    /* rows to count; 0 = all */
  GArray *pages; /* numbers of those to read */
} Question;

typedef struct
{
  guint n_items;
  gboolean is_part; /* there are more */
  GPtrArray *pages;
} Answer;

static void
question_free (Question *question)
{
  own_filter_free (question->filter);
  g_array_unref (question->pages);
  g_free (question);
}

static void
answer_free (Answer *answer)
{
  g_ptr_array_unref (answer->pages);
  g_free (answer);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Answer, answer_free)

/* The register's thread. */
static gpointer
answer_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const Question *question = data;
  const gint64 n = shim_register_count_pairs (reg, &question->filter->filter, question->most > 0 ? question->most + 1 : 0, error);
  g_autoptr (Answer) answer = NULL;

  if (n < 0)
    return NULL;
  answer = g_new0 (Answer, 1);
  answer->is_part = question->most > 0 && n > question->most;
  answer->n_items = answer->is_part ? question->most : (guint) n;
  answer->pages = g_ptr_array_new_with_free_func ((GDestroyNotify) page_free);
  for (guint i = 0; i < question->pages->len; i++)
    {
      const guint number = g_array_index (question->pages, guint, i);
      Page *page;

      if (number * PAGE_ROWS >= answer->n_items)
        continue;
      page = read_page (reg, question->filter, number, answer->n_items, error);
      if (page == NULL)
        return NULL;
      g_ptr_array_add (answer->pages, page);
    }
  return g_steal_pointer (&answer);
}

/* --- taking in the answer --- */

static GList *
find_page (ShimPairList *self, guint number)
{
  for (GList *link = self->pages.head; link != NULL; link = link->next)
    if (((Page *) link->data)->number == number)
      return link;
  return NULL;
}

static void
keep_page (ShimPairList *self, Page *page)
{
  g_queue_push_head (&self->pages, page);
  if (g_queue_get_length (&self->pages) > PAGES_KEPT)
    page_free (g_queue_pop_tail (&self->pages));
}

/* Whose rows stay as they are keep their objects, so that what is selected stays selected. */
static gboolean
keep_row (GPtrArray *old, GPtrArray *fresh, guint i)
{
  ShimPairItem **mine = (ShimPairItem **) &g_ptr_array_index (fresh, i);

  if (i >= old->len || !_shim_pair_item_looks_like (g_ptr_array_index (old, i), *mine))
    return FALSE;
  g_set_object (mine, g_ptr_array_index (old, i));
  return TRUE;
}

/* Puts @fresh in the place of the page of that number and tells which of its rows below @n_told are different. */
static void
renew_page (ShimPairList *self, Page *fresh, guint n_told)
{
  GList *link = find_page (self, fresh->number);
  const guint first = fresh->number * PAGE_ROWS;
  const guint n = MIN (fresh->items->len, n_told > first ? n_told - first : 0);
  Page *old = link != NULL ? link->data : NULL;
  guint from = G_MAXUINT, to = 0;

  for (guint i = 0; i < fresh->items->len; i++)
    if ((old == NULL || !keep_row (old->items, fresh->items, i)) && i < n)
      {
        from = MIN (from, i);
        to = i + 1;
      }
  if (link != NULL)
    link->data = fresh;
  else
    keep_page (self, fresh);
  if (from < to)
    g_list_model_items_changed (G_LIST_MODEL (self), first + from, to - from, to - from);
  g_clear_pointer (&old, page_free);
}

/* The same question once more: only what differs is told. */
static void
take_changes (ShimPairList *self, Answer *answer)
{
  const guint before = self->n_items, both = MIN (before, answer->n_items);

  if (answer->n_items < before)
    {
      self->n_items = answer->n_items;
      g_list_model_items_changed (G_LIST_MODEL (self), both, before - both, 0);
    }
  while (answer->pages->len > 0)
    renew_page (self, g_ptr_array_steal_index (answer->pages, 0), both);
  if (answer->n_items > before)
    {
      self->n_items = answer->n_items;
      g_list_model_items_changed (G_LIST_MODEL (self), both, 0, answer->n_items - both);
    }
}

static void
take_all (ShimPairList *self, Answer *answer)
{
  const guint before = self->n_items;

  g_queue_clear_full (&self->pages, (GDestroyNotify) page_free);
  own_filter_free (self->shown);
  self->shown = own_filter_new (&self->filter->filter);
  self->n_items = answer->n_items;
  while (answer->pages->len > 0)
    keep_page (self, g_ptr_array_steal_index (answer->pages, 0));
  g_list_model_items_changed (G_LIST_MODEL (self), 0, before, self->n_items);
}

static void ask (ShimPairList *self);
static void send (ShimPairList *self, gboolean renews_pages);

static void
answered_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimPairList) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (Answer) answer = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  const gboolean outdated = g_cancellable_is_cancelled (self->cancellable);
  const guint before = self->n_items;

  g_clear_object (&self->cancellable);
  self->lacks_rest = answer != NULL && !outdated && answer->is_part;
  if (answer != NULL && !outdated)
    {
      const gboolean was_new = self->is_new;

      self->is_new = FALSE;
      (was_new ? take_all : take_changes) (self, answer);
      if (before != self->n_items)
        g_object_notify_by_pspec (G_OBJECT (self), props[PROP_N_ITEMS]);
    }
  _shim_workspace_report (self->workspace, error);
  /* Whoever was told of the rows may have asked by now. */
  if (self->cancellable != NULL)
    return;
  if (self->asked_again)
    ask (self);
  else if (self->lacks_rest)
    send (self, FALSE);
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
  send (self, TRUE);
}

static Question *
question_new (ShimPairList *self, gboolean renews_pages)
{
  Question *question = g_new0 (Question, 1);

  question->filter = own_filter_new (&self->filter->filter);
  question->most = self->is_new ? FIRST_PAGES * PAGE_ROWS : 0;
  question->pages = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint number = 0; self->is_new && number < FIRST_PAGES; number++)
    g_array_append_val (question->pages, number);
  for (GList *link = self->pages.head; !self->is_new && renews_pages && link != NULL; link = link->next)
    g_array_append_val (question->pages, ((Page *) link->data)->number);
  return question;
}

static void
send (ShimPairList *self, gboolean renews_pages)
{
  self->asked_again = FALSE;
  if (shim_workspace_is_closed (self->workspace))
    return;
  self->cancellable = g_cancellable_new ();
  g_object_notify_by_pspec (G_OBJECT (self), props[PROP_LOADING]);
  /* All but the first screen of a new question can wait: nobody looks at it yet. */
  (self->is_new ? shim_workspace_call_async : _shim_workspace_call_later_async) (
      self->workspace, answer_func, question_new (self, renews_pages), (GDestroyNotify) question_free,
      (GDestroyNotify) answer_free, self->cancellable, answered_cb, g_object_ref (self));
}

/* Another question: the answer on its way is of no use any more. */
static void
ask_anew (ShimPairList *self)
{
  self->is_new = TRUE;
  if (self->cancellable != NULL)
    g_cancellable_cancel (self->cancellable);
  ask (self);
}

/* --- rows --- */

static Page *
get_page (ShimPairList *self, guint number)
{
  ShimRegister *reader = _shim_workspace_get_reader (self->workspace);
  GList *link = find_page (self, number);
  g_autoptr (GError) error = NULL;
  Page *page;

  if (link != NULL)
    {
      g_queue_unlink (&self->pages, link);
      g_queue_push_head_link (&self->pages, link);
      return link->data;
    }
  page = reader != NULL ? read_page (reader, self->shown, number, self->n_items, &error) : NULL;
  _shim_workspace_report (self->workspace, error);
  if (page == NULL)
    page = page_new (number, _shim_pair_items_nothing (rows_of_page (number, self->n_items)));
  keep_page (self, page);
  return page;
}

static gpointer
shim_pair_list_get_item (GListModel *model, guint position)
{
  ShimPairList *self = SHIM_PAIR_LIST (model);
  Page *page;

  if (position >= self->n_items)
    return NULL;
  page = get_page (self, position / PAGE_ROWS);
  return g_object_ref (g_ptr_array_index (page->items, position % PAGE_ROWS));
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
  ask_anew (self);
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
  OwnFilter *wanted;

  g_return_if_fail (SHIM_IS_PAIR_LIST (self));

  wanted = own_filter_new (filter);
  if (same_filter (&wanted->filter, &self->filter->filter))
    {
      own_filter_free (wanted);
      return;
    }
  own_filter_free (self->filter);
  self->filter = wanted;
  ask_anew (self);
}

/**
 * shim_pair_list_is_loading:
 * @self: a list
 *
 * Returns: whether the answer to the newest question, or the rest of it behind the first rows, is on its way
 */
gboolean
shim_pair_list_is_loading (ShimPairList *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_LIST (self), FALSE);

  return self->cancellable != NULL || self->lacks_rest;
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
