/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-record-answer.h"

/**
 * shim_record_question_free:
 * @question: (transfer full): a question
 */
void
shim_record_question_free (ShimRecordQuestion *question)
{
  shim_query_free (question->query);
  g_strfreev (question->held_ids);
  g_free (question);
}

/**
 * shim_record_answer_free:
 * @answer: (transfer full): an answer
 */
void
shim_record_answer_free (ShimRecordAnswer *answer)
{
  g_clear_pointer (&answer->ids, g_ptr_array_unref);
  g_clear_pointer (&answer->held, g_hash_table_unref);
  g_free (answer);
}

/**
 * shim_records_by_ids:
 * @reg: a register
 * @type: kind of record
 * @ids: (array zero-terminated=1): which, archived ones too
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (element-type utf8 ShimRecord) (nullable): those that exist, by id
 */
GHashTable *
shim_records_by_ids (ShimRegister *reg, GType type, const char *const *ids, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) records = NULL;
  GHashTable *by_id;

  shim_query_add_filter_in (query, "id", ids);
  shim_query_set_include_archived (query, TRUE);
  records = shim_register_list (reg, type, query, error);
  if (records == NULL)
    return NULL;
  by_id = g_hash_table_new_full (g_str_hash, g_str_equal, NULL, g_object_unref);
  for (guint i = 0; i < records->len; i++)
    g_hash_table_insert (by_id, (gpointer) shim_record_get_id (records->pdata[i]), g_object_ref (records->pdata[i]));
  return by_id;
}

/**
 * shim_record_answer:
 * @reg: the register, in its own thread
 * @data: a #ShimRecordQuestion
 * @cancellable: (nullable): to stop early
 * @error: a #ShimStoreError
 *
 * A #ShimRegisterFunc.
 *
 * Returns: (transfer full) (nullable): a #ShimRecordAnswer
 */
gpointer
shim_record_answer (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimRecordQuestion *question = data;
  g_autoptr (ShimRecordAnswer) answer = g_new0 (ShimRecordAnswer, 1);

  if (question->most > 0)
    shim_query_set_window (question->query, 0, question->most + 1);
  answer->ids = shim_register_list_ids (reg, question->type, question->query, error);
  if (answer->ids == NULL)
    return NULL;
  answer->is_part = question->most > 0 && answer->ids->len > question->most;
  if (answer->is_part)
    g_ptr_array_set_size (answer->ids, (int) question->most);
  answer->held = shim_records_by_ids (reg, question->type, (const char *const *) question->held_ids, error);
  if (answer->held == NULL)
    return NULL;
  return g_steal_pointer (&answer);
}
