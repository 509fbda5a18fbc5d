/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-db.h"
#include "shim-register.h"

G_BEGIN_DECLS

/* "Shim" in ASCII; tells our files from other people's databases. */
#define SHIM_SCHEMA_APPLICATION_ID 0x5368696d

ShimDb  *shim_schema_open         (const char *path, ShimRegisterFlags flags, const char *const *steps, GError **error);
char   **shim_schema_dup_steps    (void);
ShimDb  *shim_schema_open_as_it_lies (const char *path, GError **error);
gboolean shim_schema_is_whole     (ShimDb *db, GError **error);
gboolean shim_schema_is_register  (const char *path, GError **error);

G_END_DECLS
