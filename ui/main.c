/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <locale.h>

#include "shim-application.h"
#include "shim-pixels.h"

int
main (int argc, char *argv[])
{
  g_autoptr (ShimApplication) app = NULL;

  shim_pixels_keep_freed ();
  setlocale (LC_ALL, "");
  bindtextdomain (GETTEXT_PACKAGE, SHIM_LOCALEDIR);
  bind_textdomain_codeset (GETTEXT_PACKAGE, "UTF-8");
  textdomain (GETTEXT_PACKAGE);
  g_set_application_name (_ ("Shimbook"));

  app = shim_application_new ();
  return g_application_run (G_APPLICATION (app), argc, argv);
}
