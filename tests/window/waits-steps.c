/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "waits-steps.h"

#include <adwaita.h>

#include "descendant.h"
#include "shim-item-page.h"
#include "shim-job-page.h"
#include "shim-kit-place.h"
#include "shim-pair-page.h"
#include "shim-pairs-place.h"
#include "shim-register-reads.h"
#include "shim-sheet-save.h"
#include "shim-slots-page.h"
#include "shim-window.h"

/* Long enough for everything that goes on behind the first screen, which nobody waits for. */
#define SETTLED_MS 80

/* --- finding one's way in the window --- */

static GtkWidget *
place (WaitsSession *self, const char *name)
{
  GtkWidget *stack = GTK_WIDGET (gtk_widget_get_template_child (self->window, SHIM_TYPE_WINDOW, "stack"));

  return gtk_stack_get_child_by_name (GTK_STACK (stack), name);
}

static gpointer
kit_part (WaitsSession *self, const char *name)
{
  return gtk_widget_get_template_child (place (self, "kit"), SHIM_TYPE_KIT_PLACE, name);
}

static gpointer
pairs_part (WaitsSession *self, const char *name)
{
  return gtk_widget_get_template_child (place (self, "pairs"), SHIM_TYPE_PAIRS_PLACE, name);
}

static gpointer
page_part (WaitsSession *self, const char *place_name, GType page, const char *name)
{
  return gtk_widget_get_template_child (descendant (place (self, place_name), page), page, name);
}

static gboolean
is_titled (GtkWidget *label, const char *title)
{
  return gtk_widget_get_mapped (label) && g_strcmp0 (gtk_label_get_label (GTK_LABEL (label)), title) == 0;
}

static GListModel *
kit_list (WaitsSession *self)
{
  return G_LIST_MODEL (gtk_list_view_get_model (kit_part (self, "list")));
}

static void
list_changed_cb (WaitsSession *self)
{
  self->n_lists++;
}

static void
watch_list (WaitsSession *self)
{
  GListModel *list = kit_list (self);

  g_signal_handlers_disconnect_by_func (list, list_changed_cb, self);
  g_signal_connect_swapped (list, "items-changed", G_CALLBACK (list_changed_cb), self);
  self->n_lists = 0;
}

/* --- what a person does, and how the result is known --- */

static void
opened_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  WaitsSession *self = user_data;
  g_autoptr (GError) error = NULL;

  self->workspace = shim_workspace_open_finish (result, &error);
  g_assert_no_error (error);
  shim_window_set_workspace (SHIM_WINDOW (self->window), self->workspace);
}

static void
painted_cb (WaitsSession *self)
{
  self->n_frames++;
}

static void
start (WaitsSession *self)
{
  self->window = GTK_WIDGET (shim_window_new (self->app));
  gtk_window_present (GTK_WINDOW (self->window));
  g_signal_connect_swapped (gtk_widget_get_frame_clock (self->window), "after-paint", G_CALLBACK (painted_cb), self);
  shim_workspace_open_async (self->reg->path, NULL, opened_cb, self);
}

static gboolean
has_kit_list (WaitsSession *self)
{
  return self->workspace != NULL && g_list_model_get_n_items (kit_list (self)) > 0;
}

static void
show_lenses (WaitsSession *self)
{
  gtk_toggle_button_set_active (kit_part (self, "lenses_button"), TRUE);
}

static gboolean
has_lenses (WaitsSession *self)
{
  g_autoptr (GObject) first = g_list_model_get_item (kit_list (self), 0);

  return SHIM_IS_LENS (first);
}

/* What was typed is on the screen before the entry asks for it: it waits for more first. */
static void
type (WaitsSession *self, const char *letters)
{
  GtkEditable *entry = GTK_EDITABLE (kit_part (self, "search_entry"));
  int end = (int) g_utf8_strlen (gtk_editable_get_text (entry), -1);

  gtk_search_entry_set_search_delay (GTK_SEARCH_ENTRY (entry), G_MAXINT);
  gtk_editable_insert_text (entry, letters, -1, &end);
}

static void
type_letter (WaitsSession *self)
{
  type (self, "v");
}

static void
type_two_words (WaitsSession *self)
{
  type (self, "elle 24");
}

static void
search (WaitsSession *self)
{
  watch_list (self);
  g_signal_emit_by_name (kit_part (self, "search_entry"), "search-changed");
}

static gboolean
has_found (WaitsSession *self)
{
  return self->n_lists > 0 && g_list_model_get_n_items (kit_list (self)) > 0;
}

static void
open_item (WaitsSession *self)
{
  gtk_widget_activate_action (self->window, "win.open-item", "(ss)", "body", self->id);
}

static gboolean
has_item (WaitsSession *self)
{
  return is_titled (page_part (self, "kit", SHIM_TYPE_ITEM_PAGE, "title"), self->title);
}

static void
open_pairs (WaitsSession *self)
{
  gtk_widget_activate_action (self->window, "win.place", "s", "pairs");
}

static gboolean
has_pairs (WaitsSession *self)
{
  return gtk_widget_get_mapped (pairs_part (self, "table_window"));
}

static void
list_pairs (WaitsSession *self)
{
  gtk_toggle_button_set_active (pairs_part (self, "table_button"), FALSE);
}

static gboolean
has_pair_list (WaitsSession *self)
{
  return gtk_widget_get_mapped (pairs_part (self, "list"));
}

