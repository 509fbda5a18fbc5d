/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-photo-error.h"

G_DEFINE_QUARK (shim-photo-error-quark, shim_photo_error)
