/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"

void
check_digits_at (const char *where, const char *what, double got, double expected, double digits)
{
  const double relative = fabs (got - expected) / fabs (expected);

  if (!(relative <= pow (10.0, -digits)))
    g_error ("%s: %s is %.17g, published %.17g: they differ by %.2g, allowed 1e-%g", where, what, got, expected,
             relative, digits);
}

void
check_near_at (const char *where, const char *what, double got, double expected, double tolerance)
{
  if (got == expected)
    return;
  if (!(fabs (got - expected) <= tolerance))
    g_error ("%s: %s is %.12g, expected %.12g within %g", where, what, got, expected, tolerance);
}

/* Numbers of tests/core/data/@file from its line @first_line on, row by row; (transfer full). */
double *
read_table (const char *file, guint first_line, guint n_columns, gsize *n_rows)
{
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "core", "data", file, NULL);
  g_autofree char *text = NULL;
  g_auto (GStrv) lines = NULL;
  g_autoptr (GError) error = NULL;
  g_autoptr (GArray) numbers = g_array_new (FALSE, FALSE, sizeof (double));

  g_file_get_contents (path, &text, NULL, &error);
  g_assert_no_error (error);
  lines = g_strsplit (text, "\n", -1);
  *n_rows = 0;
  g_assert_cmpuint (g_strv_length (lines), >=, first_line);
  for (char **line = lines + first_line - 1; *line != NULL; line++)
    {
      char *at = *line;

      if (*g_strstrip (at) == '\0')
        continue;
      for (guint column = 0; column < n_columns; column++)
        {
          char *end = NULL;
          const double number = g_ascii_strtod (at, &end);

          g_assert_true (end != at);
          g_array_append_val (numbers, number);
          at = end;
        }
      *n_rows += 1;
    }
  return (double *) g_array_free (g_steal_pointer (&numbers), FALSE);
}

/* (transfer full) */
double *
take_column (const double *table, gsize n_rows, guint n_columns, guint column)
{
  double *values = g_new (double, n_rows);

  for (gsize i = 0; i < n_rows; i++)
    values[i] = table[i * n_columns + column];
  return values;
}
