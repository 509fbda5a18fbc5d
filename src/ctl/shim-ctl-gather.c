/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-ctl.h"
#include "shim-json.h"
#include "shim-ops-gather.h"

/* From photographs to the bodies and lenses that took them. */

static void
print_item (ShimCtl *ctl, JsonBuilder *builder, const ShimGathered *item)
{
  g_autofree char *serial = NULL;

  g_object_get (item->record, "serial", &serial, NULL);
  if (!ctl->json)
    {
      shim_ctl_print_cell (shim_record_get_kind (item->record)->name, 6);
      shim_ctl_print_cell (shim_ops_kit_item_name (item->record), 31);
      shim_ctl_print_cell (serial != NULL ? serial : "–", 15);
      g_print ("%s\n", item->is_known ? _ ("already in the kit") : _ ("new"));
    }
  json_builder_begin_object (builder);
  shim_json_add_bool (builder, "is_known", item->is_known);
  shim_json_add_int (builder, "n_photos", item->n_photos);
  json_builder_set_member_name (builder, "item");
  shim_json_add_record (builder, item->record);
  json_builder_end_object (builder);
}

/* The new ones, with @mount where the photographs do not say. */
static GPtrArray *
new_records (const ShimGathering *gathering, const char *mount)
{
  GPtrArray *records = g_ptr_array_new_with_free_func (g_object_unref);

  for (guint i = 0; i < gathering->items->len; i++)
    {
      ShimGathered *item = gathering->items->pdata[i];

      if (item->is_known)
        continue;
      g_ptr_array_add (records, shim_gathered_dup_new (item, mount));
      /* What is printed afterwards is what was stored, with its id. */
      g_set_object (&item->record, records->pdata[records->len - 1]);
    }
  return records;
}

static gboolean
store (ShimCtl *ctl, GPtrArray *records)
{
  g_autoptr (ShimImportResult) result = NULL;
  g_autoptr (GError) error = NULL;

  if (records->len == 0)
    return TRUE;
  result = shim_ops_kit_import (ctl->reg, records, SHIM_IMPORT_DEFAULT, &error);
  if (result == NULL)
    shim_ctl_fail (error);
  else if (!result->stored)
    g_printerr (_ ("shimbookctl: %s; nothing was stored. --mount says what the photographs do not\n"),
                ((const ShimImportProblem *) result->problems->pdata[0])->sentence);
  return result != NULL && result->stored;
}

static int
run_gather (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *mount = NULL;
  gboolean dry_run = FALSE;
  const GOptionEntry entries[] = {
    { "mount", 0, 0, G_OPTION_ARG_STRING, &mount, N_ ("Mount of the new ones, where the photographs do not say"), N_ ("MOUNT") },
    { "dry-run", 0, 0, G_OPTION_ARG_NONE, &dry_run, N_ ("Say what is new, store nothing"), NULL },
    { NULL },
  };
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autoptr (ShimGathering) gathering = NULL;
  g_autoptr (GPtrArray) records = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, -1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  gathering = shim_ops_gather (ctl->reg, (const char *const *) argv + 1, NULL, &error);
  if (gathering == NULL)
    return shim_ctl_fail (error);
  records = new_records (gathering, mount);
  if (!dry_run && !store (ctl, records))
    return SHIM_CTL_FAILED;
  json_builder_begin_array (builder);
  for (guint i = 0; i < gathering->items->len; i++)
    print_item (ctl, builder, gathering->items->pdata[i]);
  json_builder_end_array (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  for (guint i = 0; i < gathering->unread->len; i++)
    g_printerr ("shimbookctl: %s\n", (const char *) gathering->unread->pdata[i]);
  return gathering->unread->len > 0 ? SHIM_CTL_FAILED : SHIM_CTL_OK;
}

const ShimCtlCommand shim_ctl_gather_commands[] = {
  { "gather", "[--mount MOUNT] [--dry-run] PHOTOGRAPH…", N_ ("Add the bodies and lenses that took these photographs"), run_gather },
  { NULL, NULL, NULL, NULL },
};
