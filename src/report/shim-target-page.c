/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-own-target-measures.h"
#include "shim-target-page.h"

#define TOP_MM 8.0
#define FLANGE_MM 12.0
#define FOOT_MM 14.0
#define CHECK_MM 100.0
#define TEXT_MM 3.1
#define TITLE_MM 4.4
#define COLUMN_GAP_MM 8.0
/* The slot that keeps a foot from catching at the corner. */
#define RELIEF_MM 1.5

/* What is being laid out: a sheet with its origin at the part's top left corner. */
typedef struct
{
  GArray *shapes;
  double x;
  double y;
} Sheet;

static void
add (Sheet *sheet, ShimTargetShapeKind kind, double x, double y, double width, double height)
{
  const ShimTargetShape shape = { kind, sheet->x + x, sheet->y + y, width, height, 0.0, 0.0, NULL };

  g_array_append_val (sheet->shapes, shape);
}

static void
add_arc (Sheet *sheet, double x, double y, double radius, double thickness, const double from_to[2])
{
  const ShimTargetShape shape = { SHIM_TARGET_ARC, sheet->x + x, sheet->y + y, radius, thickness, from_to[0], from_to[1], NULL };

  g_array_append_val (sheet->shapes, shape);
}

static void
add_text (Sheet *sheet, double x, double y, double width, double height, double turn_deg, const char *text)
{
  const ShimTargetShape shape = { SHIM_TARGET_TEXT, sheet->x + x, sheet->y + y, width, height, turn_deg, 0.0, g_strdup (text) };

  g_array_append_val (sheet->shapes, shape);
}

/* How high the strip's middle stands, and how far its foot is in front of the card: half its length at 45°. */
static double
rise_mm (void)
{
  return SHIM_OWN_HALF_MM * sin (SHIM_OWN_ANGLE_DEG * G_PI / 180.0);
}

static void
add_check_bar (Sheet *sheet, double x, double y)
{
  add (sheet, SHIM_TARGET_FILL, x, y + 1.75, CHECK_MM, 1.0);
  add (sheet, SHIM_TARGET_FILL, x, y, 0.5, 4.5);
  add (sheet, SHIM_TARGET_FILL, x + CHECK_MM - 0.5, y, 0.5, 4.5);
  add_text (sheet, x, y + 5.2, CHECK_MM + 12.0, TEXT_MM, 0.0,
            _ ("Measure this bar: from end to end it must be 100 mm. If it is not, print again at actual size (100 %), not fitted to "
               "the page. If it stays, say, 98.5 mm, give 0.985 mm as the distance of the ticks when you measure."));
}

/* The face to focus on, and the discs that the program looks for. */
static void
add_face (Sheet *sheet)
{
  static const double ring[][2] = SHIM_OWN_RING_ARCS, hub[][2] = SHIM_OWN_HUB_ARCS;
  const double x = SHIM_OWN_CARD_WIDTH_MM / 2.0, y = rise_mm ();
  const double half = SHIM_OWN_BARS_HALF_MM, period = SHIM_OWN_BARS_PERIOD_MM;
  const double height = SHIM_OWN_BARS_TO_MM - SHIM_OWN_BARS_FROM_MM;

  for (guint i = 0; i < G_N_ELEMENTS (ring); i++)
    add_arc (sheet, x, y, SHIM_OWN_RING_RADIUS_MM, SHIM_OWN_RING_WIDTH_MM, ring[i]);
  for (guint i = 0; i < G_N_ELEMENTS (hub); i++)
    add_arc (sheet, x, y, SHIM_OWN_HUB_RADIUS_MM, SHIM_OWN_HUB_WIDTH_MM, hub[i]);
  for (double at = -half; at + period / 2.0 <= half; at += period)
    add (sheet, SHIM_TARGET_FILL, x + at, y - SHIM_OWN_BARS_TO_MM, period / 2.0, height);
  for (double at = SHIM_OWN_BARS_FROM_MM; at + period / 2.0 <= SHIM_OWN_BARS_TO_MM; at += period)
    add (sheet, SHIM_TARGET_FILL, x - half, y + at, 2.0 * half, period / 2.0);
  add (sheet, SHIM_TARGET_DISC, SHIM_OWN_CARD_WIDTH_MM - SHIM_OWN_DISC_X_MM, y, SHIM_OWN_DISC_RADIUS_MM, 0.0);
  add (sheet, SHIM_TARGET_DISC, SHIM_OWN_DISC_X_MM, y, SHIM_OWN_DISC_RADIUS_MM, 0.0);
}

