/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <sqlite3.h>

#include "shim-uuid.h"

/* Ids made within one millisecond still sort: the time stamp of this program never stands still or goes back. RFC 9562 section
 * 6.2 allows it ("monotonicity by incrementing"); the counter is shared by all registers of the program. */
static guint64 last_stamp;
static GMutex last_stamp_lock;

/* Milliseconds since 1970 in the upper 48 bits, 12 bits of fraction and counter below them. */
static guint64
next_stamp (void)
{
  guint64 us = (guint64) g_get_real_time ();
  guint64 stamp = ((us / 1000) << 12) | ((us % 1000) * 4096 / 1000);

  g_mutex_lock (&last_stamp_lock);
  if (stamp <= last_stamp)
    stamp = last_stamp + 1;
  last_stamp = stamp;
  g_mutex_unlock (&last_stamp_lock);
  return stamp;
}

/**
 * shim_uuid_new:
 *
 * A UUID of version 7 (RFC 9562 section 5.7): it sorts, as text, in the order of making.
 *
 * Returns: (transfer full): 36 characters, lower case
 */
char *
shim_uuid_new (void)
{
  guint64 stamp = next_stamp ();
  guint64 random;

  sqlite3_randomness (sizeof random, &random);
  return g_strdup_printf ("%08x-%04x-7%03x-%04x-%012" G_GINT64_MODIFIER "x", (guint) (stamp >> 28),
                          (guint) ((stamp >> 12) & 0xffff), (guint) (stamp & 0xfff),
                          (guint) (0x8000 | ((random >> 48) & 0x3fff)), random & G_GUINT64_CONSTANT (0xffffffffffff));
}
