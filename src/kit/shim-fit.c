/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-fit.h"
#include "shim-kit-error.h"

/**
 * shim_fit_mounts:
 * @lens_mount: name of the lens's mount
 * @body_mount: name of the body's mount
 * @adapters: (element-type ShimAdapter) (nullable): adapters of the kit
 * @adapter: (out) (transfer none) (optional) (nullable): the one to use
 *
 * Flange distances do not decide: a ring that is not in the kit is no use, and one flange distance does not make one bayonet.
 *
 * Returns: whether and how lenses of the one go on bodies of the other
 */
ShimFit
shim_fit_mounts (const char *lens_mount, const char *body_mount, GPtrArray *adapters, ShimAdapter **adapter)
{
  ShimAdapter *found = NULL;

  if (adapter != NULL)
    *adapter = NULL;
  if (lens_mount == NULL || body_mount == NULL)
    return SHIM_FIT_NO;
  if (g_str_equal (lens_mount, body_mount))
    return SHIM_FIT_DIRECT;
  for (guint i = 0; adapters != NULL && i < adapters->len; i++)
    {
      ShimAdapter *candidate = adapters->pdata[i];

      if (candidate->archived || g_strcmp0 (candidate->lens_mount, lens_mount) != 0
          || g_strcmp0 (candidate->body_mount, body_mount) != 0)
        continue;
      /* One that lets body and lens talk is worth more: without that there is nothing to fine-adjust. */
      if (found == NULL || (candidate->passes_data && !found->passes_data))
        found = candidate;
    }
  if (adapter != NULL)
    *adapter = found;
  return found != NULL ? SHIM_FIT_ADAPTER : SHIM_FIT_NO;
}

/**
 * shim_fit_lens_on_body:
 * @lens: a lens
 * @body: a body
 * @adapters: (element-type ShimAdapter) (nullable): adapters of the kit
 * @adapter: (out) (transfer none) (optional) (nullable): the one to use
 *
 * Returns: whether and how @lens goes on @body
 */
ShimFit
shim_fit_lens_on_body (ShimLens *lens, ShimBody *body, GPtrArray *adapters, ShimAdapter **adapter)
{
  g_return_val_if_fail (SHIM_IS_LENS (lens), SHIM_FIT_NO);
  g_return_val_if_fail (SHIM_IS_BODY (body), SHIM_FIT_NO);

  return shim_fit_mounts (lens->mount, body->mount, adapters, adapter);
}

/**
 * shim_fit_check:
 * @lens: a lens
 * @body: a body
 * @converter: (nullable): between them
 * @adapters: (element-type ShimAdapter) (nullable): adapters of the kit
 * @adapter: (out) (transfer none) (optional) (nullable): the one to use
 * @error: MOUNT when they do not go together
 *
 * A converter has the same mount on both sides, so it goes where the lens's mount goes.
 *
 * Returns: whether they can be a pair
 */
gboolean
shim_fit_check (ShimLens *lens, ShimBody *body, ShimConverter *converter, GPtrArray *adapters, ShimAdapter **adapter,
                GError **error)
{
  g_return_val_if_fail (SHIM_IS_LENS (lens), FALSE);
  g_return_val_if_fail (SHIM_IS_BODY (body), FALSE);

  if (converter != NULL && g_strcmp0 (converter->mount, lens->mount) != 0)
    {
      g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_MOUNT,
                   _ ("%s has mount %s and does not take %s, which has mount %s"), converter->label, converter->mount, lens->label,
                   lens->mount);
      return FALSE;
    }
  if (shim_fit_lens_on_body (lens, body, adapters, adapter) != SHIM_FIT_NO)
    return TRUE;
  g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_MOUNT,
               _ ("%s has mount %s and does not fit %s, which has mount %s; if you use an adapter, add it to the kit first"),
               lens->label, lens->mount, body->label, body->mount);
  return FALSE;
}

/**
 * shim_fit_ring_mm:
 * @lens_mount: mount of a lens
 * @body_mount: mount of a body
 *
 * The thickness of a plain ring between the two: the difference of the flange distances. Nothing or less than nothing means that
 * the lens does not reach infinity with a plain ring. For information only.
 *
 * Returns: mm; NAN when one of the flange distances is not known
 */
double
shim_fit_ring_mm (ShimMount *lens_mount, ShimMount *body_mount)
{
  g_return_val_if_fail (SHIM_IS_MOUNT (lens_mount), NAN);
  g_return_val_if_fail (SHIM_IS_MOUNT (body_mount), NAN);

  return lens_mount->flange_mm - body_mount->flange_mm;
}
