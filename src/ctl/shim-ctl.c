/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <stdarg.h>

#include "shim-ctl.h"
#include "shim-workspace.h"

/**
 * shim_ctl_fail:
 * @error: what went wrong
 *
 * Says so on standard error.
 *
 * Returns: %SHIM_CTL_FAILED
 */
int
shim_ctl_fail (const GError *error)
{
  g_printerr ("shimbookctl: %s\n", error != NULL ? error->message : _ ("unknown error"));
  return SHIM_CTL_FAILED;
}

/**
 * shim_ctl_usage:
 * @format: what was not understood, printf-like
 * @...: its values
 *
 * Says so on standard error.
 *
 * Returns: %SHIM_CTL_USAGE
 */
int
shim_ctl_usage (const char *format, ...)
{
  g_autofree char *text = NULL;
  va_list args;

  va_start (args, format);
  text = g_strdup_vprintf (format, args);
  va_end (args);
  g_printerr ("shimbookctl: %s\n", text);
  return SHIM_CTL_USAGE;
}

/**
 * shim_ctl_parse:
 * @ctl: this run
 * @entries: (nullable): the command's own options
 * @argc: (inout): arguments of the command, its name included
 * @argv: (inout): likewise; options are taken out
 *
 * Every command takes --json and --register as well. On failure it has said why on standard error.
 *
 * Returns: whether the options were understood
 */
gboolean
shim_ctl_parse (ShimCtl *ctl, const GOptionEntry *entries, int *argc, char ***argv)
{
  const GOptionEntry common[] = {
    { "json", 0, 0, G_OPTION_ARG_NONE, &ctl->json, N_ ("Answer as JSON"), NULL },
    { "register", 0, 0, G_OPTION_ARG_FILENAME, &ctl->register_path, N_ ("Use this register instead of your own"), N_ ("FILE") },
    { NULL },
  };
  g_autoptr (GOptionContext) context = g_option_context_new (ctl->command->arguments);
  g_autofree char *name = g_strdup_printf ("shimbookctl %s", ctl->command->name);
  g_autoptr (GError) error = NULL;

  /* The help of a command begins with this name. */
  g_set_prgname (name);
  g_option_context_set_summary (context, _ (ctl->command->summary));
  if (entries != NULL)
    g_option_context_add_main_entries (context, entries, GETTEXT_PACKAGE);
  g_option_context_add_main_entries (context, common, GETTEXT_PACKAGE);
  if (g_option_context_parse (context, argc, argv, &error))
    return TRUE;
  shim_ctl_usage ("%s", error->message);
  return FALSE;
}

/**
 * shim_ctl_want_args:
 * @argv: arguments, the command's name first
 * @argc: their number
 * @n_min: fewest words after the command
 * @n_max: most words; -1 = any number
 *
 * Returns: whether there are as many; otherwise it has said so
 */
gboolean
shim_ctl_want_args (char **argv, int argc, int n_min, int n_max)
{
  if (argc - 1 < n_min)
    shim_ctl_usage (_ ("%s: something is missing"), argv[0]);
  else if (n_max >= 0 && argc - 1 > n_max)
    shim_ctl_usage (_ ("%s: “%s” is one word too many; see shimbookctl --help"), argv[0], argv[1 + n_max]);
  else
    return TRUE;
  return FALSE;
}

/**
 * shim_ctl_register:
 * @ctl: this run
 *
 * Opens the register on first use, and makes it when there is none: then it says so on standard error, for the name may have been
 * mistyped. On failure it has said why.
 *
 * Returns: (transfer none) (nullable): the register
 */
ShimRegister *
shim_ctl_register (ShimCtl *ctl)
{
  g_autofree char *path = ctl->register_path != NULL ? g_strdup (ctl->register_path) : shim_workspace_default_path ();
  g_autofree char *folder = g_path_get_dirname (path);
  g_autoptr (GError) error = NULL;
  gboolean was_there = g_file_test (path, G_FILE_TEST_EXISTS);

  if (ctl->reg != NULL)
    return ctl->reg;
  if (ctl->register_path == NULL)
    g_mkdir_with_parents (folder, 0700);
  ctl->reg = shim_register_open (path, SHIM_REGISTER_CREATE, &error);
  /* A register that may not be written to can still be looked at; what would change it says so itself. */
  if (g_error_matches (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_READ_ONLY))
    {
      g_clear_error (&error);
      ctl->reg = shim_register_open (path, SHIM_REGISTER_READ_ONLY, &error);
    }
  if (ctl->reg == NULL)
    shim_ctl_fail (error);
  else if (!was_there)
    g_printerr (_ ("shimbookctl: made a new register, %s\n"), path);
  return ctl->reg;
}

