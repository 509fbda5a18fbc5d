/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-ctl.h"
#include "shim-event-rules.h"
#include "shim-format.h"
#include "shim-json.h"
#include "shim-ops-kit.h"
#include "shim-ops-slots.h"
#include "shim-register-pairs.h"
#include "shim-register-reads.h"

/* Commands on slots, pairs and events. */

/* Whether the body takes the lens of the slot for another copy of its model that needs another value. */
static gboolean
is_in_conflict (ShimCtl *ctl, const ShimSlot *slot)
{
  g_autoptr (ShimPairNow) now = slot->pair != NULL ? shim_register_pair_now (ctl->reg, slot->pair, NULL) : NULL;

  return now != NULL && now->conflict;
}

static void
print_slot (ShimCtl *ctl, JsonBuilder *builder, const ShimSlot *slot)
{
  const gboolean conflict = is_in_conflict (ctl, slot);

  if (!ctl->json)
    {
      g_autofree char *value = shim_format_setting (slot->value);
      g_autofree char *wanted = shim_format_setting (slot->wanted);

      g_print ("%3d  ", (int) slot->number);
      shim_ctl_print_cell (shim_slot_state_to_label (slot->state), 10);
      shim_ctl_print_cell (value, -3);
      g_print ("%s%s%s", slot->lens_label != NULL ? slot->lens_label : "", slot->converter_label != NULL ? " + " : "",
               slot->converter_label != NULL ? slot->converter_label : "");
      if (slot->pair != NULL && slot->wanted != SHIM_NO_INT && slot->wanted != slot->value)
        g_print (_ ("  (decided since: %s)"), wanted);
      if (conflict)
        g_print ("  (%s)", _ ("another copy of the model needs another value"));
      g_print ("\n");
    }
  json_builder_begin_object (builder);
  shim_json_add_int (builder, "number", slot->number);
  shim_json_add_text (builder, "state", shim_slot_state_to_name (slot->state));
  shim_json_add_text (builder, "lens", slot->lens_label);
  shim_json_add_text (builder, "converter", slot->converter_label);
  shim_json_add_text (builder, "pair", slot->pair);
  shim_json_add_int (builder, "setting", slot->value);
  shim_json_add_int (builder, "setting_long", slot->value_long);
  shim_json_add_int (builder, "decided", slot->wanted);
  shim_json_add_text (builder, "done_at", slot->done_at);
  shim_json_add_bool (builder, "conflict", conflict);
  json_builder_end_object (builder);
}

static int
print_slots (ShimCtl *ctl, GPtrArray *slots)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  json_builder_begin_array (builder);
  for (guint i = 0; i < slots->len; i++)
    print_slot (ctl, builder, slots->pdata[i]);
  json_builder_end_array (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  return SHIM_CTL_OK;
}

static int
run_slots (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (ShimRecord) body = NULL;
  g_autoptr (GPtrArray) slots = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL || (body = shim_ctl_find (ctl, SHIM_TYPE_BODY, argv[1])) == NULL)
    return SHIM_CTL_FAILED;
  slots = shim_register_slots (ctl->reg, body->id, &error);
  return slots != NULL ? print_slots (ctl, slots) : shim_ctl_fail (error);
}

static int
run_reset (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *date = NULL, *note = NULL;
  const GOptionEntry entries[] = {
    { "on", 0, 0, G_OPTION_ARG_STRING, &date, N_ ("Day it happened"), N_ ("YYYY-MM-DD") },
    { "note", 0, 0, G_OPTION_ARG_STRING, &note, N_ ("Anything else"), N_ ("TEXT") },
    { NULL },
  };
  g_autoptr (ShimRecord) body = NULL;
  g_autoptr (GPtrArray) lost = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL || (body = shim_ctl_find (ctl, SHIM_TYPE_BODY, argv[1])) == NULL)
    return SHIM_CTL_FAILED;
  lost = shim_ops_slots_reset_body (ctl->reg, body->id, date, note, &error);
  return lost != NULL ? print_slots (ctl, lost) : shim_ctl_fail (error);
}

static int
run_key_in (ShimCtl *ctl, int argc, char **argv)
{
  gint64 number = SHIM_SLOT_NEXT;
  gboolean overwrite = FALSE;
  const GOptionEntry entries[] = {
    { "slot", 0, 0, G_OPTION_ARG_INT64, &number, N_ ("Slot; 0 = inside the lens"), "N" },
    { "overwrite", 0, 0, G_OPTION_ARG_NONE, &overwrite, N_ ("The slot may hold another pair"), NULL },
    { NULL },
  };
  g_autoptr (ShimRecord) body = NULL;
  g_autoptr (ShimRecord) lens = NULL;
  g_autoptr (ShimRecord) pair = NULL;
  g_autoptr (ShimSlotEntry) entry = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL || (body = shim_ctl_find (ctl, SHIM_TYPE_BODY, argv[1])) == NULL
      || (lens = shim_ctl_find (ctl, SHIM_TYPE_LENS, argv[2])) == NULL)
    return SHIM_CTL_FAILED;
  pair = shim_register_find_pair (ctl->reg, body->id, lens->id, NULL, &error);
  if (pair == NULL)
    {
      if (error == NULL)
        g_set_error_literal (&error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND, _ ("This pair has no decided setting yet."));
      return shim_ctl_fail (error);
    }
  entry = shim_ops_slots_key_in (ctl->reg, pair->id, number, overwrite, &error);
  if (entry == NULL)
    return shim_ctl_fail (error);
  if (ctl->json)
    {
      g_autoptr (JsonNode) node = shim_json_from_record (SHIM_RECORD (entry));

      shim_ctl_print_json (node);
    }
  else
    g_print (_ ("Slot %d\n"), (int) entry->number);
  return SHIM_CTL_OK;
}

