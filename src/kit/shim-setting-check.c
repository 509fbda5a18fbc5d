/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-format.h"
#include "shim-kit-error.h"
#include "shim-setting-check.h"

/**
 * shim_body_check_setting:
 * @body: a body
 * @setting: a setting that is to be keyed in; %SHIM_NO_INT is accepted
 * @error: a %SHIM_KIT_ERROR_INVALID that names the range
 *
 * Returns: whether the body can be set to it; a body whose range is not known is not asked
 */
gboolean
shim_body_check_setting (const ShimBody *body, gint64 setting, GError **error)
{
  g_autofree char *wanted = NULL, *low = NULL, *high = NULL;

  g_return_val_if_fail (body != NULL, FALSE);

  if (setting == SHIM_NO_INT || ((body->range_min == SHIM_NO_INT || setting >= body->range_min)
                                 && (body->range_max == SHIM_NO_INT || setting <= body->range_max)))
    return TRUE;
  wanted = shim_format_setting (setting);
  low = shim_format_setting (body->range_min == SHIM_NO_INT ? 0 : body->range_min);
  high = shim_format_setting (body->range_max == SHIM_NO_INT ? 0 : body->range_max);
  g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s cannot be set to %s: its settings go from %s to %s."),
               body->label, wanted, low, high);
  return FALSE;
}

/**
 * shim_body_check_slot:
 * @body: a body
 * @number: of a slot; 0 stands for the lens's own table
 * @error: a %SHIM_KIT_ERROR_INVALID that names how many there are
 *
 * Returns: whether the body has such a slot; a body whose number of slots is not known is not asked
 */
gboolean
shim_body_check_slot (const ShimBody *body, gint64 number, GError **error)
{
  g_return_val_if_fail (body != NULL, FALSE);

  if (number == 0 || body->slot_count == SHIM_NO_INT || body->slot_count < 0 || number <= body->slot_count)
    return TRUE;
  if (body->slot_count == 0)
    g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s has no slots to keep values for single lenses."),
                 body->label);
  else
    g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s has no slot %d: its slots go from 1 to %d."), body->label,
                 (int) number, (int) body->slot_count);
  return FALSE;
}

/**
 * shim_body_can_adjust:
 * @body: a body
 *
 * Returns: whether it has a fine adjustment; a body without slots and without a range has none
 */
gboolean
shim_body_can_adjust (const ShimBody *body)
{
  g_return_val_if_fail (body != NULL, FALSE);

  if (body->range_min == 0 && body->range_max == 0)
    return FALSE;
  return body->slot_count != 0 || (body->range_min != SHIM_NO_INT && body->range_max != SHIM_NO_INT);
}
