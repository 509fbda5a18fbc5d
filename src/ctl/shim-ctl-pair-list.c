/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-ctl.h"
#include "shim-format.h"
#include "shim-json.h"
#include "shim-ops-kit.h"
#include "shim-register-pairs.h"

/* The list of pairs, as the window's: narrowed down and sorted. */

static void
add_reasons (JsonBuilder *builder, ShimDueReasons reasons)
{
  g_auto (GStrv) names = shim_due_reasons_to_names (reasons);

  json_builder_set_member_name (builder, "reasons");
  json_builder_begin_array (builder);
  for (guint i = 0; names[i] != NULL; i++)
    json_builder_add_string_value (builder, names[i]);
  json_builder_end_array (builder);
}

/* An item stands in many pairs: its name is asked for once. */
static const char *
name_of (ShimCtl *ctl, GHashTable *names, GType type, const char *id)
{
  const char *name = g_hash_table_lookup (names, id);

  if (name == NULL)
    {
      g_autoptr (ShimRecord) item = shim_register_get (ctl->reg, type, id, NULL);
      char *found = g_strdup (item != NULL ? shim_ops_kit_item_name (item) : id);

      g_hash_table_insert (names, g_strdup (id), found);
      name = found;
    }
  return name;
}

static void
print_pair (ShimCtl *ctl, JsonBuilder *builder, GHashTable *names, const ShimPairNow *now)
{
  const char *body_label = name_of (ctl, names, SHIM_TYPE_BODY, now->body);
  const char *lens_label = name_of (ctl, names, SHIM_TYPE_LENS, now->lens);
  const char *converter_label = now->converter != NULL ? name_of (ctl, names, SHIM_TYPE_CONVERTER, now->converter) : NULL;

  if (!ctl->json)
    {
      g_autofree char *both = converter_label != NULL ? g_strdup_printf ("%s + %s", lens_label, converter_label) : g_strdup (lens_label);
      g_autofree char *value = shim_format_setting (now->value);

      shim_ctl_print_cell (body_label, 23);
      shim_ctl_print_cell (both, 27);
      shim_ctl_print_cell (value, -3);
      g_print ("%s%s%s\n", shim_pair_state_to_label (now->state),
               now->reasons & SHIM_DUE_CONTRADICTED ? _ (", the rest of the kit contradicts it") : "",
               now->conflict ? _ (", another copy of the model needs another value") : "");
    }
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "pair", now->pair);
  shim_json_add_text (builder, "body", body_label);
  shim_json_add_text (builder, "lens", lens_label);
  shim_json_add_text (builder, "converter", converter_label);
  shim_json_add_bool (builder, "conflict", now->conflict);
  shim_json_add_text (builder, "state", shim_pair_state_to_name (now->state));
  add_reasons (builder, now->reasons);
  shim_json_add_int (builder, "setting", now->value);
  shim_json_add_int (builder, "setting_long", now->value_long);
  shim_json_add_int (builder, "slot", now->slot);
  shim_json_add_real (builder, "residual_mm", now->residual_mm);
  shim_json_add_real (builder, "residual_se_mm", now->residual_se_mm);
  shim_json_add_real (builder, "error_tolerances", now->error_tolerances);
  shim_json_add_real (builder, "age_days", now->age_days);
  shim_json_add_text (builder, "decided_at", now->decided_at);
  json_builder_end_object (builder);
}

typedef struct
{
  char *body;
  char *lens;
  char *mount;
  char *job;
  char *state;
  char *sort;
} Options;

static void
options_clear (Options *options)
{
  g_free (options->body);
  g_free (options->lens);
  g_free (options->mount);
  g_free (options->job);
  g_free (options->state);
  g_free (options->sort);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Options, options_clear)

static const struct
{
  const char *name;
  ShimPairOrder order;
} orders[] = {
  { "error", SHIM_PAIR_ORDER_WORST }, { "oldest", SHIM_PAIR_ORDER_OLDEST }, { "newest", SHIM_PAIR_ORDER_NEWEST },
  { "lens", SHIM_PAIR_ORDER_LENS },   { "body", SHIM_PAIR_ORDER_BODY },
};

