/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-store-error.h"

G_DEFINE_QUARK (shim-store-error-quark, shim_store_error)
