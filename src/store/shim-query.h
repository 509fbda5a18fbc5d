/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-due.h"
#include "shim-record.h"

G_BEGIN_DECLS

/**
 * ShimQuery:
 *
 * Which records of one kind are wanted, and in which order. Fields are named as in the kind's field table (or "id");
 * an unknown name makes the read fail with %SHIM_STORE_ERROR_FAILED. Values are always bound, never put into SQL text.
 */
typedef struct _ShimQuery ShimQuery;

ShimQuery *shim_query_new                  (void);
ShimQuery *shim_query_copy                 (const ShimQuery *self);
gboolean   shim_query_equal                (const ShimQuery *self, const ShimQuery *other);
void       shim_query_free                 (ShimQuery *self);

/**
 * shim_query_set_search:
 * @self: a query
 * @words: (nullable): what somebody typed; every word must begin a word of the record's searched fields, or be part of its
 *   serial (three characters and more); case and accents do not count; %NULL or blanks = everything
 */
void       shim_query_set_search           (ShimQuery *self, const char *words);

/**
 * shim_query_add_filter:
 * @self: a query
 * @field: name of a field, or "id"
 * @value: (nullable): what it must be, as text ("model", "-20", "1" for yes); %NULL = not known
 *
 * Filters on several fields must all hold.
 */
void       shim_query_add_filter           (ShimQuery *self, const char *field, const char *value);

/**
 * shim_query_add_filter_in:
 * @self: a query
 * @field: name of a field, or "id"
 * @values: (array zero-terminated=1): what it may be; an empty array matches nothing
 */
void       shim_query_add_filter_in        (ShimQuery *self, const char *field, const char *const *values);

/**
 * shim_query_set_job:
 * @self: a query for bodies, lenses, converters or adapters
 * @job: (nullable): id of a job: only items that it takes along
 */
void       shim_query_set_job              (ShimQuery *self, const char *job);

/**
 * shim_query_leave_out:
 * @self: a query
 * @id: (nullable): of a record that is not wanted
 */
void       shim_query_leave_out            (ShimQuery *self, const char *id);

/**
 * shim_query_set_pair_states:
 * @self: a query for bodies or lenses
 * @states: bits 1 << #ShimPairState: only items with a pair in one of them; 0 = all
 * @reasons: #ShimDueReasons: only items with a pair that is due for one of them; 0 = all
 * @conflict: whether only items with a pair in conflict are wanted, see #ShimPairFilter
 */
void       shim_query_set_pair_states      (ShimQuery *self, guint states, ShimDueReasons reasons, gboolean conflict);

/**
 * shim_query_add_order:
 * @self: a query
 * @field: name of a field, or "id" (which is the order of entry)
 * @descending: whether the greatest comes first
 *
 * The first call is the foremost order. Texts are ordered without regard to case; not known comes last. Rows that are alike in
 * all of them come in the order of entry.
 */
void       shim_query_add_order            (ShimQuery *self, const char *field, gboolean descending);

/**
 * shim_query_set_window:
 * @self: a query
 * @offset: how many to skip
 * @limit: how many at most; 0 = all
 */
void       shim_query_set_window           (ShimQuery *self, guint offset, guint limit);

/**
 * shim_query_set_include_archived:
 * @self: a query
 * @include: whether archived records are wanted too; without the call they are not
 */
void       shim_query_set_include_archived (ShimQuery *self, gboolean include);

/**
 * shim_query_set_include_blobs:
 * @self: a query
 * @include: whether blob fields (a frame's evidence) are read too; without the call they stay %NULL
 */
void       shim_query_set_include_blobs    (ShimQuery *self, gboolean include);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimQuery, shim_query_free)

G_END_DECLS
