/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_EVENT (shim_event_get_type ())
G_DECLARE_FINAL_TYPE (ShimEvent, shim_event, SHIM, EVENT, ShimRecord)

/**
 * ShimEvent:
 * @item_kind: happened to; one of "body", "lens", "converter"
 * @item: its id
 * @happened_on: day
 * @noted_at: when it was written down
 * @kind: what happened; one of "sent", "service", "knock", "water", "mount", "firmware", "reset", "loan", "return", "sale", "note"
 * @casts_doubt: whether its pairs become due
 * @taken_back: noted in error
 * @who: (nullable): who did it, or has it now
 * @note: (nullable): anything else
 *
 * Something that happened to an item and may cast doubt on its values.
 */
struct _ShimEvent
{
  ShimRecord parent_instance;

  char *item_kind;
  char *item;
  char *happened_on;
  char *noted_at;
  char *kind;
  gint64 casts_doubt;
  gint64 taken_back;
  char *who;
  char *note;
};

ShimEvent *shim_event_new (void);

G_END_DECLS
