/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-kinds.h"
#include "shim-pair-cell.h"
#include "shim-pair-matrix.h"
#include "shim-palette.h"

#define ROW 46
#define COLUMN 132
#define ROW_HEAD 190
#define COLUMN_HEAD 44

struct _ShimPairMatrix
{
  GtkWidget parent_instance;

  ShimPairGrid *grid;
  GtkAdjustment *adjustments[2]; /* horizontal, vertical */
  GtkScrollablePolicy policies[2];
  guint row;
  guint column;
};

enum
{
  PROP_HADJUSTMENT = 1,
  PROP_VADJUSTMENT,
  PROP_HSCROLL_POLICY,
  PROP_VSCROLL_POLICY,
};

enum
{
  OPENED,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE_WITH_CODE (ShimPairMatrix, shim_pair_matrix, GTK_TYPE_WIDGET,
                               G_IMPLEMENT_INTERFACE (GTK_TYPE_SCROLLABLE, NULL))

static guint
n_rows (ShimPairMatrix *self)
{
  return g_list_model_get_n_items (G_LIST_MODEL (shim_pair_grid_get_lenses (self->grid)));
}

static guint
n_columns (ShimPairMatrix *self)
{
  return g_list_model_get_n_items (G_LIST_MODEL (shim_pair_grid_get_bodies (self->grid)));
}

static double
offset (ShimPairMatrix *self, GtkOrientation orientation)
{
  return self->adjustments[orientation] != NULL ? floor (gtk_adjustment_get_value (self->adjustments[orientation])) : 0.0;
}

static char *
label_of (ShimRecordList *list, guint position)
{
  g_autoptr (ShimRecord) record = g_list_model_get_item (G_LIST_MODEL (list), position);
  char *label = NULL;

  if (record != NULL)
    g_object_get (record, "label", &label, NULL);
  return label != NULL ? label : g_strdup ("");
}

static char *
describe (ShimPairMatrix *self, guint row, guint column)
{
  g_autofree char *lens = label_of (shim_pair_grid_get_lenses (self->grid), row);
  g_autofree char *body = label_of (shim_pair_grid_get_bodies (self->grid), column);
  g_autofree char *cell = shim_pair_cell_describe (shim_pair_grid_get_cell (self->grid, row, column),
                                                   shim_pair_grid_get_fit (self->grid, row, column));

  return g_strdup_printf (_ ("%s on %s: %s"), lens, body, cell);
}

/* What the cursor stands on, for those who do not see it. */
static void
announce (ShimPairMatrix *self)
{
  g_autofree char *text = self->row < n_rows (self) && self->column < n_columns (self) ? describe (self, self->row, self->column)
                                                                                     : g_strdup ("");

  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
}

static void
configure (ShimPairMatrix *self)
{
  const double sizes[2] = { gtk_widget_get_width (GTK_WIDGET (self)), gtk_widget_get_height (GTK_WIDGET (self)) };
  const double heads[2] = { ROW_HEAD, COLUMN_HEAD };
  const double wholes[2] = { (double) n_columns (self) * COLUMN, (double) n_rows (self) * ROW };
  const double steps[2] = { COLUMN, ROW };

  for (guint i = 0; i < 2; i++)
    {
      double page = MAX (1.0, sizes[i] - heads[i]);

      if (self->adjustments[i] != NULL)
        gtk_adjustment_configure (self->adjustments[i], gtk_adjustment_get_value (self->adjustments[i]), 0.0, MAX (wholes[i], page),
                                  steps[i], page, page);
    }
}

static void
changed_cb (ShimPairMatrix *self)
{
  self->row = MIN (self->row, MAX (n_rows (self), 1) - 1);
  self->column = MIN (self->column, MAX (n_columns (self), 1) - 1);
  configure (self);
  announce (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
line (GtkSnapshot *snapshot, const GdkRGBA *colour, float x, float y, float width, float height)
{
  gtk_snapshot_append_color (snapshot, colour, &GRAPHENE_RECT_INIT (x, y, width, height));
}

typedef struct
{
  guint first_row;
  guint last_row; /* one past it */
  guint first_column;
  guint last_column;
  float x;        /* of the first column */
  float y;
} Window;

static Window
window_on_screen (ShimPairMatrix *self)
{
  const double dx = offset (self, GTK_ORIENTATION_HORIZONTAL), dy = offset (self, GTK_ORIENTATION_VERTICAL);
  const int width = gtk_widget_get_width (GTK_WIDGET (self)), height = gtk_widget_get_height (GTK_WIDGET (self));
  Window window;

  window.first_row = (guint) (dy / ROW);
  window.first_column = (guint) (dx / COLUMN);
  window.last_row = MIN (n_rows (self), (guint) ((dy + height - COLUMN_HEAD) / ROW) + 1);
  window.last_column = MIN (n_columns (self), (guint) ((dx + width - ROW_HEAD) / COLUMN) + 1);
  window.x = (float) (ROW_HEAD + (double) window.first_column * COLUMN - dx);
  window.y = (float) (COLUMN_HEAD + (double) window.first_row * ROW - dy);
  return window;
}

/* What the filter does not ask for stays in sight, but steps back. */
static void
snapshot_cell (ShimPairMatrix *self, GtkSnapshot *snapshot, const ShimPalette *palette, guint row, guint column,
               const graphene_rect_t *area)
{
  const gboolean steps_back = !shim_pair_grid_is_wanted (self->grid, row, column);

  if (steps_back)
    gtk_snapshot_push_opacity (snapshot, 0.35);
  shim_pair_cell_snapshot (GTK_WIDGET (self), snapshot, palette, shim_pair_grid_get_cell (self->grid, row, column),
                           shim_pair_grid_get_fit (self->grid, row, column), area);
  if (steps_back)
    gtk_snapshot_pop (snapshot);
}

static void
snapshot_cells (ShimPairMatrix *self, GtkSnapshot *snapshot, const ShimPalette *palette, const Window *window)
{
  GtkWidget *widget = GTK_WIDGET (self);
  GdkRGBA grid;

  shim_palette_faded (&palette->text, palette->high_contrast ? 0.5 : 0.12, &grid);
  gtk_snapshot_push_clip (snapshot, &GRAPHENE_RECT_INIT (ROW_HEAD, COLUMN_HEAD, (float) gtk_widget_get_width (widget) - ROW_HEAD,
                                                         (float) gtk_widget_get_height (widget) - COLUMN_HEAD));
  for (guint row = window->first_row; row < window->last_row; row++)
    for (guint column = window->first_column; column < window->last_column; column++)
      {
        const float x = window->x + (float) (column - window->first_column) * COLUMN;
        const float y = window->y + (float) (row - window->first_row) * ROW;

        snapshot_cell (self, snapshot, palette, row, column, &GRAPHENE_RECT_INIT (x, y, COLUMN, ROW));
        line (snapshot, &grid, x, y + ROW - 1, COLUMN, 1);
        line (snapshot, &grid, x + COLUMN - 1, y, 1, ROW);
        if (row == self->row && column == self->column)
          {
            const GdkRGBA *ring = gtk_widget_has_focus (widget) ? &palette->accent : &palette->dim;
            const float width = gtk_widget_has_focus (widget) ? 2.0f : 1.0f;

            gtk_snapshot_append_border (snapshot,
                                        &GSK_ROUNDED_RECT_INIT (x + 1, y + 1, COLUMN - 3, ROW - 3),
                                        (float[4]) { width, width, width, width }, (GdkRGBA[4]) { *ring, *ring, *ring, *ring });
          }
      }
  gtk_snapshot_pop (snapshot);
}

static void
snapshot_heads (ShimPairMatrix *self, GtkSnapshot *snapshot, const ShimPalette *palette, const Window *window)
{
  GtkWidget *widget = GTK_WIDGET (self);
  const float width = (float) gtk_widget_get_width (widget), height = (float) gtk_widget_get_height (widget);

  gtk_snapshot_push_clip (snapshot, &GRAPHENE_RECT_INIT (ROW_HEAD, 0, width - ROW_HEAD, COLUMN_HEAD));
  for (guint column = window->first_column; column < window->last_column; column++)
    {
      g_autofree char *label = label_of (shim_pair_grid_get_bodies (self->grid), column);
      const float x = window->x + (float) (column - window->first_column) * COLUMN;

      shim_pair_cell_text (widget, snapshot, label, &palette->text, TRUE, &GRAPHENE_RECT_INIT (x + 8, 0, COLUMN - 12, COLUMN_HEAD));
    }
  gtk_snapshot_pop (snapshot);
  gtk_snapshot_push_clip (snapshot, &GRAPHENE_RECT_INIT (0, COLUMN_HEAD, ROW_HEAD, height - COLUMN_HEAD));
  for (guint row = window->first_row; row < window->last_row; row++)
    {
      g_autofree char *label = label_of (shim_pair_grid_get_lenses (self->grid), row);
      const float y = window->y + (float) (row - window->first_row) * ROW;

      shim_pair_cell_text (widget, snapshot, label, &palette->text, TRUE, &GRAPHENE_RECT_INIT (12, y, ROW_HEAD - 18, ROW));
    }
  gtk_snapshot_pop (snapshot);
  line (snapshot, &palette->dim, 0, COLUMN_HEAD - 1, width, 1);
  line (snapshot, &palette->dim, ROW_HEAD - 1, 0, 1, height);
}

static void
shim_pair_matrix_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  ShimPairMatrix *self = SHIM_PAIR_MATRIX (widget);
  Window window = window_on_screen (self);
  ShimPalette palette;

  shim_palette_for_widget (&palette, widget);
  snapshot_cells (self, snapshot, &palette, &window);
  snapshot_heads (self, snapshot, &palette, &window);
}

static void
shim_pair_matrix_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  configure (SHIM_PAIR_MATRIX (widget));
}

static void
shim_pair_matrix_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum, int *natural,
                          int *minimum_baseline, int *natural_baseline)
{
  *minimum = orientation == GTK_ORIENTATION_HORIZONTAL ? ROW_HEAD + COLUMN : COLUMN_HEAD + ROW;
  *natural = *minimum;
}

