/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <string.h>

#include "shim-ctl.h"
#include "shim-json.h"
#include "shim-ops-propose.h"
#include "shim-import-problems.h"
#include "shim-table-import.h"
#include "shim-write-file.h"

/* Commands on the kit: items, mounts, events, jobs as records. */

static GType
kind_type (const char *word)
{
  static const char *const allowed[] = { "body", "lens", "converter", "adapter", "mount", "job", "event", NULL };
  g_autofree char *list = NULL;

  if (g_strv_contains (allowed, word))
    return shim_kind_type_from_name (word);
  list = g_strjoinv (", ", (char **) allowed);
  shim_ctl_usage (_ ("“%s” is not one of %s"), word, list);
  return G_TYPE_INVALID;
}

/* Bodies and lenses have a label where jobs and mounts have a name, and everybody reads "Name": both words will do. */
static const ShimField *
find_field (const ShimKind *kind, const char *word)
{
  const ShimField *field = shim_kind_find_field (kind, word);

  if (field == NULL && g_str_equal (word, "name"))
    field = shim_kind_find_field (kind, "label");
  else if (field == NULL && g_str_equal (word, "label"))
    field = shim_kind_find_field (kind, "name");
  return field;
}

/* "field=value" words into a record; an exit status comes back. */
static int
set_fields (ShimRecord *record, char **words)
{
  const ShimKind *kind = shim_record_get_kind (record);

  for (guint i = 0; words[i] != NULL; i++)
    {
      const char *equals = strchr (words[i], '=');
      g_autofree char *name = equals != NULL ? g_strndup (words[i], (gsize) (equals - words[i])) : NULL;
      const ShimField *field = name != NULL ? find_field (kind, name) : NULL;
      g_autoptr (GError) error = NULL;

      if (field == NULL || (field->flags & (SHIM_FIELD_INTERNAL | SHIM_FIELD_DERIVED)) != 0)
        {
          shim_ctl_usage (_ ("“%s” is not FIELD=VALUE with a field of a %s; “shimbookctl fields %s” lists them"), words[i],
                          kind->name, kind->name);
          return SHIM_CTL_USAGE;
        }
      if (!shim_record_parse (record, field, equals + 1, &error))
        return shim_ctl_fail (error);
    }
  return SHIM_CTL_OK;
}

static const char *
title_of (ShimRecord *record)
{
  const ShimKind *kind = shim_record_get_kind (record);
  const ShimField *field = find_field (kind, "label");

  return field != NULL ? shim_record_get_text (record, field) : record->id;
}

/* Units stand behind the number, but for apertures: "f/1.8". */
static void
print_value (ShimRecord *record, const ShimField *field)
{
  g_autofree char *value = shim_record_to_string (record, field);

  if (field->unit == NULL)
    g_print ("  %-20s %s\n", field->name, value);
  else if (g_str_equal (field->unit, "f/"))
    g_print ("  %-20s f/%s\n", field->name, value);
  else
    g_print ("  %-20s %s %s\n", field->name, value, field->unit);
}

static void
print_record (ShimCtl *ctl, ShimRecord *record)
{
  const ShimKind *kind = shim_record_get_kind (record);

  if (ctl->json)
    {
      g_autoptr (JsonNode) node = shim_json_from_record (record);

      shim_ctl_print_json (node);
      return;
    }
  g_print ("%s %s\n", _ (kind->label), title_of (record));
  for (guint i = 0; i < kind->n_fields; i++)
    if (kind->fields[i].type != SHIM_FIELD_BLOB && shim_record_is_known (record, &kind->fields[i]))
      print_value (record, &kind->fields[i]);
  g_print ("  %-20s %s\n", "id", record->id);
}

static int
save (ShimCtl *ctl, ShimRecord *record)
{
  g_autoptr (GError) error = NULL;

  if (!shim_record_check (record, &error) || !shim_ops_kit_save (ctl->reg, record, &error))
    return shim_ctl_fail (error);
  print_record (ctl, record);
  return SHIM_CTL_OK;
}

