/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-propose.h"

G_BEGIN_DECLS

/**
 * ShimGathered:
 * @record: a body or a lens: from the register when @is_known, else a new one, not stored, without an id
 * @is_known: whether it is in the register
 * @n_photos: photographs that were taken with it
 * @system: the same number for items that were seen on each other, directly or by others, and so have one mount; from 0
 *
 * One item that photographs tell of.
 */
typedef struct
{
  ShimRecord *record;
  gboolean is_known;
  guint n_photos;
  guint system;
} ShimGathered;

/**
 * ShimGathering:
 * @items: (element-type ShimGathered): every item once, bodies before lenses
 * @n_systems: one more than the greatest @system of them
 * @unread: (element-type utf8): a sentence for each file that is no photograph or cannot be read
 * @n_photos: photographs that were read
 * @n_silent: those of them that name neither body nor lens
 *
 * What several photographs say of the kit that took them.
 */
typedef struct
{
  GPtrArray *items;
  GPtrArray *unread;
  guint n_systems;
  guint n_photos;
  guint n_silent;
} ShimGathering;

gboolean       shim_gathered_lacks_mount (const ShimGathered *self);
ShimRecord    *shim_gathered_dup_new   (const ShimGathered *self, const char *mount);
ShimGathering *shim_gathering_new      (void);
void           shim_gathering_free     (ShimGathering *self);
gboolean       shim_ops_gather_add     (ShimGathering *self, ShimRegister *reg, const ShimMetadata *metadata, GError **error);
ShimGathering *shim_ops_gather         (ShimRegister *reg, const char *const *paths, GCancellable *cancellable, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimGathering, shim_gathering_free)

G_END_DECLS