/* The card, and the cheek that is folded back from its right edge and carries the strip at 45°. */
static void
add_card (Sheet *sheet)
{
  const double w = SHIM_OWN_CARD_WIDTH_MM, rise = rise_mm (), h = 2.0 * rise;

  add_face (sheet);
  add (sheet, SHIM_TARGET_CUT, 0.0, 0.0, w, 0.0);
  add (sheet, SHIM_TARGET_CUT, 0.0, 0.0, 0.0, h);
  add (sheet, SHIM_TARGET_CUT, w, 0.0, 0.0, rise);
  add (sheet, SHIM_TARGET_CUT, w, rise, rise, -rise);
  add (sheet, SHIM_TARGET_CUT, w + rise, 0.0, 0.0, h);
  add (sheet, SHIM_TARGET_FOLD, w, rise, 0.0, rise);
  add (sheet, SHIM_TARGET_FOLD, 0.0, h, w, 0.0);
  add (sheet, SHIM_TARGET_FOLD, w, h, rise, 0.0);
  for (int i = 0; i < 2; i++)
    {
      const double left = i == 0 ? 0.0 : w + RELIEF_MM, right = i == 0 ? w - RELIEF_MM : w + rise;

      add (sheet, SHIM_TARGET_CUT, left, h, 0.0, FOOT_MM);
      add (sheet, SHIM_TARGET_CUT, left, h + FOOT_MM, right - left, 0.0);
      add (sheet, SHIM_TARGET_CUT, right, h, 0.0, FOOT_MM);
    }
  /* Where the strip's flange lies: a flange's width below the edge. */
  add (sheet, SHIM_TARGET_LINE, w, rise + FLANGE_MM * M_SQRT2, rise, -rise);
  add_text (sheet, w + 22.0, rise - 11.5, 90.0, TEXT_MM, -45.0, _ ("glue the strip’s left flange here, fold on this edge"));
  add_text (sheet, w + 12.0, h - 40.0, 70.0, TEXT_MM, 0.0, _ ("cheek: fold back, at right angles to the face"));
  add_text (sheet, 6.0, h + 4.5, 90.0, TEXT_MM, 0.0, _ ("foot: fold back, tape it to a board"));
  add_text (sheet, w + 8.0, h + 4.5, 75.0, TEXT_MM, 0.0, _ ("foot: fold back, tape it to a board"));
}

static void
add_card_sheet (Sheet *sheet)
{
  const double below = 2.0 * rise_mm () + FOOT_MM + 8.0;

  add_card (sheet);
  add_text (sheet, 0.0, below, 190.0, TITLE_MM, 0.0, _ ("Shimbook target – sheet 1 of 2: the card"));
  add_text (sheet, 0.0, below + 8.0, 78.0, TEXT_MM, 0.0,
            _ ("Print both sheets in black on stiff, matt, white paper. Full lines: cut. Dashed lines: score along a rule, then fold "
               "away from the print. Keep the face flat; a second card behind it helps. Take care with the knife: cut away from "
               "your hand, on a mat."));
  add_check_bar (sheet, 84.0, below + 9.0);
}

static void
add_ticks (Sheet *sheet)
{
  for (int r = -SHIM_OWN_TICKS; r <= SHIM_OWN_TICKS; r++)
    {
      const double length = r % 10 == 0 ? SHIM_OWN_TICK_10_MM : r % 5 == 0 ? SHIM_OWN_TICK_5_MM : SHIM_OWN_TICK_MM;

      add (sheet, SHIM_TARGET_FILL, SHIM_OWN_TICK_X_MM, SHIM_OWN_HALF_MM - r - SHIM_OWN_TICK_WIDTH_MM / 2.0, length,
           SHIM_OWN_TICK_WIDTH_MM);
      if (r % 20 == 0)
        {
          g_autofree char *number = g_strdup_printf (r > 0 ? "+%d" : r < 0 ? "−%d" : "%d", ABS (r));

          add_text (sheet, SHIM_OWN_NUMERAL_X_MM, SHIM_OWN_HALF_MM - r - 0.55 * SHIM_OWN_NUMERAL_HEIGHT_MM, 8.0,
                    SHIM_OWN_NUMERAL_HEIGHT_MM, 0.0, number);
        }
    }
}

