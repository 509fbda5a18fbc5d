/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-kinds.h"
#include "shim-pair-grid.h"
#include "shim-register-pairs.h"
#include "shim-workspace-private.h"

/* Cells read in one go, and how many of those blocks are kept: several screens. */
#define BLOCK_ROWS 32
#define BLOCK_COLUMNS 16
#define BLOCKS_KEPT 32

typedef struct
{
  guint row;      /* of the first cell */
  guint column;
  ShimPairNow *cells[BLOCK_ROWS][BLOCK_COLUMNS];
  ShimFit fits[BLOCK_ROWS][BLOCK_COLUMNS];
} Block;

struct _ShimPairGrid
{
  GObject parent_instance;

  ShimWorkspace *workspace;
  ShimRecordList *lenses;
  ShimRecordList *bodies;
  GQueue blocks;         /* of Block, the one used last first */
  guint states;          /* asked for, as in #ShimPairFilter */
  ShimDueReasons reasons;
  gboolean conflict;
  GPtrArray *adapters;   /* of ShimAdapter; NULL = to be read */
};

G_DEFINE_FINAL_TYPE (ShimPairGrid, shim_pair_grid, G_TYPE_OBJECT)

static guint cells_changed_signal;

static void
block_free (Block *block)
{
  for (guint i = 0; i < BLOCK_ROWS; i++)
    for (guint k = 0; k < BLOCK_COLUMNS; k++)
      shim_pair_now_free (block->cells[i][k]);
  g_free (block);
}

static void
forget (ShimPairGrid *self)
{
  g_queue_clear_full (&self->blocks, (GDestroyNotify) block_free);
  g_clear_pointer (&self->adapters, g_ptr_array_unref);
}

static void
changed_cb (ShimPairGrid *self)
{
  forget (self);
  g_signal_emit (self, cells_changed_signal, 0);
}

/* Rows or columns that came at the end leave the blocks before them as they are, once these are full. */
static void
items_changed_cb (ShimPairGrid *self, guint position, guint removed, guint added, GListModel *list)
{
  const guint size = list == G_LIST_MODEL (self->lenses) ? BLOCK_ROWS : BLOCK_COLUMNS;

  if (removed > 0 || position % size != 0 || position + added < g_list_model_get_n_items (list))
    forget (self);
  g_signal_emit (self, cells_changed_signal, 0);
}

static GPtrArray *
get_adapters (ShimPairGrid *self, ShimRegister *reader)
{
  g_autoptr (GError) error = NULL;

  if (self->adapters == NULL)
    self->adapters = shim_register_list (reader, SHIM_TYPE_ADAPTER, NULL, &error);
  _shim_workspace_report (self->workspace, error);
  return self->adapters;
}

/* Ids of up to @most rows from @first; %NULL-terminated, borrowed. */
static const char **
ids_from (ShimRecordList *list, guint first, guint most, guint *n)
{
  const char **ids = g_new0 (const char *, most + 1);

  for (*n = 0; *n < most && shim_record_list_get_id (list, first + *n) != NULL; ++*n)
    ids[*n] = shim_record_list_get_id (list, first + *n);
  return ids;
}

static guint
index_of (const char *const *ids, guint n, const char *id)
{
  for (guint i = 0; i < n; i++)
    if (g_str_equal (ids[i], id))
      return i;
  return G_MAXUINT;
}

static void
read_cells (ShimPairGrid *self, Block *block, ShimRegister *reader, const char *const *bodies, guint n_bodies, const char *const *lenses,
            guint n_lenses)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) cells = shim_register_pair_cells (reader, bodies, n_bodies, lenses, n_lenses, &error);

  _shim_workspace_report (self->workspace, error);
  for (guint i = 0; cells != NULL && i < cells->len; i++)
    {
      ShimPairNow *cell = g_ptr_array_index (cells, i);
      const guint row = index_of (lenses, n_lenses, cell->lens), column = index_of (bodies, n_bodies, cell->body);

      if (row == G_MAXUINT || column == G_MAXUINT || block->cells[row][column] != NULL)
        continue;
      block->cells[row][column] = cell;
      g_ptr_array_index (cells, i) = NULL;
    }
}

