/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Sizes of a made-up register. */
typedef struct
{
  guint n_bodies;
  guint n_lenses;
  guint n_pairs_per_body;
  guint n_frames_per_pair;
  guint n_jobs;
  guint n_history;
  guint n_mounts;
} BigRegisterSize;

void  big_register_make (const char *path, const BigRegisterSize *size);
char *big_register_id   (const char *kind, guint number);
guint big_register_lens (const BigRegisterSize *size, guint body, guint k);

G_END_DECLS
