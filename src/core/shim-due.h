/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimEventKind:
 *
 * What happened to an item. Which kinds cast doubt, and on what, is a judgement (see shim_event_casts_doubt()).
 */
typedef enum
{
  SHIM_EVENT_NOTE,           /* worth writing down, no doubt */
  SHIM_EVENT_KNOCK,          /* a fall or a blow */
  SHIM_EVENT_WATER,          /* rain, sea, sand */
  SHIM_EVENT_SERVICE,        /* opened or adjusted by a technician */
  SHIM_EVENT_MOUNT,          /* its bayonet was changed, shimmed or is worn */
  SHIM_EVENT_FIRMWARE,       /* new firmware */
  SHIM_EVENT_RESET,          /* a body lost its settings */
  SHIM_EVENT_LENT,           /* was with somebody else */
  SHIM_EVENT_RETURNED,
} ShimEventKind;

/**
 * ShimDueReasons:
 *
 * Why a tuned pair is due.
 */
typedef enum
{
  SHIM_DUE_NONE = 0,
  SHIM_DUE_AGE = 1 << 0,          /* the newest test is older than allowed */
  SHIM_DUE_BODY_EVENT = 1 << 1,   /* something happened to the body since */
  SHIM_DUE_LENS_EVENT = 1 << 2,   /* ... to the lens */
  SHIM_DUE_PREDICTED = 1 << 3,    /* the value was only predicted, never measured */
  SHIM_DUE_OVERWRITTEN = 1 << 4,  /* its slot holds another lens or another value now */
  SHIM_DUE_RESET = 1 << 5,        /* the body was reset and the value has not been keyed in again */
  SHIM_DUE_CONTRADICTED = 1 << 6, /* the rest of the kit contradicts the value */
  SHIM_DUE_CLOCK = 1 << 7,        /* the test is dated in the future: the date is wrong, so its age is not known */
  SHIM_DUE_CONVERTER_EVENT = 1 << 8, /* something happened to the converter since */
  SHIM_DUE_END = 1 << 9,             /* beyond the last */
} ShimDueReasons;

/**
 * ShimDueFacts:
 * @age_days: days since the newest test of the pair; NAN when never measured
 * @max_age_days: how old a test may be; 0 = any age
 * @body_event: whether an event that casts doubt on the body lies after the test
 * @lens_event: whether one on the lens does
 * @converter_event: whether one on the converter does
 * @predicted_only: whether the value in use came from the kit model alone
 * @slot_overwritten: whether the slot that should hold it holds something else
 * @reset_since_keyed: whether the body was reset after the value was keyed in
 * @contradicted: whether the kit model names the pair
 */
typedef struct
{
  double age_days;
  double max_age_days;
  gboolean body_event;
  gboolean lens_event;
  gboolean converter_event;
  gboolean predicted_only;
  gboolean slot_overwritten;
  gboolean reset_since_keyed;
  gboolean contradicted;
} ShimDueFacts;

/**
 * shim_due_reasons:
 * @facts: what is known of a pair that has a value
 *
 * Returns: the reasons why it is due; %SHIM_DUE_NONE when it is not
 */
ShimDueReasons shim_due_reasons           (const ShimDueFacts *facts);

/**
 * shim_due_in_days:
 * @facts: what is known of a pair that has a value
 *
 * Returns: days until it becomes due by age alone: 0 when it is due already for any reason, INFINITY when age
 * does not count
 */
double         shim_due_in_days           (const ShimDueFacts *facts);

/**
 * shim_event_casts_doubt:
 * @kind: what happened
 *
 * Returns: whether values measured before it are to be tested again. A reset does not (the values are right,
 * only lost), nor does being lent or a note; a knock, water, service, a changed mount and new firmware do.
 */
gboolean       shim_event_casts_doubt     (ShimEventKind kind);

const char    *shim_event_kind_to_name    (ShimEventKind kind);
gboolean       shim_event_kind_from_name  (const char *name, ShimEventKind *kind);

/**
 * shim_due_reasons_to_names:
 * @reasons: reasons
 *
 * Returns: (transfer full): %NULL-terminated names, as "age", "lens-event"; empty when none
 */
char         **shim_due_reasons_to_names  (ShimDueReasons reasons);

/**
 * shim_due_reason_to_sentence:
 * @reason: exactly one reason
 *
 * Returns: (transfer none): a plain English sentence
 */
const char    *shim_due_reason_to_sentence (ShimDueReasons reason);

G_END_DECLS