/* Combinations that the register knows nothing of: untested where the lens fits. */
static void
fill_up (ShimPairGrid *self, Block *block, ShimRegister *reader, const char *const *bodies, guint n_bodies,
         const char *const *lenses, guint n_lenses)
{
  GPtrArray *adapters = reader != NULL ? get_adapters (self, reader) : NULL;

  for (guint i = 0; i < n_lenses; i++)
    {
      g_autoptr (ShimLens) lens = g_list_model_get_item (G_LIST_MODEL (self->lenses), block->row + i);

      for (guint k = 0; k < n_bodies; k++)
        {
          g_autoptr (ShimBody) body = g_list_model_get_item (G_LIST_MODEL (self->bodies), block->column + k);

          block->fits[i][k] = shim_fit_lens_on_body (lens, body, adapters, NULL);
          if (block->cells[i][k] == NULL)
            block->cells[i][k] = shim_pair_now_new (bodies[k], lenses[i]);
        }
    }
}

static Block *
read_block (ShimPairGrid *self, guint row, guint column)
{
  ShimRegister *reader = _shim_workspace_get_reader (self->workspace);
  Block *block = g_new0 (Block, 1);
  guint n_bodies, n_lenses;
  g_autofree const char **bodies = ids_from (self->bodies, column, BLOCK_COLUMNS, &n_bodies);
  g_autofree const char **lenses = ids_from (self->lenses, row, BLOCK_ROWS, &n_lenses);

  block->row = row;
  block->column = column;
  if (reader != NULL && n_bodies > 0 && n_lenses > 0)
    read_cells (self, block, reader, bodies, n_bodies, lenses, n_lenses);
  fill_up (self, block, reader, bodies, n_bodies, lenses, n_lenses);
  return block;
}

static Block *
get_block (ShimPairGrid *self, guint row, guint column)
{
  const guint first_row = row / BLOCK_ROWS * BLOCK_ROWS, first_column = column / BLOCK_COLUMNS * BLOCK_COLUMNS;
  Block *block;

  for (GList *link = self->blocks.head; link != NULL; link = link->next)
    {
      block = link->data;
      if (block->row != first_row || block->column != first_column)
        continue;
      g_queue_unlink (&self->blocks, link);
      g_queue_push_head_link (&self->blocks, link);
      return block;
    }
  block = read_block (self, first_row, first_column);
  g_queue_push_head (&self->blocks, block);
  if (g_queue_get_length (&self->blocks) > BLOCKS_KEPT)
    block_free (g_queue_pop_tail (&self->blocks));
  return block;
}

/**
 * shim_pair_grid_new:
 * @workspace: a workspace
 *
 * Returns: (transfer full): the matrix of its lenses and bodies, in the order of their names, empty until the
 * register has answered
 */
ShimPairGrid *
shim_pair_grid_new (ShimWorkspace *workspace)
{
  ShimPairGrid *self;
  g_autoptr (ShimQuery) query = NULL;

  g_return_val_if_fail (SHIM_IS_WORKSPACE (workspace), NULL);

  self = g_object_new (SHIM_TYPE_PAIR_GRID, NULL);
  query = shim_query_new ();
  shim_query_add_order (query, "label", FALSE);
  self->workspace = g_object_ref (workspace);
  self->lenses = shim_record_list_new (workspace, SHIM_TYPE_LENS, query);
  self->bodies = shim_record_list_new (workspace, SHIM_TYPE_BODY, query);
  g_signal_connect_object (workspace, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->lenses, "items-changed", G_CALLBACK (items_changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->bodies, "items-changed", G_CALLBACK (items_changed_cb), self, G_CONNECT_SWAPPED);
  return self;
}

/**
 * shim_pair_grid_get_lenses:
 * @self: a grid
 *
 * Returns: (transfer none): its rows, of #ShimLens; it may be searched and sorted
 */
ShimRecordList *
shim_pair_grid_get_lenses (ShimPairGrid *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_GRID (self), NULL);

  return self->lenses;
}

/**
 * shim_pair_grid_get_bodies:
 * @self: a grid
 *
 * Returns: (transfer none): its columns, of #ShimBody
 */
ShimRecordList *
shim_pair_grid_get_bodies (ShimPairGrid *self)
{
  g_return_val_if_fail (SHIM_IS_PAIR_GRID (self), NULL);

  return self->bodies;
}

