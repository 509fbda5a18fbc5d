/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* F_OFD_SETLK */
#include "config.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gstdio.h>
#include <sqlite3.h>
#include <stdarg.h>

#include "shim-locks.h"

/* POSIX drops all locks of a process on a file as soon as any part of the process opens and closes that file. A file chooser does
 * just that to every file it lists (it looks into them for their type), and a register that lies in that folder would be
 * unlocked behind SQLite's back: the next program to close it takes itself for the last one and removes the log that this
 * process still writes to, and what is stored from then on is lost. ("How To Corrupt An SQLite Database File", section 2.2,
 * describes the trap.) Locks of the open file description do not have it, and exclude POSIX locks of others all the same.
 *
 * Within one process SQLite counts the locks of several connections itself and leaves them on the descriptor that took them
 * first. The one case where another descriptor would meet them is the last connection closing after the one that holds the
 * lock: it then finds the file in use, and leaves the log to be folded in by whoever opens the register next. */

#ifdef F_OFD_SETLK

static int
lock_description (int fd, int command, struct flock *lock)
{
  struct flock own = *lock;
  int result;

  own.l_pid = 0; /* the kernel insists */
  result = fcntl (fd, command, &own);
  if (result == 0 && command == F_OFD_GETLK)
    *lock = own;
  return result;
}

static int
fcntl_with_kept_locks (int fd, int command, ...)
{
  va_list args;
  void *argument;

  va_start (args, command);
  argument = va_arg (args, void *);
  va_end (args);
  switch (command)
    {
    case F_SETLK:
      return lock_description (fd, F_OFD_SETLK, argument);
    case F_SETLKW:
      return lock_description (fd, F_OFD_SETLKW, argument);
    case F_GETLK:
      return lock_description (fd, F_OFD_GETLK, argument);
    default:
      return fcntl (fd, command, argument);
    }
}

/* File systems of old kernels do not have such locks: better the usual ones than none. */
static gboolean
kernel_has_them (void)
{
  struct flock lock = { .l_type = F_RDLCK, .l_whence = SEEK_SET, .l_start = 0, .l_len = 1 };
  int fd = open ("/proc/self/exe", O_RDONLY | O_CLOEXEC);
  gboolean works = fd < 0 || lock_description (fd, F_OFD_GETLK, &lock) == 0 || errno != EINVAL;

  if (fd >= 0)
    g_close (fd, NULL);
  return works;
}

static gpointer
keep (gpointer data)
{
  sqlite3_vfs *vfs = sqlite3_vfs_find ("unix");

  if (vfs != NULL && vfs->iVersion >= 3 && kernel_has_them ())
    vfs->xSetSystemCall (vfs, "fcntl", (sqlite3_syscall_ptr) fcntl_with_kept_locks);
  return NULL;
}

#else

static gpointer
keep (gpointer data)
{
  return NULL;
}

#endif

/**
 * shim_locks_keep:
 *
 * Makes SQLite's locks survive other parts of this process opening and closing a register. Called before the first register is
 * opened; any thread.
 */
void
shim_locks_keep (void)
{
  static GOnce once = G_ONCE_INIT;

  g_once (&once, keep, NULL);
}