static void
open_pair (WaitsSession *self)
{
  gtk_widget_activate_action (self->window, "win.open-pair", "s", self->id);
}

static gboolean
has_pair (WaitsSession *self)
{
  AdwWindowTitle *title = page_part (self, "pairs", SHIM_TYPE_PAIR_PAGE, "title");

  return g_strcmp0 (adw_window_title_get_title (title), self->title) == 0
         && g_strcmp0 (adw_window_title_get_subtitle (title), self->subtitle) == 0;
}

static void
open_slots (WaitsSession *self)
{
  gtk_widget_activate_action (self->window, "win.open-slots", "s", self->id);
}

static gboolean
has_slots (WaitsSession *self)
{
  return is_titled (page_part (self, "slots", SHIM_TYPE_SLOTS_PAGE, "title"), self->title);
}

static void
open_job (WaitsSession *self)
{
  gtk_widget_activate_action (self->window, "win.open-job", "s", self->id);
}

static gboolean
has_job (WaitsSession *self)
{
  return is_titled (page_part (self, "jobs", SHIM_TYPE_JOB_PAGE, "title"), self->title);
}

static void
write_sheet (WaitsSession *self)
{
  shim_sheet_write (place (self, "jobs"), self->workspace, self->id, self->sheet_path, SHIM_PAPER_A4);
}

static gboolean
says_sheet (GtkWidget *widget)
{
  if (GTK_IS_LABEL (widget) && g_str_has_prefix (gtk_label_get_label (GTK_LABEL (widget)), "The kit sheet was saved"))
    return TRUE;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL; child = gtk_widget_get_next_sibling (child))
    if (says_sheet (child))
      return TRUE;
  return FALSE;
}

static gboolean
has_sheet (WaitsSession *self)
{
  return g_file_test (self->sheet_path, G_FILE_TEST_EXISTS) && says_sheet (self->window);
}

/* --- letting the window come to rest --- */

static gboolean
rested_cb (gpointer rested)
{
  *(gboolean *) rested = TRUE;
  return G_SOURCE_REMOVE;
}

/* Until all is done that goes on behind the first screen, too. */
void
waits_settle (WaitsSession *self)
{
  gboolean busy = TRUE, rested;

  while (busy)
    {
      rested = FALSE;
      g_timeout_add (SETTLED_MS, rested_cb, &rested);
      while (!rested)
        g_main_context_iteration (NULL, TRUE);
      g_object_get (self->workspace, "busy", &busy, NULL);
    }
}

/* --- what is to be opened --- */

static char *
text_of (WaitsSession *self, GType type, const char *id, const char *field)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) record = shim_register_get (self->reg->reader, type, id, &error);
  char *text = NULL;

  g_assert_no_error (error);
  g_object_get (record, field, &text, NULL);
  return text;
}

static void
choose (WaitsSession *self, const char *kind, guint n)
{
  g_free (self->id);
  g_free (self->title);
  self->title = NULL;
  self->id = big_register_id (kind, big_bench_pick (&self->reg->turn, n));
}

static void
choose_pair (WaitsSession *self)
{
  g_autofree char *body = NULL, *lens = NULL;

  choose (self, "pair", self->reg->size->n_bodies * self->reg->size->n_pairs_per_body);
  body = text_of (self, SHIM_TYPE_PAIR, self->id, "body");
  lens = text_of (self, SHIM_TYPE_PAIR, self->id, "lens");
  g_free (self->subtitle);
  self->subtitle = text_of (self, SHIM_TYPE_BODY, body, "label");
  self->title = text_of (self, SHIM_TYPE_LENS, lens, "label");
}

/* One is open already when another one is asked for. */
static void
choose_item (WaitsSession *self)
{
  choose (self, "body", self->reg->size->n_bodies);
  open_item (self);
  waits_settle (self);
  choose (self, "body", self->reg->size->n_bodies);
  self->title = text_of (self, SHIM_TYPE_BODY, self->id, "label");
}

static void
choose_body (WaitsSession *self)
{
  choose (self, "body", self->reg->size->n_bodies);
  self->title = text_of (self, SHIM_TYPE_BODY, self->id, "label");
  gtk_widget_activate_action (self->window, "win.place", "s", "slots");
}

static void
choose_job (WaitsSession *self)
{
  choose (self, "job", self->reg->size->n_jobs);
  self->title = text_of (self, SHIM_TYPE_JOB, self->id, "name");
  gtk_widget_activate_action (self->window, "win.place", "s", "jobs");
}

const WaitsStep waits_steps[] = {
  { "start: window, register, bodies", NULL, start, has_kit_list },
  { "Kit: the lenses", NULL, show_lenses, has_lenses },
  { "Kit: search, one letter", type_letter, search, has_found },
  { "Kit: search, two words", type_two_words, search, has_found },
  { "Kit: page of a body", choose_item, open_item, has_item, TRUE },
  { "Pairs: the table", NULL, open_pairs, has_pairs },
  { "Pairs: the list, worst first", NULL, list_pairs, has_pair_list },
  { "Pairs: page of a pair", choose_pair, open_pair, has_pair, TRUE },
  { "Slots: a body with its plan", choose_body, open_slots, has_slots, TRUE },
  { "Jobs: page of a job", choose_job, open_job, has_job },
  { "Jobs: kit sheet, as PDF", NULL, write_sheet, has_sheet },
};
