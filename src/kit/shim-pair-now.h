/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

#include "shim-due.h"

G_BEGIN_DECLS

/**
 * ShimPairState:
 * @SHIM_PAIR_UNTESTED: nothing decided, no test under way
 * @SHIM_PAIR_IN_TEST: a test was started after the last decision
 * @SHIM_PAIR_TUNED: a setting is decided and nothing speaks against it
 * @SHIM_PAIR_DUE: a setting is decided, and there is a reason to test or to key in again
 * @SHIM_PAIR_OUT_OF_REACH: the best setting lies beyond the body's range
 * @SHIM_PAIR_NOT_NEEDED: nobody uses it
 *
 * The state of a pair.
 */
typedef enum
{
  SHIM_PAIR_UNTESTED,
  SHIM_PAIR_IN_TEST,
  SHIM_PAIR_TUNED,
  SHIM_PAIR_DUE,
  SHIM_PAIR_OUT_OF_REACH,
  SHIM_PAIR_NOT_NEEDED,
} ShimPairState;

/**
 * ShimSlotState:
 * @SHIM_SLOT_FREE: never used, or cleared
 * @SHIM_SLOT_KEYED: holds a value
 * @SHIM_SLOT_LOST: held a value until the body was reset; to be keyed in again
 * @SHIM_SLOT_OVERWRITTEN: (of a pair only) its slot holds another pair now
 */
typedef enum
{
  SHIM_SLOT_FREE,
  SHIM_SLOT_KEYED,
  SHIM_SLOT_LOST,
  SHIM_SLOT_OVERWRITTEN,
} ShimSlotState;

/**
 * ShimPairNow:
 * @pair: (nullable): id; %NULL for a combination that nobody has touched yet (then only @body, @lens and @state say something)
 * @body: id
 * @lens: id
 * @converter: (nullable): id
 * @adapter: (nullable): id
 * @state: the state
 * @reasons: why it is due
 * @value: setting decided last (wide end where there are two); %SHIM_NO_INT when none
 * @value_long: setting of the long end; %SHIM_NO_INT when there is only one
 * @n_table_cells: values in the lens's own table
 * @decision: (nullable): id of the newest decision
 * @decided_at: (nullable): when
 * @tested_at: (nullable): start of the newest test; the decision's time when its test is not recorded; %NULL for a prediction
 * @age_days: since @tested_at; NAN when never tested
 * @predicted: the value comes from a prediction only
 * @residual_mm: offset expected at the setting; NAN when not known
 * @residual_se_mm: its standard error
 * @tolerance_mm: largest offset accepted
 * @error_tolerances: |residual| in tolerances; NAN when not known
 * @out_of_reach: the best setting lies beyond the range
 * @slot: slot of the body that holds it; 0 = inside the lens; %SHIM_NO_INT when never keyed in
 * @slot_state: what became of that slot
 * @slot_value: value keyed in there
 * @slot_value_long: value of the long end keyed in there
 * @conflict: the body takes this lens for another copy of the same model that needs another value
 * @not_needed: marked so
 *
 * What is true now of one pair, worked out from all that was recorded: a line of a list, a cell of the matrix.
 */
typedef struct
{
  char *pair;
  char *body;
  char *lens;
  char *converter;
  char *adapter;
  ShimPairState state;
  ShimDueReasons reasons;
  gint64 value;
  gint64 value_long;
  guint n_table_cells;
  char *decision;
  char *decided_at;
  char *tested_at;
  double age_days;
  gboolean predicted;
  double residual_mm;
  double residual_se_mm;
  double tolerance_mm;
  double error_tolerances;
  gboolean out_of_reach;
  gint64 slot;
  ShimSlotState slot_state;
  gint64 slot_value;
  gint64 slot_value_long;
  gboolean conflict;
  gboolean not_needed;
} ShimPairNow;

ShimPairNow *shim_pair_now_new            (const char *body, const char *lens);
void         shim_pair_now_free           (ShimPairNow *self);
gboolean     shim_pair_now_to_be_keyed_in (const ShimPairNow *self);

/**
 * ShimSlot:
 * @number: 1 … slot count
 * @state: free, keyed or lost
 * @entry: (nullable): id of the newest slot entry; %NULL when never used
 * @pair: (nullable): id
 * @lens: (nullable): id
 * @converter: (nullable): id
 * @lens_label: (nullable): name of the lens
 * @converter_label: (nullable): name of the converter
 * @decision: (nullable): id of the decision that was keyed in
 * @value: as keyed in; %SHIM_NO_INT when free
 * @value_long: as keyed in
 * @wanted: setting decided last for the pair; differs from @value when it was decided anew and not keyed in yet
 * @wanted_long: of the long end
 * @done_at: (nullable): when it was keyed in or lost
 *
 * One memory of a body.
 */
typedef struct
{
  gint64 number;
  ShimSlotState state;
  char *entry;
  char *pair;
  char *lens;
  char *converter;
  char *lens_label;
  char *converter_label;
  char *decision;
  gint64 value;
  gint64 value_long;
  gint64 wanted;
  gint64 wanted_long;
  char *done_at;
} ShimSlot;

/**
 * ShimSlotCount:
 * @total: slots of the body; -1 = no limit; 0 = none
 * @keyed: hold a value
 * @lost: to be keyed in again
 * @free: neither; -1 = no limit
 */
typedef struct
{
  gint64 total;
  gint64 keyed;
  gint64 lost;
  gint64 free;
} ShimSlotCount;

void         shim_slot_free               (ShimSlot *self);

const char  *shim_pair_state_to_name      (ShimPairState state);
gboolean     shim_pair_state_from_name    (const char *name, ShimPairState *state);
const char  *shim_pair_state_to_label     (ShimPairState state);
const char  *shim_slot_state_to_name      (ShimSlotState state);
const char  *shim_slot_state_to_label     (ShimSlotState state);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPairNow, shim_pair_now_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimSlot, shim_slot_free)

G_END_DECLS
