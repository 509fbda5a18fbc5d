/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-report-error.h"

G_DEFINE_QUARK (shim-report-error-quark, shim_report_error)
