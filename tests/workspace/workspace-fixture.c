/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <sqlite3.h>

#include "workspace-fixture.h"

static void
remove_tree (const char *path)
{
  g_autoptr (GDir) dir = g_dir_open (path, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *child = g_build_filename (path, name, NULL);

      remove_tree (child);
    }
  g_remove (path);
}

void
workspace_fixture_set_up (WorkspaceFixture *self, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  self->folder = g_dir_make_tmp ("shimbook-workspace-XXXXXX", &error);
  g_assert_no_error (error);
  self->path = g_build_filename (self->folder, "kit.shimbook", NULL);
  self->workspace = shim_workspace_open (self->path, &error);
  g_assert_no_error (error);
}

static gboolean
is_gone (gpointer workspace)
{
  return *(ShimWorkspace **) workspace == NULL;
}

/* What is still asked when a test is over, as after a change from outside, holds the workspace until it is answered. */
void
workspace_fixture_tear_down (WorkspaceFixture *self, gconstpointer data)
{
  ShimWorkspace *workspace = self->workspace;

  if (workspace != NULL)
    {
      g_object_add_weak_pointer (G_OBJECT (workspace), (gpointer *) &workspace);
      g_object_unref (self->workspace);
      workspace_run_until (is_gone, &workspace);
    }
  remove_tree (self->folder);
  g_free (self->folder);
  g_free (self->path);
}

void
workspace_wait_cb (GObject *source, GAsyncResult *result, gpointer wait)
{
  ((WorkspaceWait *) wait)->result = g_object_ref (result);
}

GAsyncResult *
workspace_wait_for (WorkspaceWait *wait)
{
  while (wait->result == NULL)
    g_main_context_iteration (NULL, TRUE);
  return wait->result;
}

/* A watchdog by the test runner's own time limit, so that nothing here hangs on a clock. */
void
workspace_run_until (gboolean (*reached) (gpointer data), gpointer data)
{
  while (!reached (data))
    g_main_context_iteration (NULL, TRUE);
}

gpointer
workspace_finish (ShimWorkspace *workspace, WorkspaceWait *wait, GError **error)
{
  g_autoptr (GAsyncResult) result = workspace_wait_for (wait);

  wait->result = NULL;
  return shim_workspace_call_finish (workspace, result, error);
}

void
workspace_fixture_spoil (WorkspaceFixture *self)
{
  sqlite3 *spoiler = NULL;

  g_assert_cmpint (sqlite3_open (self->path, &spoiler), ==, SQLITE_OK);
  g_assert_cmpint (sqlite3_exec (spoiler, "ALTER TABLE lens RENAME TO spoiled", NULL, NULL, NULL), ==, SQLITE_OK);
  g_assert_cmpint (sqlite3_close (spoiler), ==, SQLITE_OK);
}

ShimBody *
test_body_new (const char *label, const char *serial)
{
  ShimBody *body = shim_body_new ();

  g_object_set (body, "label", label, "maker", "Orrin", "model", "O-3", "serial", serial, "mount", "F",
                "format-width-mm", 36.0, "format-height-mm", 24.0, "range-min", (gint64) -20, "range-max",
                (gint64) 20, "direction", "away", "slot-count", (gint64) 3, "tells-lenses-by", "serial", NULL);
  return body;
}

ShimLens *
test_lens_new (const char *label, const char *serial)
{
  ShimLens *lens = shim_lens_new ();

  g_object_set (lens, "label", label, "maker", "Velle", "model", label, "serial", serial, "mount", "F",
                "focal-min-mm", 50.0, "aperture-wide", 1.8, NULL);
  return lens;
}

char *
test_add (ShimRegister *reg, gpointer record)
{
  g_autoptr (GError) error = NULL;

  shim_register_insert (reg, record, &error);
  g_assert_no_error (error);
  return g_strdup (shim_record_get_id (record));
}
