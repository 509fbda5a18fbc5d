/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"

/* All dialogs that newer GTK and Adwaita name differently stand here, so that there is one place to change. */

static GtkWindow *
window_of (GtkWidget *widget)
{
  GtkRoot *root = gtk_widget_get_root (widget);

  return GTK_IS_WINDOW (root) ? GTK_WINDOW (root) : NULL;
}

static AdwToastOverlay *
toasts_of (GtkWidget *widget)
{
  /* A window stands above its overlay, everything else below it. */
  GtkWidget *start = ADW_IS_APPLICATION_WINDOW (widget) ? adw_application_window_get_content (ADW_APPLICATION_WINDOW (widget)) : widget;
  GtkWidget *overlay = start != NULL ? gtk_widget_get_ancestor (start, ADW_TYPE_TOAST_OVERLAY) : NULL;

  return overlay != NULL ? ADW_TOAST_OVERLAY (overlay) : NULL;
}

/**
 * shim_show_error:
 * @widget: any widget of the window
 * @heading: what could not be done: "The Frame Was Not Stored"
 * @error: (nullable): why; a cancelled call is not an error to show
 *
 * For work that was lost or refused.
 */
void
shim_show_error (GtkWidget *widget, const char *heading, const GError *error)
{
  GtkWidget *dialog;

  g_return_if_fail (GTK_IS_WIDGET (widget));
  g_return_if_fail (heading != NULL);

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return;
  dialog = adw_message_dialog_new (window_of (widget), heading, error != NULL ? error->message : NULL);
  adw_message_dialog_add_response (ADW_MESSAGE_DIALOG (dialog), "close", _ ("_Close"));
  adw_message_dialog_set_default_response (ADW_MESSAGE_DIALOG (dialog), "close");
  adw_message_dialog_set_close_response (ADW_MESSAGE_DIALOG (dialog), "close");
  gtk_window_present (GTK_WINDOW (dialog));
}

/**
 * shim_show_toast:
 * @widget: any widget of the window
 * @sentence: something small that the person should know
 */
void
shim_show_toast (GtkWidget *widget, const char *sentence)
{
  AdwToastOverlay *overlay;
  g_autofree char *escaped = NULL;

  g_return_if_fail (GTK_IS_WIDGET (widget));
  g_return_if_fail (sentence != NULL);

  overlay = toasts_of (widget);
  if (overlay == NULL)
    return;
  escaped = g_markup_escape_text (sentence, -1);
  adw_toast_overlay_add_toast (overlay, adw_toast_new (escaped));
}

/**
 * shim_show_done:
 * @widget: any widget of the window
 * @sentence: a change that was made and can be undone
 */
void
shim_show_done (GtkWidget *widget, const char *sentence)
{
  AdwToastOverlay *overlay;
  AdwToast *toast;
  g_autofree char *escaped = NULL;

  g_return_if_fail (GTK_IS_WIDGET (widget));
  g_return_if_fail (sentence != NULL);

  overlay = toasts_of (widget);
  if (overlay == NULL)
    return;
  escaped = g_markup_escape_text (sentence, -1);
  toast = adw_toast_new (escaped);
  adw_toast_set_button_label (toast, _ ("_Undo"));
  adw_toast_set_action_name (toast, "win.undo");
  adw_toast_overlay_add_toast (overlay, toast);
}

typedef struct
{
  ShimConfirmFunc func;
  gpointer user_data;
  GDestroyNotify destroy;
} Confirmation;

static void
confirmation_free (Confirmation *confirmation)
{
  if (confirmation->destroy != NULL)
    confirmation->destroy (confirmation->user_data);
  g_free (confirmation);
}

static void
confirm_response_cb (AdwMessageDialog *dialog, const char *response, Confirmation *confirmation)
{
  if (g_str_equal (response, "do"))
    confirmation->func (confirmation->user_data);
}

