/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

#define SHIM_TYPE_FOLDER_WATCH (shim_folder_watch_get_type ())
G_DECLARE_FINAL_TYPE (ShimFolderWatch, shim_folder_watch, SHIM, FOLDER_WATCH, GObject)

/**
 * ShimFolderWatch:
 *
 * A folder that tethering software or a card reader fills. Files that are there when the watch starts are known; each photograph that
 * comes later is handed out once, as soon as it is complete: its size and time stand still and, for a JPEG file, its end marker is there.
 * The folder is listened to (#GFileMonitor) and looked through every other second as well, since network folders do not always tell.
 * All of it happens in the main context the watch was made in.
 *
 * Signal "frame": (const char *path): a new photograph is complete; in the order the files got complete.
 * Signal "problem": (const char *sentence): the folder cannot be read any more, or a file stayed broken.
 */
ShimFolderWatch *shim_folder_watch_new          (const char *folder, GError **error);
const char      *shim_folder_watch_get_folder   (ShimFolderWatch *self);
guint            shim_folder_watch_get_n_pending (ShimFolderWatch *self);
void             shim_folder_watch_rescan       (ShimFolderWatch *self);
void             shim_folder_watch_stop         (ShimFolderWatch *self);

G_END_DECLS
