/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <malloc.h>
#include <stdlib.h>
#include <sys/mman.h>

#include "shim-pixels.h"

/* Touching fresh memory page by page costs more than decoding into it: 136 MB took 400 ms by pages of 4 KiB, 9 ms by
 * huge ones. */
#define HUGE_PAGE_BYTES ((gsize) 2 * 1024 * 1024)

/* A window of 2560 × 1600 takes 16 MiB; a frame of it needs two or three such buffers for a moment. */
#define LARGEST_KEPT_BYTES (16 * 1024 * 1024)
#define KEPT_BYTES (3 * LARGEST_KEPT_BYTES)

/**
 * shim_pixels_keep_freed:
 *
 * Lets the C library keep what is freed for the next frame: a window that is painted anew in every frame would
 * otherwise get its buffers from the system each time, page by page. To be called once, early, by a program with a
 * window.
 */
void
shim_pixels_keep_freed (void)
{
#ifdef __GLIBC__
  mallopt (M_MMAP_THRESHOLD, LARGEST_KEPT_BYTES);
  mallopt (M_TRIM_THRESHOLD, KEPT_BYTES);
#endif
}

/**
 * shim_pixels_allocate:
 * @n_bytes: how much
 *
 * Returns: (transfer full) (nullable): memory on huge pages where the system has them, to be freed by free(); %NULL
 *   when there is not so much
 */
guint8 *
shim_pixels_allocate (gsize n_bytes)
{
  guint8 *pixels;

  if (n_bytes < HUGE_PAGE_BYTES)
    return malloc (n_bytes);
  n_bytes = (n_bytes + HUGE_PAGE_BYTES - 1) / HUGE_PAGE_BYTES * HUGE_PAGE_BYTES;
  pixels = aligned_alloc (HUGE_PAGE_BYTES, n_bytes);
  if (pixels != NULL)
    madvise (pixels, n_bytes, MADV_HUGEPAGE);
  return pixels;
}