/**
 * shim_confirm:
 * @widget: any widget of the window
 * @heading: the question
 * @body: (nullable): what will happen, and what cannot be undone
 * @verb: the button, with mnemonic: "_Reset"
 * @destructive: whether something is lost by it
 * @func: called when the person says yes
 * @user_data: for @func; must outlive the dialog where there is no @destroy
 * @destroy: (nullable): frees @user_data when the dialog has gone
 *
 * Only for what cannot be undone: undo is kinder than a question.
 */
void
shim_confirm (GtkWidget *widget, const char *heading, const char *body, const char *verb, gboolean destructive,
              ShimConfirmFunc func, gpointer user_data, GDestroyNotify destroy)
{
  GtkWidget *dialog;
  Confirmation *confirmation;

  g_return_if_fail (GTK_IS_WIDGET (widget));
  g_return_if_fail (func != NULL);

  dialog = adw_message_dialog_new (window_of (widget), heading, body);
  adw_message_dialog_add_responses (ADW_MESSAGE_DIALOG (dialog), "cancel", _ ("_Cancel"), "do", verb, NULL);
  adw_message_dialog_set_response_appearance (ADW_MESSAGE_DIALOG (dialog), "do",
                                              destructive ? ADW_RESPONSE_DESTRUCTIVE : ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_default_response (ADW_MESSAGE_DIALOG (dialog), destructive ? "cancel" : "do");
  adw_message_dialog_set_close_response (ADW_MESSAGE_DIALOG (dialog), "cancel");
  confirmation = g_new (Confirmation, 1);
  *confirmation = (Confirmation) { func, user_data, destroy };
  g_signal_connect_data (dialog, "response", G_CALLBACK (confirm_response_cb), confirmation, (GClosureNotify) confirmation_free, 0);
  gtk_window_present (GTK_WINDOW (dialog));
}

typedef struct
{
  ShimFileFunc func;
  gpointer user_data;
} FileChoice;

static void
chooser_response_cb (GtkFileChooserNative *chooser, int response, FileChoice *choice)
{
  g_autoptr (GListModel) files = NULL;

  if (response == GTK_RESPONSE_ACCEPT)
    {
      files = gtk_file_chooser_get_files (GTK_FILE_CHOOSER (chooser));
      if (g_list_model_get_n_items (files) > 0)
        choice->func (files, choice->user_data);
    }
  g_object_unref (chooser);
}

static GtkFileChooserNative *
chooser_new (GtkWidget *widget, const char *title, GtkFileChooserAction action, const char *verb, ShimFileFunc func,
             gpointer user_data)
{
  GtkFileChooserNative *chooser = gtk_file_chooser_native_new (title, window_of (widget), action, verb, NULL);
  FileChoice *choice = g_new (FileChoice, 1);

  *choice = (FileChoice) { func, user_data };
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (chooser), TRUE);
  g_signal_connect_data (chooser, "response", G_CALLBACK (chooser_response_cb), choice, (GClosureNotify) g_free, 0);
  return chooser;
}

static void
add_filter (GtkFileChooserNative *chooser, const char *name, const char *const *patterns, const char *const *suffixes)
{
  g_autoptr (GtkFileFilter) filter = gtk_file_filter_new ();

  gtk_file_filter_set_name (filter, name);
  for (guint i = 0; patterns != NULL && patterns[i] != NULL; i++)
    gtk_file_filter_add_pattern (filter, patterns[i]);
  for (guint i = 0; suffixes != NULL && suffixes[i] != NULL; i++)
    gtk_file_filter_add_suffix (filter, suffixes[i]);
  gtk_file_chooser_add_filter (GTK_FILE_CHOOSER (chooser), filter);
}

static const char *const all_files[] = { "*", NULL };

/**
 * shim_choose_photographs:
 * @widget: any widget of the window
 * @title: of the dialog
 * @func: called with the photographs chosen
 * @user_data: for @func; must outlive the dialog
 */