/* What a photograph says of the body or the lens that took it, as a new record; %NULL when it was said why not. */
static ShimRecord *
record_from_photo (ShimCtl *ctl, GType type, const char *photo)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMetadata) metadata = shim_metadata_read (photo, &error);
  g_autoptr (ShimProposal) proposal = metadata != NULL ? shim_ops_kit_propose (ctl->reg, metadata, &error) : NULL;
  const gboolean is_body = type == SHIM_TYPE_BODY;
  gpointer record;

  if (proposal == NULL)
    {
      shim_ctl_fail (error);
      return NULL;
    }
  record = is_body ? (gpointer) proposal->body : proposal->lens;
  if (record == NULL)
    g_printerr (is_body ? _ ("“%s” does not say which body took it. Add the body by its fields.\n")
                        : _ ("“%s” does not say which lens took it. Add the lens by its fields.\n"),
                photo);
  else if (is_body ? proposal->body_is_known : proposal->lens_is_known)
    g_printerr (_ ("“%s” is in the register already; “shimbookctl change” changes it.\n"), title_of (record));
  else
    {
      for (guint i = 0; proposal->doubts != NULL && proposal->doubts[i] != NULL; i++)
        g_printerr ("%s\n", proposal->doubts[i]);
      return g_object_ref (record);
    }
  return NULL;
}

static int
run_add (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *photo = NULL;
  const GOptionEntry entries[] = {
    { "photo", 0, 0, G_OPTION_ARG_FILENAME, &photo, N_ ("Fill in what this photograph says of the body or lens that took it"), N_ ("FILE") },
    { NULL },
  };
  g_autoptr (ShimRecord) record = NULL;
  GType type;
  int status;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, photo != NULL ? 1 : 2, -1)
      || (type = kind_type (argv[1])) == G_TYPE_INVALID)
    return SHIM_CTL_USAGE;
  if (photo != NULL && type != SHIM_TYPE_BODY && type != SHIM_TYPE_LENS)
    return shim_ctl_usage (_ ("a photograph tells of a body or a lens only"));
  if (photo != NULL && shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  record = photo != NULL ? record_from_photo (ctl, type, photo) : g_object_new (type, NULL);
  if (record == NULL)
    return SHIM_CTL_FAILED;
  status = set_fields (record, argv + 2);
  if (status != SHIM_CTL_OK)
    return status;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  return save (ctl, record);
}

static int
run_change (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (ShimRecord) record = NULL;
  GType type;
  int status;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 3, -1)
      || (type = kind_type (argv[1])) == G_TYPE_INVALID)
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  record = shim_ctl_find (ctl, type, argv[2]);
  if (record == NULL)
    return SHIM_CTL_FAILED;
  status = set_fields (record, argv + 3);
  if (status != SHIM_CTL_OK)
    return status;
  return save (ctl, record);
}

static int
run_show (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (ShimRecord) record = NULL;
  GType type;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2)
      || (type = kind_type (argv[1])) == G_TYPE_INVALID)
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  record = shim_ctl_find (ctl, type, argv[2]);
  if (record == NULL)
    return SHIM_CTL_FAILED;
  print_record (ctl, record);
  return SHIM_CTL_OK;
}

static int
set_archived (ShimCtl *ctl, int argc, char **argv, gboolean archived)
{
  g_autoptr (ShimRecord) record = NULL;
  g_autoptr (GError) error = NULL;
  GType type;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2)
      || (type = kind_type (argv[1])) == G_TYPE_INVALID)
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  record = shim_ctl_find (ctl, type, argv[2]);
  if (record == NULL)
    return SHIM_CTL_FAILED;
  if (!shim_ops_kit_set_archived (ctl->reg, argv[1], record->id, archived, &error))
    return shim_ctl_fail (error);
  return shim_ctl_done (ctl, argv[1], record->id, archived ? _ ("Archived") : _ ("Taken back from the archive"));
}

static int
run_archive (ShimCtl *ctl, int argc, char **argv)
{
  return set_archived (ctl, argc, argv, TRUE);
}

static int
run_restore (ShimCtl *ctl, int argc, char **argv)
{
  return set_archived (ctl, argc, argv, FALSE);
}

static void
print_list (ShimCtl *ctl, GPtrArray *records)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  if (!ctl->json)
    {
      for (guint i = 0; i < records->len; i++)
        {
          ShimRecord *record = records->pdata[i];
          const ShimField *serial = shim_kind_find_field (shim_record_get_kind (record), "serial");
          const char *text = serial != NULL ? shim_record_get_text (record, serial) : NULL;

          g_print ("%s\t%s\t%s\n", title_of (record), text != NULL ? text : "", record->id);
        }
      return;
    }
  json_builder_begin_array (builder);
  for (guint i = 0; i < records->len; i++)
    shim_json_add_record (builder, records->pdata[i]);
  json_builder_end_array (builder);
  shim_ctl_print_built (builder);
}

