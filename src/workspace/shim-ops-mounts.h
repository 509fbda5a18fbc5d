/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-register.h"

G_BEGIN_DECLS

GPtrArray *shim_ops_mounts_list      (ShimRegister *reg, GError **error);
char     **shim_ops_mounts_dup_names (ShimRegister *reg, GError **error);
void       shim_ops_mounts_recognise (GPtrArray *mounts, ShimRecord *record);
gboolean   shim_ops_mounts_add       (ShimRegister *reg, GPtrArray *mounts, ShimRecord *record, GError **error);

G_END_DECLS
