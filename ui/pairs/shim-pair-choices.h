/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimPairChoices:
 * @job_ids: (array zero-terminated=1): ids of the jobs that are not archived, the latest first
 * @job_names: (array zero-terminated=1): their names, in the same order
 * @mounts: (array zero-terminated=1): names of the mounts that bodies of the kit have
 *
 * What the pairs can be narrowed down to.
 */
typedef struct
{
  char **job_ids;
  char **job_names;
  char **mounts;
} ShimPairChoices;

void             shim_pair_choices_free       (ShimPairChoices *self);
void             shim_pair_choices_read_async (ShimWorkspace *workspace, GCancellable *cancellable, GAsyncReadyCallback callback,
                                               gpointer user_data);
ShimPairChoices *shim_pair_choices_read_finish (ShimWorkspace *workspace, GAsyncResult *result, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPairChoices, shim_pair_choices_free)

G_END_DECLS
