/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-body.h"
#include "shim-converter.h"
#include "shim-frame.h"
#include "shim-lens.h"
#include "shim-test.h"

G_BEGIN_DECLS

/**
 * shim_frame_check_serials:
 * @frame: a frame with what its metadata say
 * @body: body of the pair under test
 * @lens: lens of the pair under test
 * @error: a %SHIM_KIT_ERROR_CONFLICT that names both serials
 *
 * Serials contradict each other only where both are known. They are compared as text: leading zeros count, surrounding blanks do
 * not.
 *
 * Returns: whether nothing speaks against the frame showing this pair
 */
gboolean shim_frame_check_serials (const ShimFrame *frame, const ShimBody *body, const ShimLens *lens, GError **error);

/**
 * shim_frame_find_doubts:
 * @frame: a frame with what its metadata say
 * @body: body of the pair under test
 * @lens: lens of the pair under test
 * @converter: (nullable): converter of the pair under test
 * @test: (nullable): the test
 * @setting: setting of the round; %SHIM_NO_INT for a reference round
 *
 * What does not forbid the frame but should be looked at: another focal length, stopped down, another model, the fine adjustment that
 * the camera itself recorded, a slow shutter.
 *
 * Returns: (transfer full) (array zero-terminated=1): a sentence each; empty when all is well
 */
char   **shim_frame_find_doubts   (const ShimFrame *frame, const ShimBody *body, const ShimLens *lens,
                                   const ShimConverter *converter, const ShimTest *test, gint64 setting);

G_END_DECLS