void
shim_choose_photographs (GtkWidget *widget, const char *title, ShimFileFunc func, gpointer user_data)
{
  static const char *const suffixes[] = { "jpg", "jpeg", "dng", "cr2", "cr3", "nef", "arw", "raf", "orf", "rw2", "pef", NULL };
  GtkFileChooserNative *chooser;

  g_return_if_fail (GTK_IS_WIDGET (widget));

  chooser = chooser_new (widget, title, GTK_FILE_CHOOSER_ACTION_OPEN, _ ("_Add"), func, user_data);
  gtk_file_chooser_set_select_multiple (GTK_FILE_CHOOSER (chooser), TRUE);
  add_filter (chooser, _ ("Photographs"), NULL, suffixes);
  add_filter (chooser, _ ("All files"), all_files, NULL);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (chooser));
}

/**
 * shim_choose_register:
 * @widget: any widget of the window
 * @title: of the dialog
 * @open_register: (nullable) (type filename): the register of the window, in whose folder the others are looked for
 * @func: called with the register chosen
 * @user_data: for @func; must outlive the dialog
 */
void
shim_choose_register (GtkWidget *widget, const char *title, const char *open_register, ShimFileFunc func, gpointer user_data)
{
  /* What registers and their backups are called; people also give them other names. */
  static const char *const patterns[] = { "*.shimbook", "*.register", NULL };
  GtkFileChooserNative *chooser;

  g_return_if_fail (GTK_IS_WIDGET (widget));

  chooser = chooser_new (widget, title, GTK_FILE_CHOOSER_ACTION_OPEN, _ ("_Open"), func, user_data);
  add_filter (chooser, _ ("Registers"), patterns, NULL);
  add_filter (chooser, _ ("All files"), all_files, NULL);
  if (open_register != NULL)
    {
      g_autofree char *path = g_path_get_dirname (open_register);
      g_autoptr (GFile) folder = g_file_new_for_path (path);

      gtk_file_chooser_set_current_folder (GTK_FILE_CHOOSER (chooser), folder, NULL);
    }
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (chooser));
}

/**
 * shim_choose_open:
 * @widget: any widget of the window
 * @title: of the dialog
 * @filter_name: what kind of file
 * @patterns: (array zero-terminated=1): as "*.csv"
 * @func: called with the file chosen
 * @user_data: for @func; must outlive the dialog
 */
void
shim_choose_open (GtkWidget *widget, const char *title, const char *filter_name, const char *const *patterns,
                  ShimFileFunc func, gpointer user_data)
{
  GtkFileChooserNative *chooser;

  g_return_if_fail (GTK_IS_WIDGET (widget));

  chooser = chooser_new (widget, title, GTK_FILE_CHOOSER_ACTION_OPEN, _ ("_Open"), func, user_data);
  add_filter (chooser, filter_name, patterns, NULL);
  add_filter (chooser, _ ("All files"), all_files, NULL);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (chooser));
}

/**
 * shim_choose_folder:
 * @widget: any widget of the window
 * @title: of the dialog
 * @func: called with the folder chosen
 * @user_data: for @func; must outlive the dialog
 */
void
shim_choose_folder (GtkWidget *widget, const char *title, ShimFileFunc func, gpointer user_data)
{
  g_return_if_fail (GTK_IS_WIDGET (widget));

  gtk_native_dialog_show (GTK_NATIVE_DIALOG (
      chooser_new (widget, title, GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER, _ ("_Choose"), func, user_data)));
}

/**
 * shim_choose_save:
 * @widget: any widget of the window
 * @title: of the dialog
 * @name: file name to start with
 * @func: called with the file to write
 * @user_data: for @func; must outlive the dialog
 */
void
shim_choose_save (GtkWidget *widget, const char *title, const char *name, ShimFileFunc func, gpointer user_data)
{
  GtkFileChooserNative *chooser;

  g_return_if_fail (GTK_IS_WIDGET (widget));

  chooser = chooser_new (widget, title, GTK_FILE_CHOOSER_ACTION_SAVE, _ ("_Save"), func, user_data);
  gtk_file_chooser_set_current_name (GTK_FILE_CHOOSER (chooser), name);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (chooser));
}
