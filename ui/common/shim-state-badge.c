/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-state-badge.h"

/* A state is a word and a shape; the colour only helps those who see it. */

/**
 * shim_state_badge_icon:
 * @state: state of a pair
 *
 * Returns: (transfer none): name of its symbolic icon
 */
const char *
shim_state_badge_icon (ShimPairState state)
{
  switch (state)
    {
    case SHIM_PAIR_TUNED:
      return "shim-state-tuned-symbolic";
    case SHIM_PAIR_IN_TEST:
      return "shim-state-in-test-symbolic";
    case SHIM_PAIR_DUE:
      return "shim-state-due-symbolic";
    case SHIM_PAIR_OUT_OF_REACH:
      return "shim-state-out-of-reach-symbolic";
    case SHIM_PAIR_NOT_NEEDED:
      return "shim-state-not-needed-symbolic";
    case SHIM_PAIR_UNTESTED:
    default:
      return "shim-state-untested-symbolic";
    }
}

/**
 * shim_state_badge_css:
 * @state: state of a pair
 *
 * Returns: (transfer none): name of its style class
 */
const char *
shim_state_badge_css (ShimPairState state)
{
  switch (state)
    {
    case SHIM_PAIR_TUNED:
      return "state-tuned";
    case SHIM_PAIR_DUE:
      return "state-due";
    case SHIM_PAIR_OUT_OF_REACH:
      return "state-out-of-reach";
    case SHIM_PAIR_IN_TEST:
      return "state-in-test";
    case SHIM_PAIR_UNTESTED:
    case SHIM_PAIR_NOT_NEEDED:
    default:
      return "dim-label";
    }
}

/**
 * shim_state_badge_new:
 * @state: state of a pair
 *
 * Returns: (transfer floating): its shape and its word
 */
GtkWidget *
shim_state_badge_new (ShimPairState state)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);

  gtk_box_append (GTK_BOX (box), gtk_image_new_from_icon_name (shim_state_badge_icon (state)));
  gtk_box_append (GTK_BOX (box), gtk_label_new (shim_pair_state_to_label (state)));
  gtk_widget_add_css_class (box, shim_state_badge_css (state));
  return box;
}
