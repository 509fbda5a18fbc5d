/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-register-private.h"

G_BEGIN_DECLS

typedef struct
{
  ShimRegister *ours;
  ShimRegister *theirs;
  GHashTable *ids;    /* their id → our id, where one thing was entered in both */
  GHashTable *mounts; /* their name of a mount → ours */
  ShimMergeReport *report;
} ShimMerge;

void     shim_merge_add_conflict (ShimMerge *self, ShimRecord *ours, const char *field, char *our_words, char *their_words,
                                  gboolean kept_theirs);
gboolean shim_merge_fields       (ShimMerge *self, ShimRecord *ours, ShimRecord *theirs, const char *their_id, gboolean *changed,
                                  GError **error);

G_END_DECLS
