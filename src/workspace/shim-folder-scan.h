/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

/**
 * ShimFolderScan:
 *
 * What is known of a folder from looking through it again and again. One thread at a time.
 */
typedef struct _ShimFolderScan ShimFolderScan;

/**
 * ShimFolderNews:
 * @complete: (element-type filename): paths of the photographs that have become complete, the oldest first
 * @problems: (element-type utf8): sentences
 * @n_pending: photographs that are there but not complete yet
 */
typedef struct
{
  GPtrArray *complete;
  GPtrArray *problems;
  guint n_pending;
} ShimFolderNews;

ShimFolderScan *shim_folder_scan_new   (const char *folder);
ShimFolderScan *shim_folder_scan_ref   (ShimFolderScan *self);
void            shim_folder_scan_unref (ShimFolderScan *self);
gboolean        shim_folder_scan_start (ShimFolderScan *self, GError **error);
ShimFolderNews *shim_folder_scan_look  (ShimFolderScan *self, gint64 now_us);
void            shim_folder_news_free  (ShimFolderNews *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimFolderScan, shim_folder_scan_unref)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimFolderNews, shim_folder_news_free)

G_END_DECLS
