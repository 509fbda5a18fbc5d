/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-history-entry.h"
#include "shim-query.h"
#include "shim-store-error.h"

G_BEGIN_DECLS

/**
 * ShimRegister:
 *
 * The open register: one SQLite file. Not thread-safe: one thread at a time may use it (any number of registers, also on the same
 * file, may be open at once). Every function that can fail gives a #ShimStoreError (or a #ShimKitError where a record itself is
 * not acceptable) whose message is a whole sentence for people, and leaves the register as it was.
 */
typedef struct _ShimRegister ShimRegister;

/**
 * ShimRegisterFlags:
 * @SHIM_REGISTER_CREATE: make the file (and its folder) when it is not there
 * @SHIM_REGISTER_READ_ONLY: never write
 */
typedef enum
{
  SHIM_REGISTER_DEFAULT = 0,
  SHIM_REGISTER_CREATE = 1 << 0,
  SHIM_REGISTER_READ_ONLY = 1 << 1,
} ShimRegisterFlags;

/**
 * shim_register_open:
 * @path: the register file
 * @flags: how
 * @error: OPEN (missing, no permission), READ_ONLY, NOT_A_REGISTER, NEWER, CORRUPT, BUSY or FULL
 *
 * An older register is copied to "NAME-before-vN.EXTENSION" beside it and then brought up to date in one transaction.
 *
 * Returns: (transfer full) (nullable): the open register
 */
ShimRegister *shim_register_open              (const char *path, ShimRegisterFlags flags, GError **error);
void          shim_register_free              (ShimRegister *self);
const char   *shim_register_get_path          (ShimRegister *self);
gboolean      shim_register_is_read_only      (ShimRegister *self);

/**
 * shim_register_get_id:
 *
 * Returns: (transfer none): the UUID that tells this register from others
 */
const char   *shim_register_get_id            (ShimRegister *self);

/**
 * shim_register_set_who:
 * @self: a register
 * @who: (nullable): name written into the history from now on; %NULL = the user's login name
 */
void          shim_register_set_who           (ShimRegister *self, const char *who);

/**
 * shim_register_set_clock:
 * @self: a register
 * @unix_s: seconds since 1970-01-01 UTC taken for the present; 0 = the real clock
 *
 * Ages and "due" count from it. For tests and for a kit sheet of another day.
 */
void          shim_register_set_clock         (ShimRegister *self, gint64 unix_s);

/**
 * shim_register_set_max_age:
 * @self: a register
 * @days: how old a test may be before its pair is due; 0 = any age; without the call 365
 */
void          shim_register_set_max_age       (ShimRegister *self, double days);

/**
 * shim_register_set_patience:
 * @self: a register
 * @ms: how long to wait for another program that is writing before giving up with BUSY; without the call 5000
 */
void          shim_register_set_patience      (ShimRegister *self, guint ms);

/**
 * shim_register_now:
 *
 * Returns: (transfer full): the present as the register sees it, "YYYY-MM-DDTHH:MM:SSZ"
 */
char         *shim_register_now               (ShimRegister *self);

/**
 * shim_register_interrupt:
 * @self: a register
 *
 * Makes the read or write that runs in the register's thread end with %G_IO_ERROR_CANCELLED. The only function that may be called
 * from another thread.
 */
void          shim_register_interrupt         (ShimRegister *self);

/**
 * shim_register_data_version:
 * @self: a register
 *
 * Returns: a number that is another one after somebody else (another window, shimbookctl) changed the register; own changes do
 *   not alter it. -1 when it cannot be read
 */
gint64        shim_register_data_version      (ShimRegister *self);

/* --- Changing. One begin … commit is one change: one line of the history, one step of undo. --- */

/**
 * shim_register_begin:
 * @self: a register
 * @summary: (nullable): what the change is, a translated phrase for history and undo: "Add lens 85 mm"; %NULL = made from the
 *   first record that is written
 * @error: BUSY, READ_ONLY …
 *
 * Calls may be nested: an inner one joins the outer one. Every successful begin needs one commit or rollback.
 */
gboolean      shim_register_begin             (ShimRegister *self, const char *summary, GError **error);

/**
 * shim_register_commit:
 *
 * The outermost one writes history and commits. When an inner change was rolled back, or committing fails, all of it is rolled back
 * and %FALSE returned. A change that altered nothing leaves no history.
 */
gboolean      shim_register_commit            (ShimRegister *self, GError **error);
void          shim_register_rollback          (ShimRegister *self);

