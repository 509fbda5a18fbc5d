/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

/* All kinds of record at once. */

#include "shim-adapter.h"
#include "shim-body.h"
#include "shim-converter.h"
#include "shim-decision.h"
#include "shim-event.h"
#include "shim-frame.h"
#include "shim-job.h"
#include "shim-job-item.h"
#include "shim-lens.h"
#include "shim-mount.h"
#include "shim-pair.h"
#include "shim-reading.h"
#include "shim-round.h"
#include "shim-slot-entry.h"
#include "shim-test.h"
#include "shim-verdict.h"

G_BEGIN_DECLS

const ShimKind *shim_kind_from_name (const char *name);
GType shim_kind_type_from_name (const char *name);
const GType *shim_kind_list_types (guint *n_types);

G_END_DECLS
