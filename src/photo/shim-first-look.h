/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-photo.h"
#include "shim-reduced-luma.h"
#include "shim-survey.h"

G_BEGIN_DECLS

/* Private to the photo layer: one pass over a whole photograph, in which the ruler is looked for. */

typedef struct _ShimFirstLook ShimFirstLook;

ShimFirstLook     *shim_first_look            (ShimPhoto *photo, gboolean two_threads, gsize keep_bytes,
                                               GCancellable *cancellable, GError **error);
const ShimSurvey  *shim_first_look_get_survey (const ShimFirstLook *self);
const ShimReducedLuma *shim_first_look_get_reduced (const ShimFirstLook *self);
gboolean           shim_first_look_get_luma   (const ShimFirstLook *self, const ShimRect *rect, ShimLuma *luma);
void               shim_first_look_free       (ShimFirstLook *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimFirstLook, shim_first_look_free)

G_END_DECLS
