/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-query-private.h"

static void
filter_free (gpointer data)
{
  ShimQueryFilter *filter = data;

  g_free (filter->field);
  g_strfreev (filter->values);
  g_free (filter);
}

static void
order_free (gpointer data)
{
  ShimQueryOrder *order = data;

  g_free (order->field);
  g_free (order);
}

/**
 * shim_query_new:
 *
 * Returns: (transfer full): a query for all that is not archived, in the order of entry
 */
ShimQuery *
shim_query_new (void)
{
  ShimQuery *self = g_new0 (ShimQuery, 1);

  self->filters = g_ptr_array_new_with_free_func (filter_free);
  self->orders = g_ptr_array_new_with_free_func (order_free);
  return self;
}

/**
 * shim_query_copy:
 * @self: a query
 *
 * Returns: (transfer full): a query of its own that asks the same
 */
ShimQuery *
shim_query_copy (const ShimQuery *self)
{
  ShimQuery *copy = shim_query_new ();

  g_return_val_if_fail (self != NULL, copy);

  shim_query_set_search (copy, self->search);
  shim_query_set_job (copy, self->job);
  shim_query_leave_out (copy, self->left_out);
  for (guint i = 0; i < self->filters->len; i++)
    {
      const ShimQueryFilter *filter = g_ptr_array_index (self->filters, i);

      if (filter->values == NULL)
        shim_query_add_filter (copy, filter->field, NULL);
      else
        shim_query_add_filter_in (copy, filter->field, (const char *const *) filter->values);
    }
  for (guint i = 0; i < self->orders->len; i++)
    {
      const ShimQueryOrder *order = g_ptr_array_index (self->orders, i);

      shim_query_add_order (copy, order->field, order->descending);
    }
  shim_query_set_pair_states (copy, self->pair_states, self->pair_reasons, self->pair_conflict);
  copy->offset = self->offset;
  copy->limit = self->limit;
  copy->include_archived = self->include_archived;
  copy->include_blobs = self->include_blobs;
  return copy;
}

static gboolean
same_values (char **a, char **b)
{
  return a == NULL || b == NULL ? a == b : g_strv_equal ((const char *const *) a, (const char *const *) b);
}

static gboolean
same_filters (const ShimQuery *a, const ShimQuery *b)
{
  for (guint i = 0; i < MIN (a->filters->len, b->filters->len); i++)
    {
      const ShimQueryFilter *left = g_ptr_array_index (a->filters, i), *right = g_ptr_array_index (b->filters, i);

      if (g_strcmp0 (left->field, right->field) != 0 || !same_values (left->values, right->values))
        return FALSE;
    }
  return a->filters->len == b->filters->len;
}

static gboolean
same_orders (const ShimQuery *a, const ShimQuery *b)
{
  for (guint i = 0; i < MIN (a->orders->len, b->orders->len); i++)
    {
      const ShimQueryOrder *left = g_ptr_array_index (a->orders, i), *right = g_ptr_array_index (b->orders, i);

      if (g_strcmp0 (left->field, right->field) != 0 || left->descending != right->descending)
        return FALSE;
    }
  return a->orders->len == b->orders->len;
}

/**
 * shim_query_equal:
 * @self: a query
 * @other: another one
 *
 * Returns: whether both ask the same
 */
gboolean
shim_query_equal (const ShimQuery *self, const ShimQuery *other)
{
  g_return_val_if_fail (self != NULL && other != NULL, FALSE);

  return g_strcmp0 (self->search, other->search) == 0 && g_strcmp0 (self->job, other->job) == 0
         && g_strcmp0 (self->left_out, other->left_out) == 0
         && self->pair_states == other->pair_states && self->pair_reasons == other->pair_reasons
         && self->pair_conflict == other->pair_conflict && self->offset == other->offset
         && self->limit == other->limit && self->include_archived == other->include_archived
         && self->include_blobs == other->include_blobs && same_filters (self, other) && same_orders (self, other);
}

void
shim_query_free (ShimQuery *self)
{
  if (self == NULL)
    return;
  g_free (self->search);
  g_free (self->job);
  g_free (self->left_out);
  g_ptr_array_unref (self->filters);
  g_ptr_array_unref (self->orders);
  g_free (self);
}

void
shim_query_set_search (ShimQuery *self, const char *words)
{
  g_return_if_fail (self != NULL);

  g_free (self->search);
  self->search = g_strdup (words);
}

static void
add_filter (ShimQuery *self, const char *field, char **values)
{
  ShimQueryFilter *filter = g_new0 (ShimQueryFilter, 1);

  filter->field = g_strdup (field);
  filter->values = values;
  g_ptr_array_add (self->filters, filter);
}

void
shim_query_add_filter (ShimQuery *self, const char *field, const char *value)
{
  const char *const values[] = { value, NULL };

  g_return_if_fail (self != NULL && field != NULL);

  add_filter (self, field, value != NULL ? g_strdupv ((char **) values) : NULL);
}

void
shim_query_add_filter_in (ShimQuery *self, const char *field, const char *const *values)
{
  g_return_if_fail (self != NULL && field != NULL && values != NULL);

  add_filter (self, field, g_strdupv ((char **) values));
}

void
shim_query_set_job (ShimQuery *self, const char *job)
{
  g_return_if_fail (self != NULL);

  g_free (self->job);
  self->job = g_strdup (job);
}

void
shim_query_leave_out (ShimQuery *self, const char *id)
{
  g_return_if_fail (self != NULL);

  g_free (self->left_out);
  self->left_out = g_strdup (id);
}

void
shim_query_set_pair_states (ShimQuery *self, guint states, ShimDueReasons reasons, gboolean conflict)
{
  g_return_if_fail (self != NULL);

  self->pair_states = states;
  self->pair_reasons = reasons;
  self->pair_conflict = conflict;
}

void
shim_query_add_order (ShimQuery *self, const char *field, gboolean descending)
{
  ShimQueryOrder *order;

  g_return_if_fail (self != NULL && field != NULL);

  order = g_new0 (ShimQueryOrder, 1);
  order->field = g_strdup (field);
  order->descending = descending;
  g_ptr_array_add (self->orders, order);
}

void
shim_query_set_window (ShimQuery *self, guint offset, guint limit)
{
  g_return_if_fail (self != NULL);

  self->offset = offset;
  self->limit = limit;
}

void
shim_query_set_include_archived (ShimQuery *self, gboolean include)
{
  g_return_if_fail (self != NULL);

  self->include_archived = include;
}

void
shim_query_set_include_blobs (ShimQuery *self, gboolean include)
{
  g_return_if_fail (self != NULL);

  self->include_blobs = include;
}
