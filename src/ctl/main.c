/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <glib/gi18n.h>
#include <locale.h>
#include <stdio.h>
#include <string.h>

#include "shim-ctl.h"

static const ShimCtlCommand *const tables[] = {
  shim_ctl_photo_commands,     shim_ctl_kit_commands,      shim_ctl_gather_commands, shim_ctl_find_commands,
  shim_ctl_bench_commands,     shim_ctl_review_commands,   shim_ctl_decide_commands, shim_ctl_pair_commands,
  shim_ctl_pair_list_commands, shim_ctl_slot_commands,     shim_ctl_plan_commands,   shim_ctl_job_commands,
  shim_ctl_register_commands,  shim_ctl_target_commands,   shim_ctl_record_commands,
};

static void
print_help (void)
{
  g_print (_ ("Usage: shimbookctl COMMAND [--register FILE] [--json] …\n\n"));
  for (guint t = 0; t < G_N_ELEMENTS (tables); t++)
    for (const ShimCtlCommand *command = tables[t]; command->name != NULL; command++)
      {
        g_print ("  %s %s\n", command->name, command->arguments);
        g_print ("      %s\n", _ (command->summary));
      }
  g_print (_ ("\nThe manual page shimbookctl(1) has all options.\n"));
}

static const ShimCtlCommand *
find_command (const char *name)
{
  for (guint t = 0; t < G_N_ELEMENTS (tables); t++)
    for (const ShimCtlCommand *command = tables[t]; command->name != NULL; command++)
      if (g_str_equal (command->name, name))
        return command;
  return NULL;
}

/* --json and --register may stand before the command too: "shimbookctl --register kit.register list lens". */
static int
index_of_command (int argc, char **argv)
{
  for (int i = 1; i < argc; i++)
    {
      if (g_str_equal (argv[i], "--register"))
        i++;
      else if (argv[i][0] != '-')
        return i;
    }
  return -1;
}

/* GOption counts the first word as the program's name, so the command goes there. */
static void
move_to_front (char **argv, int index)
{
  char *command = argv[index];

  memmove (argv + 1, argv, (gsize) index * sizeof *argv);
  argv[0] = command;
  /* The program's own name is of no use any more; its place is taken by what stood before the command. */
  for (int i = 1; argv[i] != NULL; i++)
    argv[i] = argv[i + 1];
}

/* GLib's own way writes out after each piece: a list of many pairs would spend much of its time on that. */
static void
print_buffered (const char *text)
{
  fputs (text, stdout);
}

static int
run (int argc, char **argv)
{
  ShimCtl ctl = { 0 };
  const ShimCtlCommand *command;
  g_auto (GStrv) words = NULL;
  g_autofree char **shifting = NULL;
  int index, status;

  if (argc == 2 && g_str_equal (argv[1], "--version"))
    {
      g_print ("shimbookctl %s\n", SHIM_VERSION);
      return SHIM_CTL_OK;
    }
  words = g_strdupv (argv);
  index = index_of_command (argc, words);
  if (index < 0 || g_str_equal (words[index], "help"))
    {
      gboolean asked = argc > 1;

      print_help ();
      return asked ? SHIM_CTL_OK : SHIM_CTL_USAGE;
    }
  command = find_command (words[index]);
  if (command == NULL)
    return shim_ctl_usage (_ ("there is no command “%s”; see shimbookctl --help"), words[index]);

  /* The option parser takes words out of the array it is given; what it drops must still be freed. */
  shifting = g_memdup2 (words, (gsize) (argc + 1) * sizeof *words);
  move_to_front (shifting, index);
  ctl.command = command;
  status = command->run (&ctl, argc - 1, shifting);
  if (status == SHIM_CTL_USAGE)
    g_printerr (_ ("Usage: shimbookctl %s %s\n"), command->name, command->arguments);
  g_clear_pointer (&ctl.reg, shim_register_free);
  g_free (ctl.register_path);
  return status;
}

/* What was asked for has not arrived when the disk is full, whatever became of the command. */
static int
finish_output (int status)
{
  gboolean written;

  errno = 0;
  written = fflush (stdout) == 0 && !ferror (stdout);
  if (written)
    return status;
  g_printerr (_ ("shimbookctl: not all of the output could be written: %s\n"), g_strerror (errno != 0 ? errno : EIO));
  return status == SHIM_CTL_OK ? SHIM_CTL_FAILED : status;
}

int
main (int argc, char *argv[])
{
  setlocale (LC_ALL, "");
  bindtextdomain (GETTEXT_PACKAGE, SHIM_LOCALEDIR);
  bind_textdomain_codeset (GETTEXT_PACKAGE, "UTF-8");
  textdomain (GETTEXT_PACKAGE);
  g_set_prgname ("shimbookctl");
  /* Into another encoding GLib's own way translates. */
  if (g_get_charset (NULL))
    g_set_print_handler (print_buffered);
  return finish_output (run (argc, argv));
}
