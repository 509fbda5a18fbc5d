/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_errno.h>

#include "shim-gsl.h"

void
shim_gsl_init (void)
{
  static gsize done = 0;

  if (g_once_init_enter (&done))
    {
      gsl_set_error_handler_off ();
      g_once_init_leave (&done, 1);
    }
}
