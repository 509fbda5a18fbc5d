/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-job-kit.h"
#include "shim-register.h"

G_BEGIN_DECLS

/**
 * shim_register_slots:
 * @self: a register
 * @body: id
 *
 * Returns: (transfer full) (element-type ShimSlot) (nullable): every slot of a body by number, free ones included (for a body without
 *   limit: the used ones)
 */
GPtrArray   *shim_register_slots            (ShimRegister *self, const char *body, GError **error);

/**
 * shim_register_slot_counts:
 * @self: a register
 * @bodies: (array length=n): ids
 * @n: how many
 * @counts: (out caller-allocates) (array length=n): one each
 */
gboolean     shim_register_slot_counts      (ShimRegister *self, const char *const *bodies, guint n, ShimSlotCount *counts,
                                             GError **error);

/**
 * shim_register_next_slot:
 * @self: a register
 * @body: id
 * @pair: (nullable): id; the slot that holds or held this pair comes first
 *
 * Returns: the slot to key into next; 0 when no slot is left; -1 with @error set
 */
gint64       shim_register_next_slot        (ShimRegister *self, const char *body, const char *pair, GError **error);

/**
 * shim_register_lose_slots:
 * @self: a register
 * @body: id of a body that was reset
 * @note: (nullable): written into the entries
 * @n_lost: (out) (optional): how many slots held a value
 *
 * Writes a "lost" entry for every slot that holds a value. Belongs into one change with the event that tells of the reset.
 */
gboolean     shim_register_lose_slots       (ShimRegister *self, const char *body, const char *note, guint *n_lost,
                                             GError **error);

/**
 * ShimTestFrame:
 * @frame: the frame, without its evidence picture (shim_register_get() has it)
 * @program: (nullable): newest reading by the program
 * @eye: (nullable): newest reading by eye
 * @verdict: (nullable): newest verdict
 */
typedef struct
{
  ShimFrame *frame;
  ShimReading *program;
  ShimReading *eye;
  ShimVerdict *verdict;
} ShimTestFrame;

/**
 * ShimTestRound:
 * @round: the round
 * @frames: (element-type ShimTestFrame): in the order they came in
 */
typedef struct
{
  ShimRound *round;
  GPtrArray *frames;
} ShimTestRound;

/**
 * ShimTestTree:
 * @test: the test
 * @rounds: (element-type ShimTestRound): in the order they were started
 * @decisions: (element-type ShimDecision): decisions that name the test, newest first
 */
typedef struct
{
  ShimTest *test;
  GPtrArray *rounds;
  GPtrArray *decisions;
} ShimTestTree;

void          shim_test_tree_free           (ShimTestTree *self);

/**
 * shim_register_test_tree:
 * @self: a register
 * @test: id
 *
 * Returns: (transfer full) (nullable): a test with all that belongs to it
 */
ShimTestTree *shim_register_test_tree       (ShimRegister *self, const char *test, GError **error);

/**
 * shim_register_find_frame:
 * @self: a register
 * @test: id
 * @sha256: of a file
 *
 * Returns: (transfer full) (nullable): the frame of the test that is this very file; %NULL without @error when there is none
 */
ShimRecord   *shim_register_find_frame      (ShimRegister *self, const char *test, const char *sha256, GError **error);

/**
 * shim_register_job_kit:
 * @self: a register
 * @job: (nullable): id; %NULL = the whole kit that is not archived
 *
 * Returns: (transfer full) (nullable): all that is needed for shim_job_kit_readiness() and the kit sheet
 */
ShimJobKit   *shim_register_job_kit         (ShimRegister *self, const char *job, GError **error);

/**
 * shim_register_mounts_for:
 * @self: a register
 * @body_mount: name of a body's mount
 *
 * Returns: (transfer full) (array zero-terminated=1) (nullable): names of the mounts whose lenses go on it, directly or through an
 *   adapter of the kit that is not archived
 */
char        **shim_register_mounts_for      (ShimRegister *self, const char *body_mount, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimTestTree, shim_test_tree_free)

G_END_DECLS
