/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

G_BEGIN_DECLS

/**
 * ShimFileFunc:
 * @files: (element-type GFile): what was chosen, at least one
 * @user_data: as given
 */
typedef void (*ShimFileFunc) (GListModel *files, gpointer user_data);

/**
 * ShimConfirmFunc:
 * @user_data: as given
 */
typedef void (*ShimConfirmFunc) (gpointer user_data);

void shim_show_error    (GtkWidget *widget, const char *heading, const GError *error);
void shim_show_toast    (GtkWidget *widget, const char *sentence);
void shim_show_done     (GtkWidget *widget, const char *sentence);
void shim_confirm       (GtkWidget *widget, const char *heading, const char *body, const char *verb, gboolean destructive,
                         ShimConfirmFunc func, gpointer user_data, GDestroyNotify destroy);
void shim_choose_photographs (GtkWidget *widget, const char *title, ShimFileFunc func, gpointer user_data);
void shim_choose_open   (GtkWidget *widget, const char *title, const char *filter_name, const char *const *patterns,
                         ShimFileFunc func, gpointer user_data);
void shim_choose_register (GtkWidget *widget, const char *title, const char *open_register, ShimFileFunc func, gpointer user_data);
void shim_choose_folder (GtkWidget *widget, const char *title, ShimFileFunc func, gpointer user_data);
void shim_choose_save   (GtkWidget *widget, const char *title, const char *name, ShimFileFunc func, gpointer user_data);

G_END_DECLS
