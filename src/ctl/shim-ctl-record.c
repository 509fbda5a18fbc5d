/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-ctl.h"
#include "shim-ops-record.h"

/* The record of a test on paper. */

static int
run_record (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *paper_name = NULL;
  const GOptionEntry entries[] = {
    { "paper", 0, 0, G_OPTION_ARG_STRING, &paper_name, N_ ("Paper"), "a4|letter" },
    { NULL },
  };
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();
  g_autoptr (ShimTestRecord) record = NULL;
  g_autoptr (GError) error = NULL;
  ShimPaper paper = SHIM_PAPER_A4;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (paper_name != NULL && !shim_paper_from_name (paper_name, &paper))
    return shim_ctl_usage (_ ("--paper is a4 or letter, not “%s”"), paper_name);
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  record = shim_ops_test_record (ctl->reg, argv[1], now, &error);
  if (record == NULL || !shim_test_record_write_pdf (record, paper, argv[2], &error))
    return shim_ctl_fail (error);
  return shim_ctl_written (ctl, argv[2]);
}

const ShimCtlCommand shim_ctl_record_commands[] = {
  { "record", "[--paper a4|letter] TEST FILE.pdf", N_ ("Write the record of a test with its evidence"), run_record },
  { NULL, NULL, NULL, NULL },
};
