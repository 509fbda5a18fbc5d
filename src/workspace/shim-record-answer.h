/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-register.h"

G_BEGIN_DECLS

/**
 * ShimRecordQuestion:
 *
 * What a list asks the register's thread.
 * @type: kind of record
 * @query: which, in which order
 * @most: rows wanted, 0 = all
 * @held_ids: (array zero-terminated=1): records that somebody holds
 */
typedef struct
{
  GType type;
  ShimQuery *query;
  guint most;
  char **held_ids;
} ShimRecordQuestion;

/**
 * ShimRecordAnswer:
 * @ids: (element-type utf8): the rows
 * @is_part: whether there are more
 * @held: (element-type utf8 ShimRecord): new values of those that somebody holds, by id
 */
typedef struct
{
  GPtrArray *ids;
  gboolean is_part;
  GHashTable *held;
} ShimRecordAnswer;

GHashTable *shim_records_by_ids      (ShimRegister *reg, GType type, const char *const *ids, GError **error);
void       shim_record_question_free (ShimRecordQuestion *question);
void       shim_record_answer_free   (ShimRecordAnswer *answer);
gpointer   shim_record_answer        (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimRecordAnswer, shim_record_answer_free)

G_END_DECLS
