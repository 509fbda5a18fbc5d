/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-db.h"
#include "shim-record.h"

G_BEGIN_DECLS

char    *shim_search_plain (const char *text);
char    *shim_search_sort_key (const char *title);
void     shim_search_lend_sort_key (ShimDb *db);
char    *shim_search_match (const char *kind, const char *plain);
gboolean shim_search_are_few (ShimDb *db, const char *match, gboolean *few, GError **error);
gboolean shim_search_put   (ShimDb *db, ShimRecord *record, GError **error);
gboolean shim_search_drop  (ShimDb *db, const char *id, GError **error);

G_END_DECLS
