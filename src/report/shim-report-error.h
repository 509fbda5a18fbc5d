/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * SHIM_REPORT_ERROR:
 *
 * The error domain of the report layer; codes are in #ShimReportError.
 */
#define SHIM_REPORT_ERROR (shim_report_error_quark ())

/**
 * ShimReportError:
 * @SHIM_REPORT_ERROR_WRITE: the document cannot be written
 * @SHIM_REPORT_ERROR_READ: the table cannot be read
 * @SHIM_REPORT_ERROR_COLUMNS: the columns of the table are not understood
 * @SHIM_REPORT_ERROR_EMPTY: there is nothing to write
 */
typedef enum
{
  SHIM_REPORT_ERROR_WRITE,
  SHIM_REPORT_ERROR_READ,
  SHIM_REPORT_ERROR_COLUMNS,
  SHIM_REPORT_ERROR_EMPTY,
} ShimReportError;

GQuark shim_report_error_quark (void);

G_END_DECLS
