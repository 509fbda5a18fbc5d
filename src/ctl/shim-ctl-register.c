/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <string.h>

#include "shim-ctl.h"
#include "shim-format.h"
#include "shim-json.h"

/* Commands on the register as a whole. */

static int
run_check (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autoptr (GPtrArray) problems = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 0, 0))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  if (!shim_register_check (ctl->reg, &problems, &error))
    return shim_ctl_fail (error);
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "register", shim_register_get_path (ctl->reg));
  shim_json_add_bool (builder, "ok", problems->len == 0);
  json_builder_set_member_name (builder, "problems");
  json_builder_begin_array (builder);
  for (guint i = 0; i < problems->len; i++)
    {
      if (!ctl->json)
        g_print ("%s\n", (const char *) problems->pdata[i]);
      json_builder_add_string_value (builder, problems->pdata[i]);
    }
  json_builder_end_array (builder);
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else if (problems->len == 0)
    g_print (_ ("%s: all is well\n"), shim_register_get_path (ctl->reg));
  return problems->len == 0 ? SHIM_CTL_OK : SHIM_CTL_FAILED;
}

static int
run_back_up (ShimCtl *ctl, int argc, char **argv)
{
  gboolean overwrite = FALSE;
  const GOptionEntry entries[] = {
    { "overwrite", 0, 0, G_OPTION_ARG_NONE, &overwrite, N_ ("Replace a register that is there"), NULL },
    { NULL },
  };
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  if (!shim_register_backup (ctl->reg, argv[1], overwrite, &error))
    return shim_ctl_fail (error);
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "backup", argv[1]);
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else
    g_print (_ ("Backed up to %s\n"), argv[1]);
  return SHIM_CTL_OK;
}

static void
print_backup (ShimCtl *ctl, const ShimBackupInfo *info, const char *kept)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autofree char *at = shim_format_time (info->changed_at);

  json_builder_begin_object (builder);
  shim_json_add_bool (builder, "is_same_register", info->is_same);
  shim_json_add_text (builder, "changed_at", info->changed_at);
  shim_json_add_int (builder, "bodies", info->n_bodies);
  shim_json_add_int (builder, "lenses", info->n_lenses);
  shim_json_add_int (builder, "decisions", info->n_decisions);
  shim_json_add_text (builder, "kept", kept);
  json_builder_end_object (builder);
  if (ctl->json)
    {
      shim_ctl_print_built (builder);
      return;
    }
  if (!info->is_same)
    g_print (_ ("This is a backup of another register.\n"));
  g_print (_ ("Changed last at %s; bodies: %d, lenses: %d, decided settings: %d\n"), at, (int) info->n_bodies, (int) info->n_lenses,
           (int) info->n_decisions);
  if (kept != NULL)
    g_print (_ ("Put back; what it replaced is kept as %s\n"), kept);
}

static int
run_put_back (ShimCtl *ctl, int argc, char **argv)
{
  gboolean dry_run = FALSE;
  const GOptionEntry entries[] = {
    { "dry-run", 0, 0, G_OPTION_ARG_NONE, &dry_run, N_ ("Say what the backup holds, change nothing"), NULL },
    { NULL },
  };
  g_autoptr (ShimBackupInfo) info = NULL;
  g_autofree char *kept = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  info = shim_register_look_at_backup (ctl->reg, argv[1], &error);
  if (info == NULL || (!dry_run && !shim_register_restore (ctl->reg, argv[1], &kept, &error)))
    return shim_ctl_fail (error);
  print_backup (ctl, info, kept);
  return SHIM_CTL_OK;
}

/* So much of an entry's id is printed and asked for; its end, since ids of one time begin alike. */
#define HANDLE 8
#define ENTRIES_LOOKED_AT 2000

static const char *
handle_of (const char *id)
{
  const gsize length = strlen (id);

  return id + (length > HANDLE ? length - HANDLE : 0);
}

/* The id of the entry whose handle or id somebody typed. On failure it has said why. */
static char *
find_entry (ShimCtl *ctl, const char *typed)
{
  g_autoptr (GPtrArray) list = NULL;
  g_autoptr (GError) error = NULL;

  /* A whole id needs no looking for, however old its entry is. */
  if (g_uuid_string_is_valid (typed))
    return g_strdup (typed);
  list = shim_register_history (ctl->reg, NULL, ENTRIES_LOOKED_AT, 0, &error);
  for (guint i = 0; list != NULL && i < list->len; i++)
    {
      const ShimHistoryEntry *entry = list->pdata[i];

      if (g_str_equal (handle_of (entry->id), typed))
        return g_strdup (entry->id);
    }
  if (list == NULL)
    shim_ctl_fail (error);
  else
    g_printerr (_ ("shimbookctl: the history has no entry “%s”; see shimbookctl history\n"), typed);
  return NULL;
}

static gboolean
turn (ShimCtl *ctl, const char *typed, gboolean undo, char **summary, GError **error)
{
  g_autofree char *entry = NULL;

  if (typed == NULL)
    return (undo ? shim_register_undo : shim_register_redo) (ctl->reg, summary, error);
  entry = find_entry (ctl, typed);
  return entry != NULL && shim_register_undo_entry (ctl->reg, entry, undo, summary, error);
}