static void
filter_list (ShimRecordList *list, const ShimPairFilter *filter, const char *mount, const char *id, const char *words)
{
  /* Combinations that nobody touched yet are untested too, and no row says so. */
  const guint states = filter->states & (1u << SHIM_PAIR_UNTESTED) ? 0 : filter->states;
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_add_order (query, "label", FALSE);
  shim_query_set_search (query, words);
  if (mount != NULL)
    shim_query_add_filter (query, "mount", mount);
  if (id != NULL)
    shim_query_add_filter (query, "id", id);
  shim_query_set_job (query, filter->job);
  shim_query_set_pair_states (query, states, filter->reasons, filter->conflict);
  shim_record_list_set_query (list, query);
}

/**
 * shim_pair_grid_set_filter:
 * @self: a grid
 * @filter: which lenses and bodies: those with a pair in the states asked for; order and window do not count
 *
 * Pairs in other states stay in their cells: shim_pair_grid_is_wanted() tells them apart.
 */
void
shim_pair_grid_set_filter (ShimPairGrid *self, const ShimPairFilter *filter)
{
  g_return_if_fail (SHIM_IS_PAIR_GRID (self) && filter != NULL);

  self->states = filter->states;
  self->reasons = filter->reasons;
  self->conflict = filter->conflict;
  /* Lenses of another mount may stand on such a body through an adapter, so a body's mount leaves the lenses alone. */
  filter_list (self->bodies, filter, filter->body_mount, filter->body, filter->body_words);
  filter_list (self->lenses, filter, filter->lens_mount, filter->lens, filter->lens_words);
  g_signal_emit (self, cells_changed_signal, 0);
}

/**
 * shim_pair_grid_is_wanted:
 * @self: a grid
 * @row: which lens
 * @column: which body
 *
 * Returns: whether the pair is in a state that was asked for
 */
gboolean
shim_pair_grid_is_wanted (ShimPairGrid *self, guint row, guint column)
{
  const ShimPairNow *now = shim_pair_grid_get_cell (self, row, column);

  if (now == NULL)
    return TRUE;
  return (self->states == 0 || (self->states & (1u << now->state)) != 0)
         && (self->reasons == SHIM_DUE_NONE || (now->reasons & self->reasons) != 0)
         && (!self->conflict || now->conflict);
}

/**
 * shim_pair_grid_get_cell:
 * @self: a grid
 * @row: which lens
 * @column: which body
 *
 * Returns: (transfer none): what is true of the pair now; good until the next "cells-changed" or until several
 * screens further on were asked for. %NULL outside the matrix
 */
const ShimPairNow *
shim_pair_grid_get_cell (ShimPairGrid *self, guint row, guint column)
{
  g_return_val_if_fail (SHIM_IS_PAIR_GRID (self), NULL);

  if (shim_record_list_get_id (self->lenses, row) == NULL || shim_record_list_get_id (self->bodies, column) == NULL)
    return NULL;
  return get_block (self, row, column)->cells[row % BLOCK_ROWS][column % BLOCK_COLUMNS];
}

/**
 * shim_pair_grid_get_fit:
 * @self: a grid
 * @row: which lens
 * @column: which body
 *
 * Returns: whether the lens goes on the body
 */
ShimFit
shim_pair_grid_get_fit (ShimPairGrid *self, guint row, guint column)
{
  g_return_val_if_fail (SHIM_IS_PAIR_GRID (self), SHIM_FIT_NO);

  if (shim_record_list_get_id (self->lenses, row) == NULL || shim_record_list_get_id (self->bodies, column) == NULL)
    return SHIM_FIT_NO;
  return get_block (self, row, column)->fits[row % BLOCK_ROWS][column % BLOCK_COLUMNS];
}

static void
shim_pair_grid_finalize (GObject *object)
{
  ShimPairGrid *self = SHIM_PAIR_GRID (object);

  forget (self);
  g_clear_object (&self->lenses);
  g_clear_object (&self->bodies);
  g_clear_object (&self->workspace);
  G_OBJECT_CLASS (shim_pair_grid_parent_class)->finalize (object);
}

static void
shim_pair_grid_class_init (ShimPairGridClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = shim_pair_grid_finalize;

  /**
   * ShimPairGrid::cells-changed:
   * @self: a grid
   */
  cells_changed_signal = g_signal_new ("cells-changed", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                       NULL, G_TYPE_NONE, 0);
}

static void
shim_pair_grid_init (ShimPairGrid *self)
{
}
