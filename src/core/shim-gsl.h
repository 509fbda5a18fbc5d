/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * shim_gsl_init:
 *
 * GSL's own error handler ends the program. This turns it off, once; every function that calls GSL calls this
 * first and looks at what GSL returns. Safe from any thread.
 */
void shim_gsl_init (void);

G_END_DECLS