static int
step (ShimCtl *ctl, int argc, char **argv, gboolean undo, const char *format)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autofree char *summary = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 0, 1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  if (!turn (ctl, argv[1], undo, &summary, &error))
    return error != NULL ? shim_ctl_fail (error) : SHIM_CTL_FAILED;
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "summary", summary);
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else
    g_print (format, summary);
  return SHIM_CTL_OK;
}

static int
run_undo (ShimCtl *ctl, int argc, char **argv)
{
  return step (ctl, argc, argv, TRUE, _ ("Undone: %s\n"));
}

static int
run_redo (ShimCtl *ctl, int argc, char **argv)
{
  return step (ctl, argc, argv, FALSE, _ ("Done again: %s\n"));
}

static void
print_entry (ShimCtl *ctl, JsonBuilder *builder, const ShimHistoryEntry *entry)
{
  if (!ctl->json)
    g_print ("%s  %s  %s%s%s%s\n", handle_of (entry->id), entry->at, entry->summary, entry->who != NULL ? " · " : "",
             entry->who != NULL ? entry->who : "", entry->undone ? _ (" (undone)") : "");
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "id", entry->id);
  shim_json_add_text (builder, "at", entry->at);
  shim_json_add_text (builder, "who", entry->who);
  shim_json_add_text (builder, "summary", entry->summary);
  shim_json_add_text (builder, "action", entry->action);
  shim_json_add_bool (builder, "undone", entry->undone);
  json_builder_end_object (builder);
}

static int
run_history (ShimCtl *ctl, int argc, char **argv)
{
  int limit = 50;
  const GOptionEntry entries[] = {
    { "limit", 0, 0, G_OPTION_ARG_INT, &limit, N_ ("How many entries at most"), "N" },
    { NULL },
  };
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autoptr (GPtrArray) list = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 0, 1))
    return SHIM_CTL_USAGE;
  if (limit < 1)
    return shim_ctl_usage (_ ("--limit must be at least 1"));
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  list = shim_register_history (ctl->reg, argv[1], (guint) limit, 0, &error);
  if (list == NULL)
    return shim_ctl_fail (error);
  json_builder_begin_array (builder);
  for (guint i = 0; i < list->len; i++)
    print_entry (ctl, builder, list->pdata[i]);
  json_builder_end_array (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  return SHIM_CTL_OK;
}

static void
print_conflict (ShimCtl *ctl, JsonBuilder *builder, const ShimMergeConflict *conflict)
{
  if (!ctl->json)
    g_print (_ ("%s, %s: here “%s”, there “%s”; %s was kept\n"), conflict->title, conflict->field != NULL ? conflict->field : "–",
             conflict->ours != NULL ? conflict->ours : "–", conflict->theirs != NULL ? conflict->theirs : "–",
             conflict->kept_theirs ? _ ("that of the other register") : _ ("ours"));
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "kind", conflict->kind);
  shim_json_add_text (builder, "id", conflict->id);
  shim_json_add_text (builder, "title", conflict->title);
  shim_json_add_text (builder, "field", conflict->field);
  shim_json_add_text (builder, "ours", conflict->ours);
  shim_json_add_text (builder, "theirs", conflict->theirs);
  shim_json_add_bool (builder, "kept_theirs", conflict->kept_theirs);
  json_builder_end_object (builder);
}

static int
print_merge (ShimCtl *ctl, const ShimMergeReport *report, gboolean dry_run)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  json_builder_begin_object (builder);
  shim_json_add_int (builder, "added", report->added);
  shim_json_add_int (builder, "updated", report->updated);
  shim_json_add_int (builder, "unchanged", report->unchanged);
  shim_json_add_bool (builder, "stored", !dry_run);
  json_builder_set_member_name (builder, "conflicts");
  json_builder_begin_array (builder);
  for (guint i = 0; i < report->conflicts->len; i++)
    print_conflict (ctl, builder, report->conflicts->pdata[i]);
  json_builder_end_array (builder);
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else
    g_print (dry_run ? _ ("Would be: %u added, %u changed, %u alike\n") : _ ("%u added, %u changed, %u alike\n"), report->added,
             report->updated, report->unchanged);
  return SHIM_CTL_OK;
}

static int
run_merge (ShimCtl *ctl, int argc, char **argv)
{
  gboolean dry_run = FALSE;
  const GOptionEntry entries[] = {
    { "dry-run", 0, 0, G_OPTION_ARG_NONE, &dry_run, N_ ("Only say what would happen"), NULL },
    { NULL },
  };
  g_autoptr (ShimMergeReport) report = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  report = shim_register_merge (ctl->reg, argv[1], dry_run, &error);
  return report != NULL ? print_merge (ctl, report, dry_run) : shim_ctl_fail (error);
}

const ShimCtlCommand shim_ctl_register_commands[] = {
  { "check", "", N_ ("Look the register over for damage"), run_check },
  { "back-up", "[--overwrite] FILE", N_ ("Copy the register, also while it is in use"), run_back_up },
  { "put-back", "[--dry-run] FILE", N_ ("Put a backup in the place of the register; what it replaces is kept beside it"), run_put_back },
  { "merge", "[--dry-run] FILE", N_ ("Take over what another register has"), run_merge },
  { "undo", "[ENTRY]", N_ ("Take back the newest change, or one entry of the history"), run_undo },
  { "redo", "[ENTRY]", N_ ("Do again what was taken back last, or one entry of the history"), run_redo },
  { "history", "[--limit N] [ID]", N_ ("Print what changed, of all or of one item"), run_history },
  { NULL, NULL, NULL, NULL },
};
