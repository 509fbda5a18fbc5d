/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

/* The measures of the printed target, mm, for whoever prints it, reads it or draws a picture of it. Nothing but numbers.
 *
 * The strip stands at 45° beside the card. r counts along it: 0 is level with the card's face, + is away from the camera. x counts
 * across it from the fold beside the card, to the right as the camera sees it with the far end up. The card's right edge meets that
 * fold; its mark lies at the height of r = 0. */

/* The strip reaches from −HALF to +HALF, its ticks from −TICKS to +TICKS, one every mm. */
#define SHIM_OWN_HALF_MM 126.0
#define SHIM_OWN_TICKS 120
#define SHIM_OWN_WIDTH_MM 44.0
#define SHIM_OWN_ANGLE_DEG 45.0

/* Ticks: all begin at the same x. Nearly equal bars and gaps have the most contrast; the ink spreads a little. */
#define SHIM_OWN_TICK_X_MM 2.5
#define SHIM_OWN_TICK_WIDTH_MM 0.44
#define SHIM_OWN_TICK_MM 8.0
#define SHIM_OWN_TICK_5_MM 10.0
#define SHIM_OWN_TICK_10_MM 12.0

/* Numerals every 20 mm. */
#define SHIM_OWN_NUMERAL_X_MM 15.2
#define SHIM_OWN_NUMERAL_HEIGHT_MM 2.4

/* Bars at every even reading, for pixels or blur that leave nothing of the ticks. */
#define SHIM_OWN_BAR_X_MM 22.0
#define SHIM_OWN_BAR_MM 8.0
#define SHIM_OWN_BAR_WIDTH_MM 0.94
#define SHIM_OWN_BAR_EVERY 2

/* The lanes of ticks and bars: their distance, from and to across the strip, every how many a longer one stands (0 = none). */
#define SHIM_OWN_LANES \
  { { 1.0, SHIM_OWN_TICK_X_MM, SHIM_OWN_TICK_X_MM + SHIM_OWN_TICK_MM, 5 }, \
    { SHIM_OWN_BAR_EVERY, SHIM_OWN_BAR_X_MM, SHIM_OWN_BAR_X_MM + SHIM_OWN_BAR_MM, 0 } }

/* A track of solid bars beside them, with quiet paper of 4 mm on both sides: their places along the strip are unlike each other
 * at every shift and either way round, so that they say which reading is where, and which end is far. Bars are at least
 * 6 mm long, gaps 5 mm. */
#define SHIM_OWN_TRACK_X_MM 34.0
#define SHIM_OWN_TRACK_WIDTH_MM 6.0
#define SHIM_OWN_TRACK_BARS \
  { { -119, -101 }, { -89, -77 }, { -61, -53 }, { -41, -33 }, { -21, -15 }, { -10, 8 }, { 24, 30 }, { 35, 53 }, \
  { 58, 64 }, { 72, 80 }, { 88, 96 }, { 112, 118 } }

/* The card: its marks are discs at the height of r = 0, this far from its right and left edges. */
#define SHIM_OWN_CARD_WIDTH_MM 105.0
#define SHIM_OWN_DISC_X_MM 9.5
#define SHIM_OWN_DISC_RADIUS_MM 4.5

/* What the card shows for focusing: arcs of rings about its middle (from, to, degrees anticlockwise from the right), upright
 * bars above, lying ones below. */
#define SHIM_OWN_RING_RADIUS_MM 25.0
#define SHIM_OWN_RING_WIDTH_MM 8.0
#define SHIM_OWN_RING_ARCS { { 20.0, 118.0 }, { 140.0, 222.0 }, { 244.0, 358.0 } }
#define SHIM_OWN_HUB_RADIUS_MM 9.0
#define SHIM_OWN_HUB_WIDTH_MM 6.0
#define SHIM_OWN_HUB_ARCS { { -70.0, 80.0 }, { 110.0, 260.0 } }
#define SHIM_OWN_BARS_FROM_MM 42.0
#define SHIM_OWN_BARS_TO_MM 62.0
#define SHIM_OWN_BARS_HALF_MM 30.0
#define SHIM_OWN_BARS_PERIOD_MM 8.0