static void
add_bars (Sheet *sheet)
{
  for (int r = -SHIM_OWN_TICKS; r <= SHIM_OWN_TICKS; r += SHIM_OWN_BAR_EVERY)
    add (sheet, SHIM_TARGET_FILL, SHIM_OWN_BAR_X_MM, SHIM_OWN_HALF_MM - r - SHIM_OWN_BAR_WIDTH_MM / 2.0, SHIM_OWN_BAR_MM,
         SHIM_OWN_BAR_WIDTH_MM);
}

static void
add_strip (Sheet *sheet)
{
  static const double bars[][2] = SHIM_OWN_TRACK_BARS;
  const double length = 2.0 * SHIM_OWN_HALF_MM, w = SHIM_OWN_WIDTH_MM;

  add_ticks (sheet);
  add_bars (sheet);
  for (guint i = 0; i < G_N_ELEMENTS (bars); i++)
    add (sheet, SHIM_TARGET_FILL, SHIM_OWN_TRACK_X_MM, SHIM_OWN_HALF_MM - bars[i][1], SHIM_OWN_TRACK_WIDTH_MM,
         bars[i][1] - bars[i][0]);
  for (int i = 0; i < 2; i++)
    {
      add (sheet, SHIM_TARGET_CUT, i == 0 ? -FLANGE_MM : w + FLANGE_MM, 0.0, 0.0, length);
      add (sheet, SHIM_TARGET_FOLD, i == 0 ? 0.0 : w, 0.0, 0.0, length);
      add (sheet, SHIM_TARGET_CUT, -FLANGE_MM, i * length, w + 2.0 * FLANGE_MM, 0.0);
    }
  add (sheet, SHIM_TARGET_LINE, -FLANGE_MM, SHIM_OWN_HALF_MM, FLANGE_MM, 0.0);
  add_text (sheet, -8.5, SHIM_OWN_HALF_MM - 8.0, 110.0, TEXT_MM, -90.0, _ ("this half is glued to the cheek"));
  add_text (sheet, -8.5, SHIM_OWN_HALF_MM + 66.0, 60.0, TEXT_MM, -90.0, _ ("card’s face at the line above"));
  add_text (sheet, w + 4.0, 75.0, 60.0, TEXT_MM, -90.0, _ ("far end ↑"));
  add_text (sheet, w + 4.0, length - 10.0, 60.0, TEXT_MM, -90.0, _ ("near end: stands on the table"));
}

/* What the finished thing looks like from the right: card, cheek, strip. */
static void
add_side_view (Sheet *sheet, double x, double y, double size)
{
  add (sheet, SHIM_TARGET_LINE, x, y + size, size, -size);
  add (sheet, SHIM_TARGET_LINE, x + 0.6, y + size + 0.3, size, -size);
  add (sheet, SHIM_TARGET_LINE, x + size / 2.0, y, 0.0, size);
  add (sheet, SHIM_TARGET_LINE, x - 6.0, y + size, size + 12.0, 0.0);
  add (sheet, SHIM_TARGET_LINE, x + size, y, 0.0, size);
  add (sheet, SHIM_TARGET_LINE, x - 42.0, y + size / 2.0, 30.0, 0.0);
  add (sheet, SHIM_TARGET_LINE, x - 15.0, y + size / 2.0 - 1.5, 3.0, 1.5);
  add (sheet, SHIM_TARGET_LINE, x - 15.0, y + size / 2.0 + 1.5, 3.0, -1.5);
  add_text (sheet, x - 42.0, y + size / 2.0 - 5.5, 30.0, TEXT_MM, 0.0, _ ("from the camera"));
  add_text (sheet, x + size / 2.0 - 9.0, y + 1.0, 9.0, TEXT_MM, 0.0, _ ("card"));
  add_text (sheet, x + size / 2.0 + 8.0, y + size - 8.0, 20.0, TEXT_MM, 0.0, _ ("cheek"));
  add_text (sheet, x + 2.0, y + size - 16.0, 12.0, TEXT_MM, 0.0, _ ("strip"));
}