static GPtrArray *
list_records (ShimCtl *ctl, GType type, const char *search, gboolean all, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  const ShimKind *kind = shim_kind_for_type (type);

  shim_query_set_search (query, search);
  shim_query_set_include_archived (query, all);
  if (shim_kind_find_field (kind, "label") != NULL)
    shim_query_add_order (query, "label", FALSE);
  else if (shim_kind_find_field (kind, "name") != NULL)
    shim_query_add_order (query, "name", FALSE);
  return shim_register_list (ctl->reg, type, query, error);
}

/* On standard error: whoever reads the list by machine gets an empty one. */
static void
say_none (GType type, const char *search)
{
  if (search != NULL)
    g_printerr (_ ("shimbookctl: nothing found for “%s”\n"), search);
  else
    g_printerr (_ ("shimbookctl: the register holds no %s yet\n"), shim_kind_for_type (type)->name);
}

static int
run_list (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *search = NULL;
  gboolean all = FALSE;
  const GOptionEntry entries[] = {
    { "search", 0, 0, G_OPTION_ARG_STRING, &search, N_ ("Only those with these words"), N_ ("WORDS") },
    { "all", 0, 0, G_OPTION_ARG_NONE, &all, N_ ("Archived ones too"), NULL },
    { NULL },
  };
  g_autoptr (GPtrArray) records = NULL;
  g_autoptr (GError) error = NULL;
  GType type;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1)
      || (type = kind_type (argv[1])) == G_TYPE_INVALID)
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  records = list_records (ctl, type, search, all, &error);
  if (records == NULL)
    return shim_ctl_fail (error);
  print_list (ctl, records);
  if (records->len == 0)
    say_none (type, search);
  return SHIM_CTL_OK;
}

static void
print_field (const ShimField *field)
{
  g_autoptr (GString) text = g_string_new (_ (field->label));

  if (field->unit != NULL)
    g_string_append_printf (text, ", %s", field->unit);
  for (const ShimChoice *choice = field->choices; choice != NULL && choice->value != NULL; choice++)
    g_string_append_printf (text, "%s%s", choice == field->choices ? ": " : " | ", choice->value);
  g_print ("  %-20s %s%s\n", field->name, text->str, field->flags & SHIM_FIELD_REQUIRED ? _ (" (required)") : "");
}

static int
run_fields (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  const ShimKind *kind;
  GType type;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1)
      || (type = kind_type (argv[1])) == G_TYPE_INVALID)
    return SHIM_CTL_USAGE;
  kind = shim_kind_for_type (type);
  json_builder_begin_array (builder);
  for (guint i = 0; i < kind->n_fields; i++)
    {
      if ((kind->fields[i].flags & (SHIM_FIELD_INTERNAL | SHIM_FIELD_DERIVED)) != 0)
        continue;
      if (!ctl->json)
        print_field (&kind->fields[i]);
      json_builder_add_string_value (builder, kind->fields[i].name);
    }
  json_builder_end_array (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  return SHIM_CTL_OK;
}

static void
print_problem (ShimCtl *ctl, JsonBuilder *builder, const char *file, guint line, const char *sentence)
{
  if (!ctl->json)
    g_printerr ("%s:%u: %s\n", file, line, sentence);
  json_builder_begin_object (builder);
  shim_json_add_int (builder, "line", line);
  shim_json_add_text (builder, "reason", sentence);
  json_builder_end_object (builder);
}

/* Prints what became of an import; with problems nothing was stored. */
static int
print_outcome (ShimCtl *ctl, const char *file, const ShimImportResult *outcome, GPtrArray *problems)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  json_builder_begin_object (builder);
  json_builder_set_member_name (builder, "problems");
  json_builder_begin_array (builder);
  for (guint i = 0; i < problems->len; i++)
    {
      const ShimTableProblem *problem = problems->pdata[i];

      print_problem (ctl, builder, file, problem->line, problem->sentence);
    }
  json_builder_end_array (builder);
  shim_json_add_int (builder, "added", outcome->n_added);
  shim_json_add_int (builder, "changed", outcome->n_changed);
  shim_json_add_int (builder, "unchanged", outcome->n_unchanged);
  shim_json_add_int (builder, "mounts_added", outcome->n_mounts_added);
  shim_json_add_bool (builder, "stored", outcome->stored);
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else if (problems->len > 0)
    {
      g_printerr (ngettext ("Nothing was stored: %u line has a mistake.\n", "Nothing was stored: %u lines have mistakes.\n",
                            problems->len),
                  problems->len);
      if (outcome->n_known > 0)
        g_printerr (_ ("With --update, items that are in the register already are changed.\n"));
    }
  else
    g_print (outcome->stored ? _ ("%u added, %u changed, %u unchanged\n") : _ ("Would be: %u added, %u changed, %u unchanged\n"),
             outcome->n_added, outcome->n_changed, outcome->n_unchanged);
  return problems->len > 0 ? SHIM_CTL_FAILED : SHIM_CTL_OK;
}

