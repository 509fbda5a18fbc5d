/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-db.h"
#include "shim-kinds.h"
#include "shim-pair-now.h"
#include "shim-register.h"

G_BEGIN_DECLS

/* What the files of the store share. */

/**
 * ShimTouched:
 *
 * One record that the open change added, changed, removed or restored.
 */
typedef struct
{
  const ShimKind *kind;
  char *id;
  const char *action; /* "added", "changed", "removed", "restored" */
} ShimTouched;

struct _ShimRegister
{
  ShimDb *db;
  char *path;
  char *id;
  gboolean read_only;
  char *who;
  gint64 clock_s;
  double max_age_days;

  /* The open change. */
  guint depth;
  gboolean doomed;
  char *summary;
  const char *action; /* of the history line: "change", "undo", "redo", "merge" */
  gboolean unrecorded; /* made by a benchmark: no history */
  sqlite3_session *session;
  GPtrArray *touched;       /* ShimTouched */
  GHashTable *dirty_pairs;  /* ids whose pair_now is out of step */
  GHashTable *dirty_bodies; /* ids whose pairs may be in conflict */
  GHashTable *bodies_to_judge; /* ids whose pairs may be contradicted by the rest of the kit, or no longer */
  gboolean judge_all;
};

/* shim-register.c */
gboolean     shim_register_read_id        (ShimRegister *self, GError **error);

/* shim-change.c */
ShimTouched *shim_touched_new             (const ShimKind *kind, const char *id, const char *action);
void         shim_touched_free            (ShimTouched *self);
gboolean     shim_register_begin_as       (ShimRegister *self, const char *summary, const char *action, GError **error);
void         shim_register_touch          (ShimRegister *self, const ShimKind *kind, const char *id, const char *action);

/* shim-put.c */
gboolean     shim_register_put            (ShimRegister *self, ShimRecord *record, gboolean is_new, GError **error);
gboolean     shim_register_put_unguarded  (ShimRegister *self, ShimRecord *record, gboolean is_new, GError **error);
gboolean     shim_register_find_same      (ShimRegister *self, ShimRecord *record, char **id, const char **sentence,
                                           GError **error);
gboolean     shim_register_set_retracted  (ShimRegister *self, const ShimKind *kind, const char *id, gboolean retracted,
                                           GError **error);
gboolean     shim_register_is_retracted   (ShimRegister *self, const char *id, gboolean *is, GError **error);
ShimRecord  *shim_register_fetch          (ShimRegister *self, GType type, const char *id, gboolean retracted_too,
                                           GError **error);

/* shim-reference.c */
gboolean     shim_register_is_referred_to (ShimRegister *self, const ShimKind *kind, const char *id, gboolean *is,
                                           GError **error);
gboolean     shim_register_check_references (ShimRegister *self, ShimRecord *record, GError **error);

/* shim-guard.c: rules that need the register */
gboolean     shim_register_guard          (ShimRegister *self, ShimRecord *record, GError **error);

/* shim-pair-cache.c */
gboolean     shim_register_mark_dirty     (ShimRegister *self, ShimRecord *record, GError **error);
gboolean     shim_register_flush          (ShimRegister *self, GError **error);
gboolean     shim_register_mark_all_dirty (ShimRegister *self, GError **error);

/* shim-contradictions.c */
gboolean     shim_register_judge          (ShimRegister *self, GError **error);

/* shim-register-pairs.c */
gboolean     shim_register_add_pair_states (ShimRegister *self, GString *sql, guint states, ShimDueReasons reasons,
                                            const char *oldest, const char *ahead);
void         shim_register_dup_age_limits (ShimRegister *self, char **oldest, char **ahead);

/* shim-history.c */
gboolean     shim_register_write_history  (ShimRegister *self, GError **error);

/* shim-history-read.c */
char        *shim_register_value_to_words (ShimRegister *self, const ShimField *field, sqlite3_value *value);

/* shim-title.c */
char        *shim_register_dup_title      (ShimRegister *self, ShimRecord *record);

GType        shim_register_type_of        (const ShimKind *kind);
gint64       shim_register_now_s          (ShimRegister *self);

G_END_DECLS
