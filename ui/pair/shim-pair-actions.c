/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-format.h"
#include "shim-key-in.h"
#include "shim-pair-actions.h"
#include "shim-workspace-ops.h"
#include "shim-write-down-dialog.h"

/* What can be done with a pair beside testing it; the actions of the menu on its page. */

struct _ShimPairActions
{
  GtkWidget *page; /* borrowed: it owns this */
  ShimWorkspace *workspace;
  GSimpleActionGroup *group;
  const ShimPairView *view; /* borrowed from the page */
};

static void
finish (GtkWidget *widget, gpointer result, const GError *error, const char *sentence)
{
  if (result != NULL)
    shim_show_done (widget, sentence);
  else
    shim_show_error (widget, _ ("The Change Was Not Stored"), error);
}

static void
written_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) widget = GTK_WIDGET (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (GObject) decision = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  finish (widget, decision, error, _ ("Written down"));
}

/* The register's thread. */
static gpointer
write_down_func (ShimRegister *reg, gpointer request, GCancellable *cancellable, GError **error)
{
  return shim_ops_write_down (reg, request, error);
}

/**
 * shim_pair_write_down:
 * @widget: any widget of the window
 * @workspace: the register
 * @request: (transfer full): what is written down
 *
 * Stores a setting that no test gave, and says that it did.
 */
void
shim_pair_write_down (GtkWidget *widget, ShimWorkspace *workspace, ShimWriteDown *request)
{
  shim_workspace_call_async (workspace, write_down_func, request, (GDestroyNotify) shim_write_down_free, g_object_unref, NULL,
                             written_cb, g_object_ref (widget));
}

static void
write_down_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  ShimPairActions *self = user_data;

  shim_write_down_dialog_show (self->page, self->workspace, self->view);
}

static void
take_expected_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  ShimPairActions *self = user_data;
  ShimWriteDown *request = shim_write_down_new (shim_record_get_id (SHIM_RECORD (self->view->pair)), "predicted");

  request->setting = self->view->prediction->setting;
  shim_pair_write_down (self->page, self->workspace, request);
}

static void
key_in_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  ShimPairActions *self = user_data;
  const ShimPairView *view = self->view;
  g_autofree char *setting = shim_format_setting (view->now->value);
  g_autofree char *sentence
      = g_strdup_printf (_ ("%s is decided for %s on %s."), setting, view->lens->label, view->body->label);

  shim_key_in (self->page, self->workspace, view->now->body, view->now->pair, sentence);
}

static void
withdrawn_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) widget = GTK_WIDGET (user_data);
  g_autoptr (GError) error = NULL;
  const gboolean done = shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error);

  finish (widget, done ? widget : NULL, error, _ ("Withdrawn; what was decided stays in the history"));
}

static void
withdraw_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  ShimPairActions *self = user_data;

  shim_workspace_withdraw_async (self->workspace, self->view->now->pair, NULL, NULL, NULL, withdrawn_cb, g_object_ref (self->page));
}

typedef struct
{
  char *body;
  char *lens;
  char *converter;
  gboolean needed;
} Need;

static void
need_free (Need *need)
{
  g_free (need->body);
  g_free (need->lens);
  g_free (need->converter);
  g_free (need);
}

/* The register's thread. */
static gpointer
set_needed_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const Need *need = data;

  return shim_ops_test_set_needed (reg, need->body, need->lens, need->converter, need->needed, error);
}

static void
needed_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) widget = GTK_WIDGET (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) pair = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  finish (widget, pair, error, pair != NULL && SHIM_PAIR (pair)->not_needed ? _ ("The pair is not needed") : _ ("The pair is needed"));
}

/**
 * shim_pair_set_needed:
 * @widget: any widget of the window
 * @workspace: the register
 * @body: id
 * @lens: id
 * @converter: (nullable): id
 * @needed: whether anybody uses the pair
 *
 * Stores it, making the pair when there is none yet, and says that it did.
 */