static gboolean
find_order (const char *name, ShimPairOrder *order)
{
  for (guint i = 0; i < G_N_ELEMENTS (orders); i++)
    if (g_str_equal (orders[i].name, name))
      {
        *order = orders[i].order;
        return TRUE;
      }
  shim_ctl_usage (_ ("--sort is error, oldest, newest, lens or body, not “%s”"), name);
  return FALSE;
}

static gboolean
find_state (const char *name, ShimPairFilter *filter)
{
  ShimPairState state;

  if (g_str_equal (name, "contradicted"))
    filter->reasons = SHIM_DUE_CONTRADICTED;
  else if (g_str_equal (name, "conflict"))
    filter->conflict = TRUE;
  else if (shim_pair_state_from_name (name, &state))
    filter->states = 1u << state;
  else
    {
      shim_ctl_usage (_ ("--state is untested, in-test, tuned, due, contradicted, conflict, out-of-reach or not-needed, "
                         "not “%s”"),
                      name);
      return FALSE;
    }
  return TRUE;
}

/* On failure it has said why. */
static GPtrArray *
read_pairs (ShimCtl *ctl, const Options *options, ShimPairFilter *filter)
{
  g_autoptr (ShimRecord) body = NULL, lens = NULL, job = NULL;
  g_autoptr (GError) error = NULL;
  GPtrArray *pairs;

  if (shim_ctl_register (ctl) == NULL
      || (options->body != NULL && (body = shim_ctl_find (ctl, SHIM_TYPE_BODY, options->body)) == NULL)
      || (options->lens != NULL && (lens = shim_ctl_find (ctl, SHIM_TYPE_LENS, options->lens)) == NULL)
      || (options->job != NULL && (job = shim_ctl_find (ctl, SHIM_TYPE_JOB, options->job)) == NULL))
    return NULL;
  filter->body = body != NULL ? body->id : NULL;
  filter->lens = lens != NULL ? lens->id : NULL;
  filter->job = job != NULL ? job->id : NULL;
  filter->body_mount = options->mount;
  pairs = shim_register_pairs (ctl->reg, filter, &error);
  if (pairs == NULL)
    shim_ctl_fail (error);
  return pairs;
}

static int
run_pairs (ShimCtl *ctl, int argc, char **argv)
{
  g_auto (Options) options = { NULL };
  const GOptionEntry entries[] = {
    { "body", 0, 0, G_OPTION_ARG_STRING, &options.body, N_ ("Only of this body"), N_ ("ITEM") },
    { "lens", 0, 0, G_OPTION_ARG_STRING, &options.lens, N_ ("Only of this lens"), N_ ("ITEM") },
    { "mount", 0, 0, G_OPTION_ARG_STRING, &options.mount, N_ ("Only of bodies with this mount"), N_ ("MOUNT") },
    { "job", 0, 0, G_OPTION_ARG_STRING, &options.job, N_ ("Only what this job takes along"), N_ ("JOB") },
    { "state", 0, 0, G_OPTION_ARG_STRING, &options.state, N_ ("Only in this state"), N_ ("STATE") },
    { "sort", 0, 0, G_OPTION_ARG_STRING, &options.sort, N_ ("Order; error if left out"), "error|oldest|newest|lens|body" },
    { NULL },
  };
  ShimPairFilter filter = { .order = SHIM_PAIR_ORDER_WORST };
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autoptr (GHashTable) names = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, g_free);
  g_autoptr (GPtrArray) pairs = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 0, 0)
      || (options.sort != NULL && !find_order (options.sort, &filter.order))
      || (options.state != NULL && !find_state (options.state, &filter)))
    return SHIM_CTL_USAGE;
  pairs = read_pairs (ctl, &options, &filter);
  if (pairs == NULL)
    return SHIM_CTL_FAILED;
  json_builder_begin_array (builder);
  for (guint i = 0; i < pairs->len; i++)
    print_pair (ctl, builder, names, pairs->pdata[i]);
  json_builder_end_array (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else if (pairs->len == 0)
    g_printerr (_ ("shimbookctl: no pair that was begun answers to this; pairs that nobody began yet are not listed\n"));
  return SHIM_CTL_OK;
}

const ShimCtlCommand shim_ctl_pair_list_commands[] = {
  { "pairs", "[--body ITEM] [--lens ITEM] [--mount MOUNT] [--job JOB] [--state STATE] [--sort ORDER]",
    N_ ("List pairs with settings and states, greatest error first"), run_pairs },
  { NULL, NULL, NULL, NULL },
};