static void
add_strip_sheet (Sheet *sheet, double column_mm)
{
  const double x = SHIM_OWN_WIDTH_MM + FLANGE_MM + COLUMN_GAP_MM;

  add_strip (sheet);
  add_text (sheet, x, 0.0, column_mm, TITLE_MM, 0.0, _ ("Shimbook target – sheet 2 of 2: the strip"));
  add_text (sheet, x, 9.0, column_mm, TEXT_MM, 0.0,
            _ ("To build it\n"
               "1.  Cut out card and strip. Score the dashed lines and fold them away from the print.\n"
               "2.  Fold the card’s cheek back until it stands at right angles to the face; check it with a set square.\n"
               "3.  Fold both flanges of the strip down, so that it becomes a straight, stiff channel.\n"
               "4.  Lay the strip’s left flange against the printed side of the cheek. The fold runs along the cheek’s sloping edge; "
               "the line on the flange, level with the zero of the scale, meets the fold of the card. Glue the half above that line.\n"
               "5.  Stand it on a level board: the card upright, the strip’s near end on the board. Tape the feet down."));
  add_side_view (sheet, x + 50.0, 84.0, 50.0);
  add_text (sheet, x, 144.0, column_mm, TEXT_MM, 0.0,
            _ ("To use it\n"
               "•  Put the camera level with the middle of the card and square to its face, about 50 focal lengths away: 2.5 m for "
               "50 mm. The far end of the strip is up, the whole strip and the disc beside it are in the picture.\n"
               "•  Focus on the rings. The program recognises the target by its black marks and needs no target line: keep the discs and the "
               "row of bars in the picture and uncovered.\n"
               "•  The zero of the scale is level with the card’s face; + is past the target, − in front of it.\n"
               "•  Even, bright, steady light without a shine on the paper. Lamps get hot: keep them away from paper, let them cool, "
               "tape cables to the floor, and never leave a heavy lens on a stand unwatched."));
  add_check_bar (sheet, x, 222.0);
}

static void
clear_shape (gpointer data)
{
  g_free (((ShimTargetShape *) data)->text);
}

/**
 * shim_target_page_size:
 * @paper: the paper
 * @width_mm: (out): its width
 * @height_mm: (out): its height
 */
void
shim_target_page_size (ShimPaper paper, double *width_mm, double *height_mm)
{
  g_return_if_fail (width_mm != NULL && height_mm != NULL);

  *width_mm = paper == SHIM_PAPER_LETTER ? 8.5 * 25.4 : 210.0;
  *height_mm = paper == SHIM_PAPER_LETTER ? 11.0 * 25.4 : 297.0;
}

/**
 * shim_target_page_shapes:
 * @paper: the paper
 * @sheet: 0 = the card, 1 = the strip
 *
 * Lays out one sheet of the printed target. The parts are the same on either paper.
 *
 * Returns: (transfer full) (element-type ShimTargetShape): what is on it
 */
GArray *
shim_target_page_shapes (ShimPaper paper, int sheet)
{
  Sheet laid = { .y = TOP_MM };
  double width, height;

  g_return_val_if_fail (sheet >= 0 && sheet < SHIM_TARGET_SHEETS, NULL);

  shim_target_page_size (paper, &width, &height);
  laid.shapes = g_array_new (FALSE, FALSE, sizeof (ShimTargetShape));
  g_array_set_clear_func (laid.shapes, clear_shape);
  if (sheet == 0)
    {
      laid.x = (width - SHIM_OWN_CARD_WIDTH_MM - rise_mm ()) / 2.0;
      add_card_sheet (&laid);
    }
  else
    {
      laid.x = 8.0 + FLANGE_MM;
      add_strip_sheet (&laid, width - 16.0 - 2.0 * FLANGE_MM - SHIM_OWN_WIDTH_MM - COLUMN_GAP_MM);
    }
  return laid.shapes;
}
