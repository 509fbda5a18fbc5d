/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

#include "shim-folder-scan.h"
#include "shim-luma-reader.h"

/* A file whose size and time stood still this long is not being written any more … */
#define STILL_US (200 * G_TIME_SPAN_MILLISECOND)
/* … except a raw file, which has no end marker to tell. It also waits for a JPEG of the same frame. */
#define STILL_RAW_US (2 * G_TIME_SPAN_SECOND)
/* Some cameras put data of their own behind the end marker: a file that stands still this long is tried by decoding it. */
#define STILL_TRY_US (2 * G_TIME_SPAN_SECOND)
/* A JPEG file without its end marker for this long stays broken. */
#define BROKEN_US (10 * G_TIME_SPAN_SECOND)

/* Some cameras fill up the file after the end marker. */
#define TAIL_BYTES 4096

/* Rows decoded at once when a file is tried. */
#define TRY_ROWS 64

static const char *const jpeg_suffixes[] = { ".jpg", ".jpeg", ".jpe" };

static const char *const raw_suffixes[] = {
  ".3fr", ".arw", ".cr2", ".cr3", ".crw", ".dcr", ".dng", ".erf", ".fff", ".iiq", ".kdc", ".mef", ".mos", ".mrw",
  ".nef", ".nrw", ".orf", ".pef", ".raf", ".raw", ".rw2", ".rwl", ".sr2", ".srf", ".srw", ".x3f",
};

typedef struct
{
  gint64 size;
  gint64 mtime_us;
  gint64 since_us;    /* unchanged since */
  gboolean is_raw;
  gboolean handed_out;
  gboolean tried;     /* to decode it, since it last changed */
  gboolean complained;
  guint round;        /* seen in this look */
} Entry;

struct _ShimFolderScan
{
  gatomicrefcount ref_count;
  char *folder;
  GHashTable *entries; /* name → Entry */
  guint round;
  gboolean unreadable;
};

/**
 * shim_folder_scan_new:
 * @folder: (type filename): a folder
 *
 * Returns: (transfer full): a scan that knows nothing yet
 */
ShimFolderScan *
shim_folder_scan_new (const char *folder)
{
  ShimFolderScan *self = g_new0 (ShimFolderScan, 1);

  g_atomic_ref_count_init (&self->ref_count);
  self->folder = g_strdup (folder);
  self->entries = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, g_free);
  return self;
}

/**
 * shim_folder_scan_ref:
 * @self: a scan
 *
 * Returns: (transfer full): @self
 */
ShimFolderScan *
shim_folder_scan_ref (ShimFolderScan *self)
{
  g_atomic_ref_count_inc (&self->ref_count);
  return self;
}

/**
 * shim_folder_scan_unref:
 * @self: (transfer full): a scan
 */
void
shim_folder_scan_unref (ShimFolderScan *self)
{
  if (!g_atomic_ref_count_dec (&self->ref_count))
    return;
  g_hash_table_unref (self->entries);
  g_free (self->folder);
  g_free (self);
}

/**
 * shim_folder_news_free:
 * @self: (nullable): news
 */
void
shim_folder_news_free (ShimFolderNews *self)
{
  if (self == NULL)
    return;
  g_ptr_array_unref (self->complete);
  g_ptr_array_unref (self->problems);
  g_free (self);
}

static gboolean
has_suffix (const char *name, const char *const *suffixes, gsize n)
{
  g_autofree char *lower = g_ascii_strdown (name, -1);

  for (gsize i = 0; i < n; i++)
    if (g_str_has_suffix (lower, suffixes[i]))
      return TRUE;
  return FALSE;
}

static gboolean
is_photograph (const char *name, gboolean *is_raw)
{
  *is_raw = has_suffix (name, raw_suffixes, G_N_ELEMENTS (raw_suffixes));
  return *name != '.' && (*is_raw || has_suffix (name, jpeg_suffixes, G_N_ELEMENTS (jpeg_suffixes)));
}

/* Whether the last thing in the file that is not padding is the end-of-image marker, FF D9. */
static gboolean
has_end_marker (const char *path)
{
  guint8 tail[TAIL_BYTES];
  const int fd = g_open (path, O_RDONLY | O_CLOEXEC, 0);
  off_t size;
  ssize_t n;

  if (fd < 0)
    return FALSE;
  size = lseek (fd, 0, SEEK_END);
  n = pread (fd, tail, sizeof tail, MAX (size - (off_t) sizeof tail, 0));
  close (fd);
  while (n > 0 && (tail[n - 1] == 0x00 || tail[n - 1] == 0xff))
    n--;
  return n >= 2 && tail[n - 2] == 0xff && tail[n - 1] == 0xd9;
}

static gboolean
go_on (int y0, int n_rows, const guint8 *px, gsize stride, gpointer user_data)
{
  return TRUE;
}

static gboolean
decodes (const char *path)
{
  g_autoptr (ShimPhoto) photo = shim_photo_open (path, NULL);

  return photo != NULL && shim_luma_stream (photo, TRY_ROWS, go_on, NULL, NULL, NULL);
}

static gboolean
is_whole_jpeg (Entry *entry, const char *path, gint64 still_us)
{
  if (still_us < STILL_US)
    return FALSE;
  if (has_end_marker (path))
    return TRUE;
  if (still_us < STILL_TRY_US || entry->tried)
    return FALSE;
  entry->tried = TRUE;
  return decodes (path);
}

