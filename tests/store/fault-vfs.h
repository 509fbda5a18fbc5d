/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* A layer between SQLite and the disk that fails on demand. It becomes SQLite's default for the whole program. */

typedef enum
{
  FAULT_FULL,  /* no room: the write does nothing and says so */
  FAULT_SHORT, /* half of what was to be written gets there, then the disk fails */
  FAULT_SYNC,  /* what was written cannot be made to last */
} FaultKind;

void  fault_vfs_install (void);
void  fault_vfs_arm     (FaultKind kind, guint after);
guint fault_vfs_disarm  (void);

G_END_DECLS
