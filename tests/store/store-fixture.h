/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-register-pairs.h"
#include "shim-register-reads.h"

/* A register in a folder of its own, and a small kit in it. */

typedef struct
{
  char *folder;
  char *path;
  ShimRegister *reg;
  char *body;
  char *body_two;
  char *lens;
  char *lens_two;
} StoreFixture;

void           store_fixture_set_up    (StoreFixture *self);
void           store_fixture_tear_down (StoreFixture *self);
void           store_fixture_reopen    (StoreFixture *self);
void           store_fixture_fill      (StoreFixture *self);
char          *store_fixture_file      (StoreFixture *self, const char *name);
void           store_fixture_remove    (const char *folder);

char          *store_add               (ShimRegister *reg, gpointer record);
ShimBody      *store_body_new          (const char *label, const char *serial);
ShimLens      *store_lens_new          (const char *label, const char *serial);
char          *store_add_pair          (ShimRegister *reg, const char *body, const char *lens);
char          *store_add_test          (ShimRegister *reg, const char *pair, const char *started_at);
char          *store_add_round         (ShimRegister *reg, const char *test, gint64 setting);
ShimFrame     *store_frame_new         (const char *round, guint number);
char          *store_add_decision      (ShimRegister *reg, const char *pair, const char *test, const char *at, gint64 value);
char          *store_add_slot          (ShimRegister *reg, const char *body, gint64 number, const char *pair, gint64 value,
                                        const char *action, const char *at);
char          *store_add_event         (ShimRegister *reg, const char *kind, const char *item, const char *what, const char *day,
                                        gboolean casts_doubt);
gint64         store_query_int         (const char *path, const char *sql);
void           store_exec              (const char *path, const char *sql);
void           store_make_version_1    (const char *path);

#define STORE_SET(record, ...) g_object_set ((record), __VA_ARGS__, NULL)
