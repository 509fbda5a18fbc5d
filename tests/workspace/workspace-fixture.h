/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-workspace.h"

/* A register in a folder of its own, with a workspace on it, and waiting for what a workspace does later. */

typedef struct
{
  char *folder;
  char *path;
  ShimWorkspace *workspace;
} WorkspaceFixture;

void      workspace_fixture_set_up    (WorkspaceFixture *self, gconstpointer data);
void      workspace_fixture_tear_down (WorkspaceFixture *self, gconstpointer data);
void      workspace_fixture_spoil     (WorkspaceFixture *self); /* another program does: lenses cannot be read any more */

typedef struct
{
  GAsyncResult *result;
} WorkspaceWait;

/* Callback and its waiting: `wait_for (&wait)` runs the main loop until the callback was called. */
void      workspace_wait_cb           (GObject *source, GAsyncResult *result, gpointer wait);
GAsyncResult *workspace_wait_for      (WorkspaceWait *wait);
void      workspace_run_until         (gboolean (*reached) (gpointer data), gpointer data);
gpointer  workspace_finish            (ShimWorkspace *workspace, WorkspaceWait *wait, GError **error);

ShimBody *test_body_new               (const char *label, const char *serial);
ShimLens *test_lens_new               (const char *label, const char *serial);
char     *test_add                    (ShimRegister *reg, gpointer record);
