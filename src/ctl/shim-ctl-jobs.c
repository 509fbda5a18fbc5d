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
  return SHIM_CTL_OK;
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
    if (!shim_kit_sheet_write (sheet, paper, argv[i], &error))
      return shim_ctl_fail (error);
  if (ctl->json)
    {
      g_autofree char *json = shim_kit_sheet_to_json (sheet);

      g_print ("%s", json);
    }
  return SHIM_CTL_OK;
}

const ShimCtlCommand shim_ctl_job_commands[] = {
  { "take", "JOB ITEM…", N_ ("Take items along on a job; ITEM is a name, serial number or id"), run_take },
  { "ready", "[JOB]", N_ ("Say what is not ready, of the whole kit or of a job"), run_ready },
  { "sheet", "[--job JOB] [--paper a4|letter] FILE…", N_ ("Write a kit sheet as .pdf, .csv or .json"), run_sheet },
  { NULL, NULL, NULL, NULL },
};
