/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <stdarg.h>

#include "shim-ops-fields.h"

/*
 * Sets real fields by their names, a %NULL after the last value. Unlike g_object_set() it takes NAN for "not known";
 * what is infinite (a depth of field beyond the hyperfocal distance) has no number either.
 */
void
_shim_ops_set_reals (gpointer record, const char *first_field, ...)
{
  const ShimKind *kind = shim_record_get_kind (record);
  va_list args;

  va_start (args, first_field);
  for (const char *name = first_field; name != NULL; name = va_arg (args, const char *))
    {
      const ShimField *field = shim_kind_find_field (kind, name);
      const double value = va_arg (args, double);

      g_assert (field != NULL);
      shim_record_set_real (record, field, isfinite (value) ? value : NAN);
    }
  va_end (args);
}
