/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-kit-error.h"

G_DEFINE_QUARK (shim-kit-error-quark, shim_kit_error)