static void
reveal (ShimPairMatrix *self)
{
  if (self->adjustments[0] != NULL)
    gtk_adjustment_clamp_page (self->adjustments[0], (double) self->column * COLUMN, (double) (self->column + 1) * COLUMN);
  if (self->adjustments[1] != NULL)
    gtk_adjustment_clamp_page (self->adjustments[1], (double) self->row * ROW, (double) (self->row + 1) * ROW);
}

static void
go_to (ShimPairMatrix *self, gint64 row, gint64 column)
{
  if (n_rows (self) == 0 || n_columns (self) == 0)
    return;
  self->row = (guint) CLAMP (row, 0, (gint64) n_rows (self) - 1);
  self->column = (guint) CLAMP (column, 0, (gint64) n_columns (self) - 1);
  reveal (self);
  announce (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static gboolean
move_cb (GtkWidget *widget, GVariant *args, gpointer user_data)
{
  ShimPairMatrix *self = SHIM_PAIR_MATRIX (widget);
  int rows, columns;

  g_variant_get (args, "(ii)", &rows, &columns);
  /* In right-to-left text the columns still run from left to right here, so the keys do too. */
  go_to (self, (gint64) self->row + rows, (gint64) self->column + columns);
  return TRUE;
}

static gboolean
open_cb (GtkWidget *widget, GVariant *args, gpointer user_data)
{
  ShimPairMatrix *self = SHIM_PAIR_MATRIX (widget);
  const ShimPairNow *now;

  if (self->row >= n_rows (self) || self->column >= n_columns (self))
    return TRUE;
  now = shim_pair_grid_get_cell (self->grid, self->row, self->column);
  if ((now != NULL && now->pair != NULL) || shim_pair_grid_get_fit (self->grid, self->row, self->column) != SHIM_FIT_NO)
    g_signal_emit (self, signals[OPENED], 0, self->row, self->column);
  else
    gtk_widget_error_bell (widget);
  return TRUE;
}

static gboolean
cell_at (ShimPairMatrix *self, double x, double y, guint *row, guint *column)
{
  double across = x - ROW_HEAD + offset (self, GTK_ORIENTATION_HORIZONTAL);
  double down = y - COLUMN_HEAD + offset (self, GTK_ORIENTATION_VERTICAL);

  if (x < ROW_HEAD || y < COLUMN_HEAD)
    return FALSE;
  *row = (guint) (down / ROW);
  *column = (guint) (across / COLUMN);
  return *row < n_rows (self) && *column < n_columns (self);
}

static void
pressed_cb (GtkGestureClick *gesture, int n_press, double x, double y, ShimPairMatrix *self)
{
  guint row, column;

  gtk_widget_grab_focus (GTK_WIDGET (self));
  if (!cell_at (self, x, y, &row, &column))
    return;
  go_to (self, row, column);
  if (n_press == 2)
    open_cb (GTK_WIDGET (self), NULL, NULL);
}

static gboolean
query_tooltip_cb (GtkWidget *widget, int x, int y, gboolean keyboard, GtkTooltip *tooltip, gpointer user_data)
{
  ShimPairMatrix *self = SHIM_PAIR_MATRIX (widget);
  guint row = self->row, column = self->column;
  g_autofree char *text = NULL;

  if (!keyboard && !cell_at (self, x, y, &row, &column))
    return FALSE;
  if (row >= n_rows (self) || column >= n_columns (self))
    return FALSE;
  text = describe (self, row, column);
  gtk_tooltip_set_text (tooltip, text);
  return TRUE;
}

static void
set_adjustment (ShimPairMatrix *self, GtkOrientation orientation, GtkAdjustment *adjustment)
{
  if (self->adjustments[orientation] != NULL)
    g_signal_handlers_disconnect_by_data (self->adjustments[orientation], self);
  g_set_object (&self->adjustments[orientation], adjustment);
  if (adjustment != NULL)
    g_signal_connect_object (adjustment, "value-changed", G_CALLBACK (gtk_widget_queue_draw), self, G_CONNECT_SWAPPED);
  if (self->grid != NULL)
    configure (self);
}

static void
shim_pair_matrix_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  ShimPairMatrix *self = SHIM_PAIR_MATRIX (object);

  if (id == PROP_HADJUSTMENT || id == PROP_VADJUSTMENT)
    g_value_set_object (value, self->adjustments[id - PROP_HADJUSTMENT]);
  else
    g_value_set_enum (value, (int) self->policies[id - PROP_HSCROLL_POLICY]);
}

static void
shim_pair_matrix_set_property (GObject *object, guint id, const GValue *value, GParamSpec *pspec)
{
  ShimPairMatrix *self = SHIM_PAIR_MATRIX (object);

  if (id == PROP_HADJUSTMENT || id == PROP_VADJUSTMENT)
    set_adjustment (self, id == PROP_HADJUSTMENT ? GTK_ORIENTATION_HORIZONTAL : GTK_ORIENTATION_VERTICAL, g_value_get_object (value));
  else
    self->policies[id - PROP_HSCROLL_POLICY] = (GtkScrollablePolicy) g_value_get_enum (value);
}

static void
shim_pair_matrix_dispose (GObject *object)
{
  ShimPairMatrix *self = SHIM_PAIR_MATRIX (object);

  for (guint i = 0; i < 2; i++)
    {
      if (self->adjustments[i] != NULL)
        g_signal_handlers_disconnect_by_data (self->adjustments[i], self);
      g_clear_object (&self->adjustments[i]);
    }
  g_clear_object (&self->grid);
  G_OBJECT_CLASS (shim_pair_matrix_parent_class)->dispose (object);
}

static void
add_move (GtkWidgetClass *widget_class, guint key, int rows, int columns)
{
  gtk_widget_class_add_binding (widget_class, key, 0, move_cb, "(ii)", rows, columns);
}

static void
add_keys (GtkWidgetClass *widget_class)
{
  const int far_away = 1 << 30;

  add_move (widget_class, GDK_KEY_Up, -1, 0);
  add_move (widget_class, GDK_KEY_Down, 1, 0);
  add_move (widget_class, GDK_KEY_Left, 0, -1);
  add_move (widget_class, GDK_KEY_Right, 0, 1);
  add_move (widget_class, GDK_KEY_Page_Up, -10, 0);
  add_move (widget_class, GDK_KEY_Page_Down, 10, 0);
  add_move (widget_class, GDK_KEY_Home, 0, -far_away);
  add_move (widget_class, GDK_KEY_End, 0, far_away);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Home, GDK_CONTROL_MASK, move_cb, "(ii)", -far_away, -far_away);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_End, GDK_CONTROL_MASK, move_cb, "(ii)", far_away, far_away);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Return, 0, open_cb, NULL);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_KP_Enter, 0, open_cb, NULL);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_space, 0, open_cb, NULL);
}

