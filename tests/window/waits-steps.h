/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "../store/big-bench.h"
#include "shim-register.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

/* What a person does in the window and waits for, one thing after the other. */

typedef struct
{
  char *path;
  const BigRegisterSize *size;
  ShimRegister *reader; /* for the words to wait for */
  guint turn;           /* other things each time, so that not one lucky page is measured */
} WaitsRegister;

typedef struct
{
  GtkApplication *app;
  WaitsRegister *reg;
  GtkWidget *window;
  ShimWorkspace *workspace;
  char *sheet_path;
  char *id;       /* of what is opened */
  char *title;    /* how its page is headed */
  char *subtitle; /* of a pair's page */
  guint n_lists;  /* counts changes of the list that is looked at */
  guint n_frames; /* counts what was painted */
} WaitsSession;

typedef struct
{
  const char *name;
  void (*prepare) (WaitsSession *self); /* untimed; or NULL */
  void (*act) (WaitsSession *self);
  gboolean (*shown) (WaitsSession *self);
  gboolean same; /* a page whose length is that of the body's own kit is compared with one as long */
} WaitsStep;

#define N_WAITS_STEPS 11

extern const WaitsStep waits_steps[N_WAITS_STEPS];

void waits_settle (WaitsSession *self);

G_END_DECLS
