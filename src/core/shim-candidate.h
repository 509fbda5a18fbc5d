/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-attempt.h"
#include "shim-survey.h"

G_BEGIN_DECLS

void shim_candidate_measure (ShimAttempt *self, const ShimStripGuess *guess);

G_END_DECLS
