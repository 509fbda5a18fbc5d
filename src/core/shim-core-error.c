/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-core-error.h"

G_DEFINE_QUARK (shim-core-error-quark, shim_core_error)
