/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <sqlite3.h>

#include "fault-vfs.h"

typedef struct
{
  sqlite3_file base;
  sqlite3_file *real;
} FaultFile;

static sqlite3_vfs *real_vfs;
static gboolean armed;
static FaultKind fault_kind;
static guint countdown;
static guint n_failed;

#define REAL(file) (((FaultFile *) (file))->real)

/* Once the disk has failed it goes on failing, as a full or broken one does. */
static gboolean
fails_now (gboolean is_sync)
{
  if (!armed || is_sync != (fault_kind == FAULT_SYNC))
    return FALSE;
  if (countdown > 0)
    {
      countdown--;
      return FALSE;
    }
  n_failed++;
  return TRUE;
}

static int
fault_close (sqlite3_file *file)
{
  int code = REAL (file)->pMethods != NULL ? REAL (file)->pMethods->xClose (REAL (file)) : SQLITE_OK;

  g_clear_pointer (&((FaultFile *) file)->real, g_free);
  return code;
}

static int
fault_read (sqlite3_file *file, void *data, int size, sqlite3_int64 offset)
{
  return REAL (file)->pMethods->xRead (REAL (file), data, size, offset);
}

static int
fault_write (sqlite3_file *file, const void *data, int size, sqlite3_int64 offset)
{
  if (!fails_now (FALSE))
    return REAL (file)->pMethods->xWrite (REAL (file), data, size, offset);
  if (fault_kind == FAULT_FULL)
    return SQLITE_FULL;
  /* Only the write at which it breaks leaves a torn page behind. */
  if (n_failed == 1)
    REAL (file)->pMethods->xWrite (REAL (file), data, size / 2, offset);
  return SQLITE_IOERR_WRITE;
}

static int
fault_truncate (sqlite3_file *file, sqlite3_int64 size)
{
  return REAL (file)->pMethods->xTruncate (REAL (file), size);
}

static int
fault_sync (sqlite3_file *file, int flags)
{
  /* No power is cut in a test, so the disk need not be bothered. */
  return fails_now (TRUE) ? SQLITE_IOERR_FSYNC : SQLITE_OK;
}

static int
fault_size (sqlite3_file *file, sqlite3_int64 *size)
{
  return REAL (file)->pMethods->xFileSize (REAL (file), size);
}

static int
fault_lock (sqlite3_file *file, int level)
{
  return REAL (file)->pMethods->xLock (REAL (file), level);
}

static int
fault_unlock (sqlite3_file *file, int level)
{
  return REAL (file)->pMethods->xUnlock (REAL (file), level);
}

static int
fault_check_lock (sqlite3_file *file, int *reserved)
{
  return REAL (file)->pMethods->xCheckReservedLock (REAL (file), reserved);
}

static int
fault_control (sqlite3_file *file, int operation, void *argument)
{
  return REAL (file)->pMethods->xFileControl (REAL (file), operation, argument);
}

static int
fault_sector_size (sqlite3_file *file)
{
  return REAL (file)->pMethods->xSectorSize (REAL (file));
}

static int
fault_device (sqlite3_file *file)
{
  return REAL (file)->pMethods->xDeviceCharacteristics (REAL (file));
}

static int
fault_shm_map (sqlite3_file *file, int page, int size, int extend, void volatile **memory)
{
  return REAL (file)->pMethods->xShmMap (REAL (file), page, size, extend, memory);
}

static int
fault_shm_lock (sqlite3_file *file, int offset, int n, int flags)
{
  return REAL (file)->pMethods->xShmLock (REAL (file), offset, n, flags);
}

static void
fault_shm_barrier (sqlite3_file *file)
{
  REAL (file)->pMethods->xShmBarrier (REAL (file));
}

static int
fault_shm_unmap (sqlite3_file *file, int delete_it)
{
  return REAL (file)->pMethods->xShmUnmap (REAL (file), delete_it);
}

static const sqlite3_io_methods methods = {
  .iVersion = 2,
  .xClose = fault_close,
  .xRead = fault_read,
  .xWrite = fault_write,
  .xTruncate = fault_truncate,
  .xSync = fault_sync,
  .xFileSize = fault_size,
  .xLock = fault_lock,
  .xUnlock = fault_unlock,
  .xCheckReservedLock = fault_check_lock,
  .xFileControl = fault_control,
  .xSectorSize = fault_sector_size,
  .xDeviceCharacteristics = fault_device,
  .xShmMap = fault_shm_map,
  .xShmLock = fault_shm_lock,
  .xShmBarrier = fault_shm_barrier,
  .xShmUnmap = fault_shm_unmap,
};

static int
fault_open (sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *out_flags)
{
  FaultFile *self = (FaultFile *) file;
  int code;

  self->real = g_malloc0 (real_vfs->szOsFile);
  code = real_vfs->xOpen (real_vfs, name, self->real, flags, out_flags);
  /* SQLite closes what has methods, also after a failure. */
  self->base.pMethods = self->real->pMethods != NULL ? &methods : NULL;
  if (self->base.pMethods == NULL)
    g_clear_pointer (&self->real, g_free);
  return code;
}

/**
 * fault_vfs_install:
 *
 * Puts the layer in; it does nothing until it is armed.
 */
void
fault_vfs_install (void)
{
  static sqlite3_vfs vfs;

  sqlite3_initialize ();
  real_vfs = sqlite3_vfs_find (NULL);
  vfs = *real_vfs;
  vfs.zName = "fault";
  vfs.szOsFile = sizeof (FaultFile);
  vfs.xOpen = fault_open;
  vfs.pNext = NULL;
  g_assert_cmpint (sqlite3_vfs_register (&vfs, TRUE), ==, SQLITE_OK);
}

/**
 * fault_vfs_arm:
 * @kind: what is to fail
 * @after: how many writes (or syncs) still succeed
 */
void
fault_vfs_arm (FaultKind kind, guint after)
{
  fault_kind = kind;
  countdown = after;
  n_failed = 0;
  armed = TRUE;
}

/**
 * fault_vfs_disarm:
 *
 * Returns: how often it failed
 */
guint
fault_vfs_disarm (void)
{
  armed = FALSE;
  return n_failed;
}
