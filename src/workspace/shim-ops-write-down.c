/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-ops-write-down.h"

/**
 * shim_write_down_new:
 * @pair: id
 * @origin: (transfer none): "copied" or "predicted", a constant
 *
 * Returns: (transfer full): a request that says nothing yet but whose setting it is
 */
ShimWriteDown *
shim_write_down_new (const char *pair, const char *origin)
{
  ShimWriteDown *self = g_new (ShimWriteDown, 1);

  *self = (ShimWriteDown) { g_strdup (pair), SHIM_NO_INT, SHIM_NO_INT, origin, SHIM_SLOT_NONE, NULL };
  return self;
}

/**
 * shim_write_down_free:
 * @self: (transfer full) (nullable): a request
 */
void
shim_write_down_free (ShimWriteDown *self)
{
  if (self == NULL)
    return;
  g_free (self->pair);
  g_free (self->note);
  g_free (self);
}

static ShimDecision *
decide (ShimRegister *reg, const ShimWriteDown *request, const char *end, gint64 value, gint64 slot, GError **error)
{
  ShimAccept accept;

  shim_accept_init (&accept);
  accept.pair = request->pair;
  accept.value = value;
  accept.end = end;
  accept.origin = request->origin;
  accept.slot = slot;
  accept.note = request->note;
  return shim_ops_accept (reg, &accept, NULL, error);
}

/* The long end is decided first, so that keying in the wide one writes both into the slot. */
static ShimDecision *
decide_both (ShimRegister *reg, const ShimWriteDown *request, GError **error)
{
  g_autoptr (ShimDecision) far_end = decide (reg, request, "long", request->setting_long, SHIM_SLOT_NONE, error);

  return far_end != NULL ? decide (reg, request, "wide", request->setting, request->slot, error) : NULL;
}

/**
 * shim_ops_write_down:
 * @reg: a register
 * @request: what stands elsewhere, on a list or in the body
 * @error: as shim_ops_accept()
 *
 * Both ends and the slot are one change.
 *
 * Returns: (transfer full) (nullable): the decision, that of the wide end where there are two
 */
ShimDecision *
shim_ops_write_down (ShimRegister *reg, const ShimWriteDown *request, GError **error)
{
  g_autoptr (ShimDecision) decision = NULL;

  g_return_val_if_fail (reg != NULL && request != NULL, NULL);
  g_return_val_if_fail (request->pair != NULL && request->setting != SHIM_NO_INT, NULL);

  if (request->setting_long == SHIM_NO_INT)
    return decide (reg, request, "all", request->setting, request->slot, error);
  if (!shim_register_begin (reg, _ ("Write both settings of a zoom down"), error))
    return NULL;
  decision = decide_both (reg, request, error);
  if (decision == NULL)
    {
      shim_register_rollback (reg);
      return NULL;
    }
  return shim_register_commit (reg, error) ? g_steal_pointer (&decision) : NULL;
}
