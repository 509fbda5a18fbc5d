/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-ctl.h"
#include "shim-json.h"
#include "shim-kit-sheet.h"
#include "shim-ops-jobs.h"
#include "shim-readiness.h"
#include "shim-register-reads.h"

/* Commands on jobs: what to take, what is not ready, the kit sheet. */

/* An item of any kind by its id, serial number or name. */
static ShimRecord *
find_item (ShimCtl *ctl, const char *word, GError **error)
{
  static const char *const kinds[] = { "body", "lens", "converter", "adapter" };
  static const char *const fields[] = { "id", "serial", "label" };

  for (guint f = 0; f < G_N_ELEMENTS (fields); f++)
    for (guint k = 0; k < G_N_ELEMENTS (kinds); k++)
      {
        g_autoptr (ShimQuery) query = shim_query_new ();
        g_autoptr (GPtrArray) found = NULL;

        shim_query_add_filter (query, fields[f], word);
        found = shim_register_list (ctl->reg, shim_kind_type_from_name (kinds[k]), query, error);
        if (found == NULL)
          return NULL;
        if (found->len > 0)
          return g_object_ref (found->pdata[0]);
      }
  g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND,
               _ ("nothing in the register is called, or has the serial number, “%s”"), word);
  return NULL;
}

static int
run_take (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (ShimRecord) job = NULL;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, -1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  job = shim_ctl_find (ctl, SHIM_TYPE_JOB, argv[1]);
  if (job == NULL)
    return SHIM_CTL_FAILED;
  for (int i = 2; i < argc; i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (ShimRecord) item = find_item (ctl, argv[i], &error);

      if (item == NULL || !shim_ops_jobs_add_item (ctl->reg, job->id, shim_record_get_kind (item)->name, item->id, &error))
        return shim_ctl_fail (error);
    }
  return shim_ctl_done (ctl, "job", job->id, _ ("Taken along"));
}

static int
run_leave (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (ShimRecord) job = NULL;
  g_autoptr (ShimRecord) item = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL || (job = shim_ctl_find (ctl, SHIM_TYPE_JOB, argv[1])) == NULL)
    return SHIM_CTL_FAILED;
  item = find_item (ctl, argv[2], &error);
  if (item == NULL || !shim_ops_jobs_remove_item (ctl->reg, job->id, item->id, &error))
    return shim_ctl_fail (error);
  return shim_ctl_done (ctl, "job", job->id, _ ("Left at home"));
}

static int
run_copy_kit (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autoptr (ShimRecord) from = NULL;
  g_autoptr (ShimRecord) job = NULL;
  g_autoptr (GError) error = NULL;
  guint n = 0;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL || (from = shim_ctl_find (ctl, SHIM_TYPE_JOB, argv[1])) == NULL
      || (job = shim_ctl_find (ctl, SHIM_TYPE_JOB, argv[2])) == NULL)
    return SHIM_CTL_FAILED;
  if (!shim_ops_jobs_copy_items (ctl->reg, job->id, from->id, &n, &error))
    return shim_ctl_fail (error);
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "job", job->id);
  shim_json_add_int (builder, "added", n);
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else
    g_print (ngettext ("%u item added\n", "%u items added\n", n), n);
  return SHIM_CTL_OK;
}

static void
add_lines (ShimCtl *ctl, JsonBuilder *builder, const char *key, char **lines, const char *format)
{
  json_builder_set_member_name (builder, key);
  json_builder_begin_array (builder);
  for (guint i = 0; lines != NULL && lines[i] != NULL; i++)
    {
      if (!ctl->json)
        g_printerr (format, lines[i]);
      json_builder_add_string_value (builder, lines[i]);
    }
  json_builder_end_array (builder);
}

static int
print_picked (ShimCtl *ctl, const ShimPickResult *result)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  json_builder_begin_object (builder);
  shim_json_add_int (builder, "added", result->n_added);
  shim_json_add_int (builder, "there", result->n_there);
  add_lines (ctl, builder, "not_found", result->not_found, _ ("nothing has the serial number “%s”\n"));
  add_lines (ctl, builder, "ambiguous", result->ambiguous, _ ("several items have the serial number “%s”\n"));
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else
    g_print (_ ("Added: %u; there already: %u\n"), result->n_added, result->n_there);
  return result->not_found[0] == NULL && result->ambiguous[0] == NULL ? SHIM_CTL_OK : SHIM_CTL_FAILED;
}

