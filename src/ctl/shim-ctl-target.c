/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-ctl.h"
#include "shim-target-page.h"

/* The target to print: it needs no register. */

static int
run_target (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *paper_name = NULL;
  const GOptionEntry entries[] = {
    { "paper", 0, 0, G_OPTION_ARG_STRING, &paper_name, N_ ("Paper to print on (a4)"), "a4|letter" },
    { NULL },
  };
  g_autoptr (GError) error = NULL;
  ShimPaper paper = SHIM_PAPER_A4;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1))
    return SHIM_CTL_USAGE;
  if (paper_name != NULL && !shim_paper_from_name (paper_name, &paper))
    return shim_ctl_usage (_ ("--paper is a4 or letter, not “%s”"), paper_name);
  return shim_target_page_write (paper, argv[1], &error) ? shim_ctl_written (ctl, argv[1]) : shim_ctl_fail (error);
}

const ShimCtlCommand shim_ctl_target_commands[] = {
  { "target", "[--paper a4|letter] FILE.pdf", N_ ("Write the target to print: a card and a strip that stands at 45°"), run_target },
  { NULL },
};
