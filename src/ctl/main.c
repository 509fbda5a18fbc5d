/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib.h>

int
main (void)
{
  g_print ("shimbookctl %s\n", SHIM_VERSION);
  return 0;
}
