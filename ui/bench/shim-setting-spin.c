/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <stdlib.h>

#include "shim-bench-text.h"
#include "shim-setting-spin.h"

#define MINUS_SIGN 0x2212

static gboolean
output_cb (GtkSpinButton *spin, gpointer user_data)
{
  g_autofree char *text = shim_bench_text_setting (gtk_spin_button_get_value_as_int (spin));

  if (g_strcmp0 (text, gtk_editable_get_text (GTK_EDITABLE (spin))) != 0)
    gtk_editable_set_text (GTK_EDITABLE (spin), text);
  return TRUE;
}

/* Whatever minus the person typed; the marks that keep a number left to right are passed over. */
static int
input_cb (GtkSpinButton *spin, double *value, gpointer user_data)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (spin));
  g_autoptr (GString) plain = g_string_new (NULL);
  char *end = NULL;
  long number;

  for (; *text != '\0'; text = g_utf8_next_char (text))
    {
      gunichar c = g_utf8_get_char (text);

      if (c == MINUS_SIGN)
        g_string_append_c (plain, '-');
      else if (c < 0x80)
        g_string_append_unichar (plain, c);
    }
  errno = 0;
  number = strtol (plain->str, &end, 10);
  if (end == plain->str || *g_strchug (end) != '\0' || errno != 0)
    return GTK_INPUT_ERROR;
  *value = (double) number;
  return TRUE;
}

/**
 * shim_setting_spin_prepare:
 * @spin: a spin button for a setting
 *
 * Shows settings as cameras do, with their sign.
 */
void
shim_setting_spin_prepare (GtkSpinButton *spin)
{
  g_return_if_fail (GTK_IS_SPIN_BUTTON (spin));

  gtk_spin_button_set_numeric (spin, FALSE);
  g_signal_connect (spin, "output", G_CALLBACK (output_cb), NULL);
  g_signal_connect (spin, "input", G_CALLBACK (input_cb), NULL);
  gtk_spin_button_update (spin);
}