static int
run_scan (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (ShimRecord) job = NULL;
  g_autoptr (ShimPickResult) result = NULL;
  g_autoptr (GError) error = NULL;
  g_autofree char *lines = NULL;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL || (job = shim_ctl_find (ctl, SHIM_TYPE_JOB, argv[1])) == NULL)
    return SHIM_CTL_FAILED;
  if (!g_file_get_contents (argv[2], &lines, NULL, &error)
      || (result = shim_ops_jobs_add_serials (ctl->reg, job->id, lines, &error)) == NULL)
    return shim_ctl_fail (error);
  return print_picked (ctl, result);
}

static ShimJobKit *
job_kit (ShimCtl *ctl, const char *word)
{
  g_autoptr (ShimRecord) job = word != NULL ? shim_ctl_find (ctl, SHIM_TYPE_JOB, word) : NULL;
  g_autoptr (GError) error = NULL;
  ShimJobKit *kit;

  if (word != NULL && job == NULL)
    return NULL;
  kit = shim_register_job_kit (ctl->reg, job != NULL ? job->id : NULL, &error);
  if (kit == NULL)
    shim_ctl_fail (error);
  return kit;
}

static int
run_ready (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autoptr (ShimJobKit) kit = NULL;
  g_autoptr (GPtrArray) list = NULL;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 0, 1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL || (kit = job_kit (ctl, argv[1])) == NULL)
    return SHIM_CTL_FAILED;
  list = shim_job_kit_readiness (kit);
  json_builder_begin_array (builder);
  for (guint i = 0; i < list->len; i++)
    {
      const ShimNotReady *entry = list->pdata[i];

      if (!ctl->json)
        g_print ("%s\n", entry->sentence);
      json_builder_begin_object (builder);
      shim_json_add_text (builder, "kind", shim_readiness_kind_to_name (entry->kind));
      shim_json_add_text (builder, "body", entry->body);
      shim_json_add_text (builder, "lens", entry->lens);
      shim_json_add_text (builder, "item", entry->item);
      shim_json_add_text (builder, "pair", entry->pair);
      shim_json_add_text (builder, "sentence", entry->sentence);
      json_builder_end_object (builder);
    }
  json_builder_end_array (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else if (list->len == 0)
    g_print (_ ("All is ready.\n"));
  return SHIM_CTL_OK;
}

static int
run_sheet (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *job = NULL, *paper_name = NULL;
  const GOptionEntry entries[] = {
    { "job", 0, 0, G_OPTION_ARG_STRING, &job, N_ ("For this job instead of the whole kit"), N_ ("JOB") },
    { "paper", 0, 0, G_OPTION_ARG_STRING, &paper_name, N_ ("Paper of a PDF"), "a4|letter" },
    { NULL },
  };
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();
  g_autoptr (ShimJobKit) kit = NULL;
  g_autoptr (ShimKitSheet) sheet = NULL;
  g_autoptr (GError) error = NULL;
  ShimPaper paper = SHIM_PAPER_A4;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, ctl->json ? 0 : 1, -1))
    return SHIM_CTL_USAGE;
  if (paper_name != NULL && !shim_paper_from_name (paper_name, &paper))
    return shim_ctl_usage (_ ("--paper is a4 or letter, not “%s”"), paper_name);
  if (shim_ctl_register (ctl) == NULL || (kit = job_kit (ctl, job)) == NULL)
    return SHIM_CTL_FAILED;
  sheet = shim_kit_sheet_new (kit, now);
  for (int i = 1; i < argc; i++)
    {
      if (!shim_kit_sheet_write (sheet, paper, argv[i], &error))
        return shim_ctl_fail (error);
      /* The answer as JSON is the sheet itself. */
      if (!ctl->json)
        shim_ctl_written (ctl, argv[i]);
    }
  if (ctl->json)
    {
      g_autofree char *json = shim_kit_sheet_to_json (sheet);

      g_print ("%s", json);
    }
  return SHIM_CTL_OK;
}

const ShimCtlCommand shim_ctl_job_commands[] = {
  { "take", "JOB ITEM…", N_ ("Take items along on a job; ITEM is a name, serial number or id"), run_take },
  { "leave", "JOB ITEM", N_ ("Leave an item at home"), run_leave },
  { "scan", "JOB FILE", N_ ("Take items along by their serial numbers, one a line"), run_scan },
  { "copy-kit", "FROM-JOB JOB", N_ ("Take along what an earlier job took"), run_copy_kit },
  { "ready", "[JOB]", N_ ("Say what is not ready, of the whole kit or of a job"), run_ready },
  { "sheet", "[--job JOB] [--paper a4|letter] FILE…", N_ ("Write a kit sheet as .pdf, .csv or .json"), run_sheet },
  { NULL, NULL, NULL, NULL },
};