static int
import_table (ShimCtl *ctl, GType type, const char *file, ShimImportFlags flags)
{
  g_autofree char *data = NULL;
  gsize length = 0;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimTableImport) table = NULL;
  g_autoptr (GPtrArray) records = NULL;
  g_autoptr (GPtrArray) row_problems = NULL;
  g_autoptr (GPtrArray) problems = NULL;
  g_autoptr (ShimImportResult) outcome = NULL;

  if (!g_file_get_contents (file, &data, &length, &error)
      || (table = shim_table_import_new (data, length, type, &error)) == NULL || !shim_table_import_check (table, &error))
    return shim_ctl_fail (error);
  records = shim_table_import_records (table, &row_problems);
  outcome = shim_ops_kit_import (ctl->reg, records, flags, &error);
  if (outcome == NULL)
    return shim_ctl_fail (error);
  if (table->n_other_kinds > 0)
    g_printerr (ngettext ("shimbookctl: %u line is of another kind and was passed over\n",
                          "shimbookctl: %u lines are of another kind and were passed over\n", table->n_other_kinds),
                table->n_other_kinds);
  problems = shim_import_problems_by_line (table, row_problems, outcome);
  return print_outcome (ctl, file, outcome, problems);
}

static int
run_import (ShimCtl *ctl, int argc, char **argv)
{
  gboolean dry_run = FALSE, update = FALSE, add_mounts = FALSE;
  const GOptionEntry entries[] = {
    { "dry-run", 0, 0, G_OPTION_ARG_NONE, &dry_run, N_ ("Only say what would happen"), NULL },
    { "update", 0, 0, G_OPTION_ARG_NONE, &update, N_ ("Change items whose serial is known"), NULL },
    { "add-mounts", 0, 0, G_OPTION_ARG_NONE, &add_mounts, N_ ("Add mounts that the register does not know"), NULL },
    { NULL },
  };
  GType type;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2)
      || (type = kind_type (argv[1])) == G_TYPE_INVALID)
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  return import_table (ctl, type, argv[2],
                       (dry_run ? SHIM_IMPORT_DRY_RUN : 0) | (update ? SHIM_IMPORT_UPDATE_KNOWN : 0)
                           | (add_mounts ? SHIM_IMPORT_ADD_MOUNTS : 0));
}

static int
run_export (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (GPtrArray) records = NULL;
  g_autoptr (GBytes) table = NULL;
  g_autoptr (GError) error = NULL;
  GType type;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2)
      || (type = kind_type (argv[1])) == G_TYPE_INVALID)
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  records = list_records (ctl, type, NULL, TRUE, &error);
  if (records == NULL)
    return shim_ctl_fail (error);
  table = shim_table_export (records, type);
  if (!shim_write_file (argv[2], g_bytes_get_data (table, NULL), g_bytes_get_size (table), &error))
    return shim_ctl_fail (error);
  return shim_ctl_written (ctl, argv[2]);
}

const ShimCtlCommand shim_ctl_kit_commands[] = {
  { "list", "body|lens|converter|adapter|mount|job|event [--search WORDS] [--all]", N_ ("List what the register holds"), run_list },
  { "show", "KIND ITEM", N_ ("Print one item; ITEM is its name, serial number or id"), run_show },
  { "fields", "KIND", N_ ("List the fields of a kind of item"), run_fields },
  { "add", "[--photo FILE] KIND FIELD=VALUE…", N_ ("Add an item"), run_add },
  { "change", "KIND ITEM FIELD=VALUE…", N_ ("Change an item"), run_change },
  { "archive", "KIND ITEM", N_ ("Put an item aside, with its history"), run_archive },
  { "restore", "KIND ITEM", N_ ("Take an item back from the archive"), run_restore },
  { "import", "[--dry-run] [--update] [--add-mounts] KIND FILE.csv", N_ ("Add items from a table, all of them or none"), run_import },
  { "export", "KIND FILE.csv", N_ ("Write items into a table that import reads back"), run_export },
  { NULL, NULL, NULL, NULL },
};