static int
run_clear (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (ShimRecord) body = NULL;
  g_autoptr (GError) error = NULL;
  guint64 number;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (!g_ascii_string_to_unsigned (argv[2], 10, 1, 9999, &number, NULL))
    return shim_ctl_usage (_ ("“%s” is not the number of a slot"), argv[2]);
  if (shim_ctl_register (ctl) == NULL || (body = shim_ctl_find (ctl, SHIM_TYPE_BODY, argv[1])) == NULL)
    return SHIM_CTL_FAILED;
  if (!shim_ops_slots_clear (ctl->reg, body->id, (gint64) number, NULL, &error))
    return shim_ctl_fail (error);
  return shim_ctl_done (ctl, "body", body->id, _ ("The slot is free"));
}

static int
note_event (ShimCtl *ctl, ShimEvent *event, const char *what, const char *date, const char *doubt)
{
  const ShimKind *kind = shim_record_get_kind (SHIM_RECORD (event));
  g_autofree char *now = shim_register_now (ctl->reg);
  g_autoptr (GError) error = NULL;

  if (!shim_record_parse (SHIM_RECORD (event), shim_kind_find_field (kind, "kind"), what, &error)
      || (date != NULL && !shim_record_parse (SHIM_RECORD (event), shim_kind_find_field (kind, "happened_on"), date, &error)))
    return shim_ctl_fail (error);
  g_object_set (event, "noted-at", now, "casts-doubt",
                (gint64) (doubt != NULL ? g_str_equal (doubt, "yes") : shim_ops_kit_casts_doubt (event->kind)), NULL);
  if (!shim_ops_kit_note_event (ctl->reg, event, &error))
    return shim_ctl_fail (error);
  if (ctl->json)
    {
      g_autoptr (JsonNode) node = shim_json_from_record (SHIM_RECORD (event));

      shim_ctl_print_json (node);
    }
  else
    {
      g_autofree char *consequence = shim_event_dup_consequence (event);

      g_print (_ ("Noted. %s\n"), consequence);
    }
  return SHIM_CTL_OK;
}

static int
run_event (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *what = NULL, *date = NULL, *note = NULL, *who = NULL, *doubt = NULL;
  const GOptionEntry entries[] = {
    { "what", 0, 0, G_OPTION_ARG_STRING, &what, N_ ("What happened"), N_ ("WHAT") },
    { "on", 0, 0, G_OPTION_ARG_STRING, &date, N_ ("Day it happened"), N_ ("YYYY-MM-DD") },
    { "who", 0, 0, G_OPTION_ARG_STRING, &who, N_ ("Who did it, or has it now"), N_ ("NAME") },
    { "doubt", 0, 0, G_OPTION_ARG_STRING, &doubt, N_ ("Whether it casts doubt on values; usual for WHAT if left out"), "yes|no" },
    { "note", 0, 0, G_OPTION_ARG_STRING, &note, N_ ("Anything else"), N_ ("TEXT") },
    { NULL },
  };
  static const char *const kinds[] = { "body", "lens", "converter", NULL };
  g_autoptr (ShimRecord) item = NULL;
  g_autoptr (ShimEvent) event = shim_event_new ();

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (doubt != NULL && !g_str_equal (doubt, "yes") && !g_str_equal (doubt, "no"))
    return shim_ctl_usage (_ ("--doubt is yes or no, not “%s”"), doubt);
  if (what == NULL || !g_strv_contains (kinds, argv[1]))
    return shim_ctl_usage (_ ("an event needs body, lens or converter, the item, and --what"));
  if (shim_ctl_register (ctl) == NULL || (item = shim_ctl_find (ctl, shim_kind_type_from_name (argv[1]), argv[2])) == NULL)
    return SHIM_CTL_FAILED;
  g_object_set (event, "item-kind", argv[1], "item", item->id, "who", who, "note", note, NULL);
  return note_event (ctl, event, what, date, doubt);
}

static int
run_take_back (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (ShimRecord) event = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL || (event = shim_ctl_find (ctl, SHIM_TYPE_EVENT, argv[1])) == NULL)
    return SHIM_CTL_FAILED;
  if (!shim_ops_kit_take_back_event (ctl->reg, event->id, &error))
    return shim_ctl_fail (error);
  return shim_ctl_done (ctl, "event", event->id, _ ("Taken back: it casts doubt on nothing any more"));
}

const ShimCtlCommand shim_ctl_slot_commands[] = {
  { "slots", "BODY", N_ ("List what each slot of a body holds"), run_slots },
  { "key-in", "[--slot N] [--overwrite] BODY LENS", N_ ("Note that the decided setting was keyed in"), run_key_in },
  { "clear", "BODY SLOT", N_ ("Note that a slot was cleared"), run_clear },
  { "reset", "[--on DATE] BODY", N_ ("Note that a body was reset and list what to key in again"), run_reset },
  { "event", "--what WHAT [--on DATE] [--who NAME] [--note TEXT] body|lens|converter ITEM", N_ ("Note what happened to an item"),
    run_event },
  { "take-back", "EVENT", N_ ("Take back an event that was noted in error; EVENT is its id"), run_take_back },
  { NULL, NULL, NULL, NULL },
};
