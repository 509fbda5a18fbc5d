/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

/* The operations of shim-ops.h for the window: the same, on the register's thread. Arguments are copied; records handed in are
 * copied too, and are not changed. Each call names what its finish function hands out: shim_workspace_call_finish() for a
 * result (transfer full), shim_workspace_done_finish() for yes or no. */

/* kit */
void shim_workspace_get_async          (ShimWorkspace *self, GType type, const char *id, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimRecord */
/* @before: the record as the form first showed it: only what differs is stored */
void shim_workspace_save_async         (ShimWorkspace *self, ShimRecord *before, ShimRecord *record, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimRecord as stored, with its id */
void shim_workspace_set_archived_async (ShimWorkspace *self, const char *kind, const char *id, gboolean archived,
                                        GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data); /* done */
void shim_workspace_import_async       (ShimWorkspace *self, GPtrArray *records, ShimImportFlags flags, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimImportResult */
void shim_workspace_propose_async      (ShimWorkspace *self, const char *photo_path, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimProposal */
void shim_workspace_note_event_async   (ShimWorkspace *self, ShimEvent *event, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimEvent as stored */
void shim_workspace_take_back_event_async (ShimWorkspace *self, const char *event, GCancellable *cancellable,
                                           GAsyncReadyCallback callback, gpointer user_data); /* done */

/* slots */
void shim_workspace_slots_async        (ShimWorkspace *self, const char *body, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* GPtrArray of ShimSlot */
void shim_workspace_propose_slot_async (ShimWorkspace *self, const char *pair, gint64 wanted, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimSlotProposal */
void shim_workspace_key_in_async       (ShimWorkspace *self, const char *pair, gint64 number, gboolean overwrite,
                                        GCancellable *cancellable, GAsyncReadyCallback callback,
                                        gpointer user_data);                                 /* ShimSlotEntry */
void shim_workspace_clear_slot_async   (ShimWorkspace *self, const char *body, gint64 number, const char *note,
                                        GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data); /* done */
void shim_workspace_reset_body_async   (ShimWorkspace *self, const char *body, const char *happened_on, const char *note,
                                        GCancellable *cancellable, GAsyncReadyCallback callback,
                                        gpointer user_data);                                 /* GPtrArray of ShimSlot: the lost ones */

/* bench */
void shim_workspace_open_test_async    (ShimWorkspace *self, const ShimOpenTest *request, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimTest */
void shim_workspace_add_round_async    (ShimWorkspace *self, const char *test, gboolean reference, gint64 setting,
                                        GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data); /* ShimRound */
void shim_workspace_test_summary_async (ShimWorkspace *self, const char *test, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimTestSummary */
void shim_workspace_add_frames_async   (ShimWorkspace *self, const char *round, const char *const *paths, const ShimMarks *marks,
                                        ShimAddedFunc progress, gpointer progress_data, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* GPtrArray of ShimAddedFrame */
void shim_workspace_remeasure_async    (ShimWorkspace *self, const char *frame, const ShimMeasureRequest *given,
                                        GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data); /* ShimReading */
void shim_workspace_carry_marks_async  (ShimWorkspace *self, const char *frame, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* GPtrArray of ShimReading */
void shim_workspace_read_by_eye_async  (ShimWorkspace *self, const char *frame, const ShimEyeMarks *marks, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimReading */
void shim_workspace_set_use_async      (ShimWorkspace *self, const char *frame, gboolean use, const char *reason,
                                        GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data); /* done */
void shim_workspace_accept_async       (ShimWorkspace *self, const ShimAccept *request, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimDecision */
void shim_workspace_withdraw_async     (ShimWorkspace *self, const char *pair, const char *end, const char *note,
                                        GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data); /* done */

/* model; the model is kept until the register changes */
void shim_workspace_model_async        (ShimWorkspace *self, GCancellable *cancellable, GAsyncReadyCallback callback,
                                        gpointer user_data);                                 /* ShimModel */
void shim_workspace_predict_async      (ShimWorkspace *self, const char *body, const char *lens, const char *converter, double focal_mm,
                                        double distance_mm, GCancellable *cancellable, GAsyncReadyCallback callback,
                                        gpointer user_data);                                 /* ShimPairPrediction */
void shim_workspace_plan_slots_async   (ShimWorkspace *self, const char *body, const char *const *lenses, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimBodyPlan */

/* jobs */
void shim_workspace_create_job_async   (ShimWorkspace *self, const char *name, const char *on_date, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimJob */
void shim_workspace_add_job_item_async (ShimWorkspace *self, const char *job, const char *kind, const char *item,
                                        GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data); /* done */
void shim_workspace_remove_job_item_async (ShimWorkspace *self, const char *job, const char *item, GCancellable *cancellable,
                                           GAsyncReadyCallback callback, gpointer user_data); /* done */
void shim_workspace_copy_job_items_async (ShimWorkspace *self, const char *job, const char *from_job, GCancellable *cancellable,
                                          GAsyncReadyCallback callback, gpointer user_data); /* done */
void shim_workspace_add_serials_async  (ShimWorkspace *self, const char *job, const char *lines, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* ShimPickResult */
void shim_workspace_readiness_async    (ShimWorkspace *self, const char *job, GCancellable *cancellable,
                                        GAsyncReadyCallback callback, gpointer user_data);   /* GPtrArray of ShimNotReady */

G_END_DECLS
