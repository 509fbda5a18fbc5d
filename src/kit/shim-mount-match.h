/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-mount.h"

G_BEGIN_DECLS

const char *shim_mount_match (GPtrArray *mounts, const char *text);

G_END_DECLS
