/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimPlace:
 * @name: of the page and of the setting
 * @label: for people, translatable
 * @icon: symbolic icon
 * @create: makes its widget
 * @search: (nullable): starts searching in it
 *
 * One entry of the sidebar. A new place is one line in shim-window-places.c.
 */
typedef struct
{
  const char *name;
  const char *label;
  const char *icon;
  GtkWidget *(*create) (ShimWorkspace *workspace);
  void (*search) (GtkWidget *place);
} ShimPlace;

extern const ShimPlace shim_places[];
extern const guint shim_n_places;

void shim_places_open_item  (GtkWidget *kit_place, const char *kind, const char *id);
void shim_places_open_pair  (GtkWidget *pairs_place, const char *pair);
void shim_places_bench_pair (GtkWidget *bench_place, const char *pair);
void shim_places_bench_test (GtkWidget *bench_place, const char *test);
void shim_places_open_slots (GtkWidget *slots_place, const char *body);
void shim_places_open_job   (GtkWidget *jobs_place, const char *job);

G_END_DECLS
