/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

/* All operations on a register at once. */

#include "shim-ops-accept.h"
#include "shim-ops-frames.h"
#include "shim-ops-jobs.h"
#include "shim-ops-kit.h"
#include "shim-ops-model.h"
#include "shim-ops-propose.h"
#include "shim-ops-slots.h"
#include "shim-ops-summary.h"
#include "shim-ops-test.h"
#include "shim-ops-zoom.h"