/**
 * shim_ctl_print_json:
 * @node: an answer
 */
void
shim_ctl_print_json (JsonNode *node)
{
  g_autoptr (JsonGenerator) generator = json_generator_new ();
  g_autofree char *text = NULL;

  json_generator_set_pretty (generator, TRUE);
  json_generator_set_root (generator, node);
  text = json_generator_to_data (generator, NULL);
  g_print ("%s\n", text);
}

/**
 * shim_ctl_print_built:
 * @builder: with a finished answer
 */
void
shim_ctl_print_built (JsonBuilder *builder)
{
  g_autoptr (JsonNode) node = json_builder_get_root (builder);

  shim_ctl_print_json (node);
}

/**
 * shim_ctl_print_cell:
 * @text: (nullable): what stands in it
 * @width: of the column, in characters; below 0 to keep the text to the right
 *
 * Prints a column of a table for people and the blanks behind it. The widths of printf() count bytes, so that a minus sign
 * or an accent would move all that follows.
 */
void
shim_ctl_print_cell (const char *text, int width)
{
  const char *shown = text != NULL ? text : "";
  const int fill = MAX (0, ABS (width) - (int) g_utf8_strlen (shown, -1));

  if (width < 0)
    g_print ("%*s%s  ", fill, "", shown);
  else
    g_print ("%s%*s  ", shown, fill, "");
}

/**
 * shim_ctl_done:
 * @ctl: this run
 * @key: key of @id in JSON
 * @id: what was changed
 * @sentence: the same for people, without a full stop
 *
 * Says that a change was made.
 *
 * Returns: %SHIM_CTL_OK
 */
int
shim_ctl_done (ShimCtl *ctl, const char *key, const char *id, const char *sentence)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  if (!ctl->json)
    {
      g_print ("%s\n", sentence);
      return SHIM_CTL_OK;
    }
  json_builder_begin_object (builder);
  json_builder_set_member_name (builder, key);
  json_builder_add_string_value (builder, id);
  json_builder_end_object (builder);
  shim_ctl_print_built (builder);
  return SHIM_CTL_OK;
}

/**
 * shim_ctl_written:
 * @ctl: this run
 * @path: a file
 *
 * Says that it was written.
 *
 * Returns: %SHIM_CTL_OK
 */
int
shim_ctl_written (ShimCtl *ctl, const char *path)
{
  g_autofree char *sentence = g_strdup_printf (_ ("Written %s"), path);

  return shim_ctl_done (ctl, "file", path, sentence);
}

static ShimRecord *
find_one (ShimCtl *ctl, GType type, const char *field, const char *word, gboolean *failed)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) found = NULL;
  g_autoptr (GError) error = NULL;

  if (shim_kind_find_field (shim_kind_for_type (type), field) == NULL && g_strcmp0 (field, "id") != 0)
    return NULL;
  shim_query_add_filter (query, field, word);
  shim_query_set_include_archived (query, TRUE);
  found = shim_register_list (ctl->reg, type, query, &error);
  if (found == NULL)
    shim_ctl_fail (error);
  else if (found->len > 1)
    shim_ctl_usage (_ ("“%s” is the name or serial of %u items; use the serial or the id"), word, found->len);
  *failed = found == NULL || found->len > 1;
  return !*failed && found->len == 1 ? g_object_ref (found->pdata[0]) : NULL;
}

/**
 * shim_ctl_find:
 * @ctl: this run, with its register open
 * @type: kind of record
 * @word: its id, serial number or name
 *
 * On failure it has said why on standard error.
 *
 * Returns: (transfer full) (nullable): the record
 */
ShimRecord *
shim_ctl_find (ShimCtl *ctl, GType type, const char *word)
{
  static const char *const fields[] = { "id", "serial", "label", "name" };

  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    {
      gboolean failed = FALSE;
      ShimRecord *record = find_one (ctl, type, fields[i], word, &failed);

      if (record != NULL || failed)
        return record;
    }
  shim_ctl_usage (_ ("there is no %s “%s” in the register"), _ (shim_kind_for_type (type)->label), word);
  return NULL;
}
