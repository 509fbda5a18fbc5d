/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

/* Fails unless @got agrees with @expected to at least @digits significant digits. */
#define check_digits(got, expected, digits) check_digits_at (G_STRLOC, #got, (got), (expected), (digits))
/* Fails unless @got lies within @tolerance of @expected; says all three. */
#define check_near(got, expected, tolerance) check_near_at (G_STRLOC, #got, (got), (expected), (tolerance))

void    check_digits_at (const char *where, const char *what, double got, double expected, double digits);
void    check_near_at   (const char *where, const char *what, double got, double expected, double tolerance);
double *read_table      (const char *file, guint first_line, guint n_columns, gsize *n_rows);
double *take_column     (const double *table, gsize n_rows, guint n_columns, guint column);