/**
 * shim_register_insert:
 * @self: a register
 * @record: a record; when it has no id it is given one (a UUID that sorts in the order of entry)
 * @error: a #ShimKitError of shim_record_check(), DUPLICATE (also: a frame's SHA-256 a second time in one test, a second job
 *   item, mount name, or pair of the same items), CONSTRAINT (a reference to nothing; the mount does not take the lens; a frame's
 *   serials contradict the pair and its override is not set; a setting outside the body's range), BUSY, FULL …
 *
 * Outside a begin … commit it is a change of its own.
 */
gboolean      shim_register_insert            (ShimRegister *self, ShimRecord *record, GError **error);

/**
 * shim_register_update:
 * @self: a register
 * @record: a changed record of a kind that is not evidence
 * @error: as for insert, and NOT_FOUND
 */
gboolean      shim_register_update            (ShimRegister *self, ShimRecord *record, GError **error);

/**
 * shim_register_remove:
 * @self: a register
 * @type: a record type that is not evidence
 * @id: its id
 * @error: NOT_FOUND; CONSTRAINT when something else refers to it (archive it instead)
 */
gboolean      shim_register_remove            (ShimRegister *self, GType type, const char *id, GError **error);

/* --- Reading. Evidence that was undone is left out everywhere. --- */

/**
 * shim_register_get:
 *
 * Returns: (transfer full) (nullable): the record, blobs included; %NULL with NOT_FOUND when there is none
 */
ShimRecord   *shim_register_get               (ShimRegister *self, GType type, const char *id, GError **error);

/**
 * shim_register_list:
 * @self: a register
 * @type: a record type
 * @query: (nullable): which ones; %NULL = all that are not archived, in the order of entry
 *
 * Returns: (transfer full) (element-type ShimRecord) (nullable): the records
 */
GPtrArray    *shim_register_list              (ShimRegister *self, GType type, const ShimQuery *query, GError **error);

/**
 * shim_register_list_ids:
 *
 * Returns: (transfer full) (element-type utf8) (nullable): ids of what shim_register_list() would give, in the same order; much cheaper
 */
GPtrArray    *shim_register_list_ids          (ShimRegister *self, GType type, const ShimQuery *query, GError **error);

/**
 * shim_register_count:
 *
 * Returns: how many shim_register_list() would give without its window; -1 with @error set
 */
gint64        shim_register_count             (ShimRegister *self, GType type, const ShimQuery *query, GError **error);

/**
 * ShimFound:
 * @kind: name of the kind: "lens"
 * @id: its id
 * @title: (nullable): its name
 */
typedef struct
{
  char *kind;
  char *id;
  char *title;
} ShimFound;

void          shim_found_free                 (ShimFound *self);

/**
 * shim_register_search:
 * @self: a register
 * @words: as typed, see shim_query_set_search()
 * @limit: how many at most
 *
 * Search over everything: items, mounts, jobs, events, notes of pairs, tests and decisions.
 *
 * Returns: (transfer full) (element-type ShimFound) (nullable): what was found, bodies, lenses and converters first
 */
GPtrArray    *shim_register_search            (ShimRegister *self, const char *words, guint limit, GError **error);

/**
 * shim_register_find_serial:
 * @self: a register
 * @type: body, lens, converter or adapter
 * @serial: exactly as engraved or as in a photograph's metadata; surrounding blanks do not count
 *
 * Returns: (transfer full) (element-type ShimRecord) (nullable): the items, archived ones last; empty when there is none
 */
GPtrArray    *shim_register_find_serial       (ShimRegister *self, GType type, const char *serial, GError **error);

/* --- Undo and history --- */

/**
 * shim_register_undo:
 * @self: a register
 * @summary: (out) (optional) (transfer full): what was undone
 * @error: NOTHING (nothing to undo); CONFLICT (a later change touched the same records)
 *
 * Takes back the newest change that is not undone yet, whoever made it. Evidence is not deleted but retracted.
 */
gboolean      shim_register_undo              (ShimRegister *self, char **summary, GError **error);
gboolean      shim_register_redo              (ShimRegister *self, char **summary, GError **error);

/**
 * shim_register_undo_entry:
 * @self: a register
 * @entry: id of a line of the history
 * @undo: %TRUE to undo it, %FALSE to do it again
 * @summary: (out) (optional) (transfer full): what it was
 * @error: NOTHING (there is no such change, or it is undone, or done, already); CONFLICT (something later depends on it)
 *
 * As shim_register_undo(), for a change that need not be the newest: what was changed since elsewhere stays.
 */
gboolean      shim_register_undo_entry        (ShimRegister *self, const char *entry, gboolean undo, char **summary, GError **error);

/**
 * shim_register_can_undo:
 * @self: a register
 * @summary: (out) (optional) (transfer full) (nullable): what would be undone
 */