void
shim_pair_set_needed (GtkWidget *widget, ShimWorkspace *workspace, const char *body, const char *lens, const char *converter,
                      gboolean needed)
{
  Need *need = g_new (Need, 1);

  *need = (Need) { g_strdup (body), g_strdup (lens), g_strdup (converter), needed };
  shim_workspace_call_async (workspace, set_needed_func, need, (GDestroyNotify) need_free, g_object_unref, NULL, needed_cb,
                             g_object_ref (widget));
}

/* The tick follows once the register has it. */
static void
not_needed_cb (GSimpleAction *action, GVariant *wanted, gpointer user_data)
{
  ShimPairActions *self = user_data;
  const ShimPair *pair = self->view->pair;

  shim_pair_set_needed (self->page, self->workspace, pair->body, pair->lens, pair->converter, !g_variant_get_boolean (wanted));
}

static const GActionEntry entries[] = {
  { .name = "write-down", .activate = write_down_cb },
  { .name = "take-expected", .activate = take_expected_cb },
  { .name = "key-in", .activate = key_in_cb },
  { .name = "withdraw", .activate = withdraw_cb },
  { .name = "not-needed", .state = "false", .change_state = not_needed_cb },
};

static void
set_enabled (ShimPairActions *self, const char *name, gboolean enabled)
{
  g_simple_action_set_enabled (G_SIMPLE_ACTION (g_action_map_lookup_action (G_ACTION_MAP (self->group), name)), enabled);
}

/**
 * shim_pair_actions_new:
 * @page: the page of a pair, which gets the actions "pair.…"
 * @workspace: its register
 *
 * Returns: (transfer full): actions that are good for nothing before shim_pair_actions_show()
 */
ShimPairActions *
shim_pair_actions_new (GtkWidget *page, ShimWorkspace *workspace)
{
  ShimPairActions *self = g_new0 (ShimPairActions, 1);

  self->page = page;
  self->workspace = g_object_ref (workspace);
  self->group = g_simple_action_group_new ();
  g_action_map_add_action_entries (G_ACTION_MAP (self->group), entries, G_N_ELEMENTS (entries), self);
  gtk_widget_insert_action_group (page, "pair", G_ACTION_GROUP (self->group));
  for (guint i = 0; i < G_N_ELEMENTS (entries); i++)
    set_enabled (self, entries[i].name, FALSE);
  return self;
}

/**
 * shim_pair_actions_free:
 * @self: (transfer full) (nullable): actions
 */
void
shim_pair_actions_free (ShimPairActions *self)
{
  if (self == NULL)
    return;
  gtk_widget_insert_action_group (self->page, "pair", NULL);
  g_object_unref (self->group);
  g_object_unref (self->workspace);
  g_free (self);
}

/**
 * shim_pair_actions_show:
 * @self: actions
 * @view: the pair that they are for from now on; it must live until the next one is shown
 */
void
shim_pair_actions_show (ShimPairActions *self, const ShimPairView *view)
{
  const ShimPairNow *now = view->now;
  const gboolean has_value = now->value != SHIM_NO_INT;
  const gboolean is_kept = now->slot != SHIM_NO_INT && (now->slot == SHIM_SLOT_IN_LENS || now->slot_state == SHIM_SLOT_KEYED)
                           && now->slot_value == now->value && now->slot_value_long == now->value_long;
  GAction *not_needed = g_action_map_lookup_action (G_ACTION_MAP (self->group), "not-needed");

  self->view = view;
  set_enabled (self, "write-down", TRUE);
  set_enabled (self, "take-expected", view->prediction != NULL);
  set_enabled (self, "key-in", has_value && !is_kept && view->body->slot_count != 0);
  set_enabled (self, "withdraw", has_value);
  set_enabled (self, "not-needed", TRUE);
  g_simple_action_set_state (G_SIMPLE_ACTION (not_needed), g_variant_new_boolean (view->pair->not_needed != 0));
}
