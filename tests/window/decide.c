/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-ops.h"

/* decide REGISTER BODY LENS SETTING next|none
 * Writes down a setting as if it were copied from an old notebook: settings without the photographs that a test needs. */

static char *
find_id (ShimRegister *reg, GType type, const char *label)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) found = NULL;

  shim_query_add_filter (query, "label", label);
  found = shim_register_list (reg, type, query, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (found->len, ==, 1);
  return g_strdup (shim_record_get_id (found->pdata[0]));
}

int
main (int argc, char **argv)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRegister) reg = NULL;
  g_autoptr (ShimPair) pair = NULL;
  g_autoptr (ShimDecision) decision = NULL;
  g_autofree char *body = NULL, *lens = NULL;
  ShimAccept request;

  g_assert_cmpint (argc, ==, 6);
  reg = shim_register_open (argv[1], SHIM_REGISTER_DEFAULT, &error);
  g_assert_no_error (error);
  body = find_id (reg, SHIM_TYPE_BODY, argv[2]);
  lens = find_id (reg, SHIM_TYPE_LENS, argv[3]);
  pair = shim_ops_test_find_pair (reg, body, lens, NULL, TRUE, &error);
  g_assert_no_error (error);

  shim_accept_init (&request);
  request.pair = shim_record_get_id (SHIM_RECORD (pair));
  request.value = g_ascii_strtoll (argv[4], NULL, 10);
  request.origin = "copied";
  request.slot = g_str_equal (argv[5], "none") ? SHIM_SLOT_NONE : SHIM_SLOT_NEXT;
  decision = shim_ops_accept (reg, &request, NULL, &error);
  g_assert_no_error (error);
  return 0;
}