static void
shim_pair_matrix_class_init (ShimPairMatrixClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = shim_pair_matrix_dispose;
  object_class->get_property = shim_pair_matrix_get_property;
  object_class->set_property = shim_pair_matrix_set_property;
  widget_class->measure = shim_pair_matrix_measure;
  widget_class->size_allocate = shim_pair_matrix_size_allocate;
  widget_class->snapshot = shim_pair_matrix_snapshot;
  g_object_class_override_property (object_class, PROP_HADJUSTMENT, "hadjustment");
  g_object_class_override_property (object_class, PROP_VADJUSTMENT, "vadjustment");
  g_object_class_override_property (object_class, PROP_HSCROLL_POLICY, "hscroll-policy");
  g_object_class_override_property (object_class, PROP_VSCROLL_POLICY, "vscroll-policy");
  signals[OPENED] = g_signal_new ("opened", SHIM_TYPE_PAIR_MATRIX, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 2, G_TYPE_UINT,
                                  G_TYPE_UINT);
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_GRID);
  gtk_widget_class_set_css_name (widget_class, "pairmatrix");
  add_keys (widget_class);
}

static void
shim_pair_matrix_init (ShimPairMatrix *self)
{
  GtkGesture *click = gtk_gesture_click_new ();

  gtk_widget_set_focusable (GTK_WIDGET (self), TRUE);
  gtk_widget_set_has_tooltip (GTK_WIDGET (self), TRUE);
  g_signal_connect (self, "query-tooltip", G_CALLBACK (query_tooltip_cb), NULL);
  g_signal_connect (self, "notify::has-focus", G_CALLBACK (gtk_widget_queue_draw), NULL);
  g_signal_connect (click, "pressed", G_CALLBACK (pressed_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (click));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Lenses by bodies"), -1);
}

/**
 * shim_pair_matrix_new:
 * @grid: what to show
 *
 * Returns: (transfer floating): the matrix; it belongs into a #GtkScrolledWindow
 */
GtkWidget *
shim_pair_matrix_new (ShimPairGrid *grid)
{
  ShimPairMatrix *self = g_object_new (SHIM_TYPE_PAIR_MATRIX, NULL);

  self->grid = g_object_ref (grid);
  g_signal_connect_object (grid, "cells-changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  changed_cb (self);
  return GTK_WIDGET (self);
}
