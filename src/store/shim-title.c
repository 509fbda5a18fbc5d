/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-register-private.h"

/* What to call a record that has no name of its own. */

static char *
title_of (ShimRegister *self, GType type, const char *id)
{
  g_autoptr (ShimRecord) record = id != NULL ? shim_register_fetch (self, type, id, TRUE, NULL) : NULL;

  return record != NULL ? shim_register_dup_title (self, record) : g_strdup ("–");
}

static char *
pair_title (ShimRegister *self, ShimPair *pair)
{
  g_autofree char *body = title_of (self, SHIM_TYPE_BODY, pair->body);
  g_autofree char *lens = title_of (self, SHIM_TYPE_LENS, pair->lens);
  g_autofree char *converter = NULL;

  if (pair->converter == NULL)
    return g_strdup_printf (_ ("%s on %s"), lens, body);
  converter = title_of (self, SHIM_TYPE_CONVERTER, pair->converter);
  return g_strdup_printf (_ ("%s with %s on %s"), lens, converter, body);
}

static char *
owned_title (ShimRegister *self, ShimRecord *record, const char *field_name)
{
  const ShimKind *kind = shim_record_get_kind (record);
  const ShimField *field = shim_kind_find_field (kind, field_name);
  const ShimKind *owner = shim_kind_from_name (field->ref);
  g_autofree char *title = title_of (self, shim_register_type_of (owner), shim_record_get_text (record, field));

  return g_strdup_printf (_ ("%s of %s"), _ (kind->label), title);
}

static char *
item_title (ShimRegister *self, const char *kind, const char *id)
{
  GType type = kind != NULL ? shim_kind_type_from_name (kind) : G_TYPE_INVALID;

  return type != G_TYPE_INVALID ? title_of (self, type, id) : g_strdup ("–");
}

static char *
event_title (ShimRegister *self, ShimEvent *event)
{
  const ShimField *field = shim_kind_find_field (shim_record_get_kind (SHIM_RECORD (event)), "kind");
  g_autofree char *item = item_title (self, event->item_kind, event->item);

  const char *what = shim_field_choice_label (field, event->kind);

  return g_strdup_printf ("%s · %s", item, what != NULL ? what : event->kind);
}

/**
 * shim_register_dup_title:
 * @self: a register
 * @record: a record
 *
 * Returns: (transfer full): what people call it: its name, or what it belongs to
 */
char *
shim_register_dup_title (ShimRegister *self, ShimRecord *record)
{
  if (SHIM_IS_PAIR (record))
    return pair_title (self, SHIM_PAIR (record));
  if (SHIM_IS_TEST (record) || SHIM_IS_DECISION (record))
    return owned_title (self, record, "pair");
  if (SHIM_IS_SLOT_ENTRY (record))
    return g_strdup_printf (_ ("Slot %d"), (int) SHIM_SLOT_ENTRY (record)->number);
  if (SHIM_IS_ROUND (record))
    return owned_title (self, record, "test");
  if (SHIM_IS_FRAME (record))
    return g_path_get_basename (SHIM_FRAME (record)->path);
  if (SHIM_IS_READING (record) || SHIM_IS_VERDICT (record))
    return owned_title (self, record, "frame");
  if (SHIM_IS_EVENT (record))
    return event_title (self, SHIM_EVENT (record));
  if (SHIM_IS_JOB_ITEM (record))
    return item_title (self, SHIM_JOB_ITEM (record)->item_kind, SHIM_JOB_ITEM (record)->item);
  return shim_record_dup_title (record);
}