gboolean      shim_register_can_undo          (ShimRegister *self, char **summary);
gboolean      shim_register_can_redo          (ShimRegister *self, char **summary);

/**
 * shim_register_history:
 * @self: a register
 * @item: (nullable): id of any record; %NULL = everything. What happened to an item (its events) belongs to its history
 * @limit: how many at most; 0 = all
 * @offset: how many to skip
 *
 * Returns: (transfer full) (element-type ShimHistoryEntry) (nullable): newest first
 */
GPtrArray    *shim_register_history           (ShimRegister *self, const char *item, guint limit, guint offset, GError **error);

/* --- Care --- */

/**
 * shim_register_backup:
 * @self: a register, open or being written by others too
 * @path: where to; a folder that exists
 * @overwrite: whether a register that lies there may be replaced
 * @error: DUPLICATE when a file is there and @overwrite is not set, or when it is not a register; OPEN, FULL …
 */
gboolean      shim_register_backup            (ShimRegister *self, const char *path, gboolean overwrite, GError **error);

/**
 * ShimBackupInfo:
 * @is_same: whether it is a backup of the register asked, else another register
 * @changed_at: when it was changed last
 * @n_bodies: bodies in it
 * @n_lenses: lenses in it
 * @n_decisions: settings decided, those that were decided anew since included
 *
 * What a backup holds.
 */
typedef struct
{
  gboolean is_same;
  char *changed_at;
  gint64 n_bodies;
  gint64 n_lenses;
  gint64 n_decisions;
} ShimBackupInfo;

/**
 * shim_register_look_at_backup:
 * @self: a register
 * @path: a register that may take its place
 * @error: NOT_A_REGISTER, NEWER, OPEN …
 *
 * Returns: (transfer full) (nullable): what it holds
 */
ShimBackupInfo *shim_register_look_at_backup  (ShimRegister *self, const char *path, GError **error);
void          shim_backup_info_free           (ShimBackupInfo *self);

/**
 * shim_register_restore:
 * @self: a register; others may have it open too
 * @path: a register, whose content takes the place of that of @self; the file itself is left as it is
 * @kept: (out) (optional) (transfer full): the copy that was made of what is replaced
 * @error: NOT_A_REGISTER, NEWER, CORRUPT, BUSY, FULL … @self is then as it was
 *
 * Puts a backup back. A backup of an older version is brought up to date on the way.
 */
gboolean      shim_register_restore           (ShimRegister *self, const char *path, char **kept, GError **error);

/**
 * shim_register_check:
 * @self: a register
 * @problems: (out) (transfer full) (element-type utf8): a sentence each; empty when all is well
 *
 * Looks at the file, at every reference, and at our own rules.
 *
 * Returns: whether it could be checked at all (not: whether it is well)
 */
gboolean      shim_register_check             (ShimRegister *self, GPtrArray **problems, GError **error);

/**
 * shim_register_rebuild:
 *
 * Makes everything that is worked out from the rest (search words, state of the pairs) anew.
 */
gboolean      shim_register_rebuild           (ShimRegister *self, GError **error);

/**
 * ShimMergeConflict:
 * @kind: name of the kind
 * @id: id of the record
 * @title: its name
 * @field: (nullable): label of the field; %NULL for a record as a whole
 * @ours: (nullable): what this register said
 * @theirs: (nullable): what the other one said
 * @kept_theirs: whether theirs, the newer one, was taken
 */
typedef struct
{
  char *kind;
  char *id;
  char *title;
  char *field;
  char *ours;
  char *theirs;
  gboolean kept_theirs;
} ShimMergeConflict;

/**
 * ShimMergeReport:
 * @added: records that were new
 * @updated: records that changed
 * @unchanged: records that were alike
 * @conflicts: (element-type ShimMergeConflict): contradictions and how they were settled; what lost is in the history
 */
typedef struct
{
  guint added;
  guint updated;
  guint unchanged;
  GPtrArray *conflicts;
} ShimMergeReport;

void             shim_merge_report_free       (ShimMergeReport *self);

/**
 * shim_register_merge:
 * @self: a register
 * @other: path of another register; it is read only
 * @dry_run: only report
 *
 * Takes over what another register has: evidence as it is, items by id; where both changed a field, the newer change wins. One
 * change, so one undo takes all of it back.
 *
 * Returns: (transfer full) (nullable): what was done
 */
ShimMergeReport *shim_register_merge          (ShimRegister *self, const char *other, gboolean dry_run, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimRegister, shim_register_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimFound, shim_found_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimBackupInfo, shim_backup_info_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimMergeReport, shim_merge_report_free)

G_END_DECLS
