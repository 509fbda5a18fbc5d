/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-ctl.h"
#include "shim-json.h"
#include "shim-ops-find.h"

/* The search over everything, as the window's. */

static void
print_hit (ShimCtl *ctl, JsonBuilder *builder, const ShimHit *hit)
{
  if (!ctl->json)
    {
      shim_ctl_print_cell (hit->kind, 10);
      g_print ("%s%s%s\n", hit->title, *hit->detail != '\0' ? " · " : "", hit->detail);
    }
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "kind", hit->kind);
  shim_json_add_text (builder, "id", hit->id);
  shim_json_add_text (builder, "title", hit->title);
  shim_json_add_text (builder, "detail", hit->detail);
  json_builder_end_object (builder);
}

static int
run_find (ShimCtl *ctl, int argc, char **argv)
{
  int limit = 50;
  const GOptionEntry entries[] = {
    { "limit", 0, 0, G_OPTION_ARG_INT, &limit, N_ ("How many at most (50)"), "N" },
    { NULL },
  };
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autoptr (GPtrArray) hits = NULL;
  g_autofree char *words = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, -1))
    return SHIM_CTL_USAGE;
  if (limit < 1)
    return shim_ctl_usage (_ ("--limit must be at least 1"));
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  words = g_strjoinv (" ", argv + 1);
  hits = shim_ops_find (ctl->reg, words, (guint) limit, &error);
  if (hits == NULL)
    return shim_ctl_fail (error);
  json_builder_begin_array (builder);
  for (guint i = 0; i < hits->len; i++)
    print_hit (ctl, builder, hits->pdata[i]);
  json_builder_end_array (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  if (hits->len == 0)
    g_printerr (_ ("shimbookctl: nothing found for “%s”\n"), words);
  return SHIM_CTL_OK;
}

const ShimCtlCommand shim_ctl_find_commands[] = {
  { "find", "[--limit N] WORD…", N_ ("Search everything: items, pairs, jobs, events, notes"), run_find },
  { NULL, NULL, NULL, NULL },
};