/* Takes note of a file. NULL when it is none of ours. */
static Entry *
note_file (ShimFolderScan *self, const char *name, const char *path, gint64 now_us)
{
  gboolean is_raw;
  GStatBuf info;
  Entry *entry;
  gint64 mtime_us;

  if (!is_photograph (name, &is_raw) || g_stat (path, &info) != 0 || !S_ISREG (info.st_mode))
    return NULL;
  mtime_us = info.st_mtim.tv_sec * G_TIME_SPAN_SECOND + info.st_mtim.tv_nsec / 1000;
  entry = g_hash_table_lookup (self->entries, name);
  if (entry == NULL)
    {
      entry = g_new0 (Entry, 1);
      entry->since_us = now_us;
      entry->is_raw = is_raw;
      g_hash_table_insert (self->entries, g_strdup (name), entry);
    }
  else if (entry->size != info.st_size || entry->mtime_us != mtime_us)
    {
      entry->since_us = now_us;
      entry->tried = entry->complained = FALSE;
    }
  entry->size = info.st_size;
  entry->mtime_us = mtime_us;
  entry->round = self->round;
  return entry;
}

/* A camera that writes both makes one frame, not two: the JPEG goes before the raw file. */
static gboolean
has_jpeg_beside (ShimFolderScan *self, const char *name)
{
  const char *dot = strrchr (name, '.');
  GHashTableIter iter;
  gpointer other, entry;

  g_hash_table_iter_init (&iter, self->entries);
  while (g_hash_table_iter_next (&iter, &other, &entry))
    {
      const char *other_dot = strrchr (other, '.');

      if (!((Entry *) entry)->is_raw && other_dot - (const char *) other == dot - name
          && strncmp (other, name, dot - name) == 0)
        return TRUE;
    }
  return FALSE;
}

typedef struct
{
  char *path;
  gint64 mtime_us;
} Complete;

static void
judge (ShimFolderScan *self, const char *name, Entry *entry, gint64 now_us, GArray *complete, ShimFolderNews *news)
{
  const gint64 still_us = now_us - entry->since_us;
  g_autofree char *path = g_build_filename (self->folder, name, NULL);
  gboolean done;

  if (entry->handed_out)
    return;
  done = entry->size > 0 && (entry->is_raw ? still_us >= STILL_RAW_US : is_whole_jpeg (entry, path, still_us));
  if (done && entry->is_raw && has_jpeg_beside (self, name))
    entry->handed_out = TRUE;
  else if (done)
    {
      const Complete found = { g_steal_pointer (&path), entry->mtime_us };

      g_array_append_val (complete, found);
      entry->handed_out = TRUE;
    }
  else if (still_us < BROKEN_US)
    news->n_pending++;
  else if (!entry->complained)
    {
      entry->complained = TRUE;
      g_ptr_array_add (
          news->problems,
          g_strdup_printf (_ ("“%s” has stayed incomplete for a while. When it is finished, it will be taken in."),
                           name));
    }
}

static int
compare_complete (gconstpointer a, gconstpointer b)
{
  const Complete *left = a, *right = b;

  if (left->mtime_us != right->mtime_us)
    return left->mtime_us < right->mtime_us ? -1 : 1;
  return strcmp (left->path, right->path);
}

static gboolean
is_gone (gpointer name, gpointer entry, gpointer self)
{
  return ((Entry *) entry)->round != ((ShimFolderScan *) self)->round;
}

static gboolean
note_all (ShimFolderScan *self, gint64 now_us, GError **error)
{
  g_autoptr (GDir) dir = g_dir_open (self->folder, 0, error);
  const char *name;

  if (dir == NULL)
    return FALSE;
  self->round++;
  while ((name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (self->folder, name, NULL);

      note_file (self, name, path, now_us);
    }
  /* A name that comes back later is another photograph. */
  g_hash_table_foreach_remove (self->entries, is_gone, self);
  return TRUE;
}

/**
 * shim_folder_scan_start:
 * @self: a new scan
 * @error: a #GFileError when the folder cannot be read
 *
 * What is there already is known and is never handed out.
 *
 * Returns: whether the folder can be read
 */
gboolean
shim_folder_scan_start (ShimFolderScan *self, GError **error)
{
  GHashTableIter iter;
  gpointer entry;

  g_return_val_if_fail (self != NULL, FALSE);

  if (!note_all (self, 0, error))
    return FALSE;
  g_hash_table_iter_init (&iter, self->entries);
  while (g_hash_table_iter_next (&iter, NULL, &entry))
    ((Entry *) entry)->handed_out = TRUE;
  return TRUE;
}

/**
 * shim_folder_scan_look:
 * @self: a scan
 * @now_us: a clock that only goes forward, microseconds
 *
 * Looks through the folder once.
 *
 * Returns: (transfer full): what is new
 */
ShimFolderNews *
shim_folder_scan_look (ShimFolderScan *self, gint64 now_us)
{
  ShimFolderNews *news;
  g_autoptr (GArray) complete = NULL;
  g_autoptr (GError) error = NULL;
  GHashTableIter iter;
  gpointer name, entry;

  g_return_val_if_fail (self != NULL, NULL);

  news = g_new0 (ShimFolderNews, 1);
  news->complete = g_ptr_array_new_with_free_func (g_free);
  news->problems = g_ptr_array_new_with_free_func (g_free);
  if (!note_all (self, now_us, &error))
    {
      if (!self->unreadable)
        g_ptr_array_add (news->problems,
                         g_strdup_printf (_ ("The folder cannot be read any more: %s"), error->message));
      self->unreadable = TRUE;
      return news;
    }
  self->unreadable = FALSE;
  complete = g_array_new (FALSE, FALSE, sizeof (Complete));
  g_hash_table_iter_init (&iter, self->entries);
  while (g_hash_table_iter_next (&iter, &name, &entry))
    judge (self, name, entry, now_us, complete, news);
  g_array_sort (complete, compare_complete);
  for (guint i = 0; i < complete->len; i++)
    g_ptr_array_add (news->complete, g_array_index (complete, Complete, i).path);
  return news;
}
