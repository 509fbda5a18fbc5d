/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-fit.h"
#include "shim-format.h"
#include "shim-readiness.h"
#include "shim-setting-check.h"

/* How grave: what keeps an item at home before what takes minutes to mend. */
static const ShimReadinessKind gravest_first[] = {
  SHIM_NOT_READY_SERVICE, SHIM_NOT_READY_HELD,    SHIM_NOT_READY_NO_BODY, SHIM_NOT_READY_CONFLICT,
  SHIM_NOT_READY_OUT_OF_REACH, SHIM_NOT_READY_UNTESTED, SHIM_NOT_READY_DUE, SHIM_NOT_READY_IN_TEST,
  SHIM_NOT_READY_NO_SLOT, SHIM_NOT_READY_NOT_KEYED_IN, SHIM_NOT_READY_NO_LENS,
};

static const char *const kind_names[] = {
  [SHIM_NOT_READY_UNTESTED] = "untested",
  [SHIM_NOT_READY_IN_TEST] = "in-test",
  [SHIM_NOT_READY_DUE] = "due",
  [SHIM_NOT_READY_OUT_OF_REACH] = "out-of-reach",
  [SHIM_NOT_READY_NOT_KEYED_IN] = "not-keyed-in",
  [SHIM_NOT_READY_NO_SLOT] = "no-slot",
  [SHIM_NOT_READY_CONFLICT] = "conflict",
  [SHIM_NOT_READY_HELD] = "held",
  [SHIM_NOT_READY_SERVICE] = "service",
  [SHIM_NOT_READY_NO_BODY] = "no-body",
  [SHIM_NOT_READY_NO_LENS] = "no-lens",
};

void
shim_not_ready_free (ShimNotReady *self)
{
  if (self == NULL)
    return;
  g_free (self->body);
  g_free (self->lens);
  g_free (self->item);
  g_free (self->pair);
  g_free (self->sentence);
  g_free (self);
}

/**
 * shim_readiness_kind_to_name:
 * @kind: a kind
 *
 * Returns: (transfer none): its name in JSON and CSV
 */
const char *
shim_readiness_kind_to_name (ShimReadinessKind kind)
{
  g_return_val_if_fail (kind < G_N_ELEMENTS (kind_names), NULL);

  return kind_names[kind];
}

static const char *
id_of (gpointer record)
{
  return record != NULL ? SHIM_RECORD (record)->id : NULL;
}

static void
add (GPtrArray *list, ShimReadinessKind kind, gpointer body, gpointer lens, const char *item, const ShimPairNow *now,
     char *sentence)
{
  ShimNotReady *line = g_new0 (ShimNotReady, 1);

  line->kind = kind;
  line->body = g_strdup (id_of (body));
  line->lens = g_strdup (id_of (lens));
  line->item = g_strdup (item);
  line->pair = now != NULL ? g_strdup (now->pair) : NULL;
  line->sentence = sentence;
  g_ptr_array_add (list, line);
}

static ShimConverter *
find_converter (const ShimJobKit *kit, const char *id)
{
  for (guint i = 0; id != NULL && i < kit->converters->len; i++)
    if (g_str_equal (id_of (kit->converters->pdata[i]), id))
      return kit->converters->pdata[i];
  return NULL;
}

static char *
pair_name (ShimBody *body, ShimLens *lens, ShimConverter *converter)
{
  if (converter != NULL)
    return g_strdup_printf (_ ("%s with %s on %s"), lens->label, converter->label, body->label);
  return g_strdup_printf (_ ("%s on %s"), lens->label, body->label);
}

static char *
due_sentence (const char *name, ShimDueReasons reasons)
{
  g_autoptr (GString) why = g_string_new (NULL);

  for (guint bit = 1; bit < SHIM_DUE_END; bit <<= 1)
    if (reasons & bit)
      g_string_append_printf (why, " %s", _ (shim_due_reason_to_sentence (bit)));
  return g_strdup_printf (_ ("%s is due.%s"), name, why->str);
}

/* --- One pair --- */

static void
add_keying (GPtrArray *list, ShimBody *body, ShimLens *lens, const ShimPairNow *now, const char *name, gint64 *free_slots)
{
  gboolean own_place = now->slot_state == SHIM_SLOT_KEYED || now->slot_state == SHIM_SLOT_LOST;
  g_autofree char *value = shim_format_setting (now->value);

  if (!shim_pair_now_to_be_keyed_in (now))
    return;
  if (now->n_table_cells > 0)
    add (list, SHIM_NOT_READY_NOT_KEYED_IN, body, lens, now->converter, now,
         g_strdup_printf (_ ("%s: the table is not in the lens yet. Key it in and tick it off."), name));
  else if (lens->own_table && (!own_place || now->slot == 0))
    add (list, SHIM_NOT_READY_NOT_KEYED_IN, body, lens, now->converter, now,
         g_strdup_printf (_ ("%s: %s is decided but not in the lens yet. Key it in and tick it off."), name, value));
  else if (own_place)
    add (list, SHIM_NOT_READY_NOT_KEYED_IN, body, lens, now->converter, now,
         g_strdup_printf (_ ("%s: key %s into slot %d of the body."), name, value, (int) now->slot));
  else if (*free_slots == 0)
    add (list, SHIM_NOT_READY_NO_SLOT, body, lens, now->converter, now,
         g_strdup_printf (_ ("%s: %s is decided, but the body has no slot left. Free one, or let the slot plan choose."), name,
                          value));
  else
    {
      *free_slots -= *free_slots > 0;
      add (list, SHIM_NOT_READY_NOT_KEYED_IN, body, lens, now->converter, now,
           g_strdup_printf (_ ("%s: %s is decided but not keyed in. Key it into a free slot."), name, value));
    }
}

static void
add_due (GPtrArray *list, ShimBody *body, ShimLens *lens, const ShimPairNow *now, const char *name, gint64 *free_slots)
{
  /* Lost or overwritten is mended by keying in, not by testing. */
  if ((now->reasons & ~(SHIM_DUE_RESET | SHIM_DUE_OVERWRITTEN)) == 0)
    add_keying (list, body, lens, now, name, free_slots);
  else
    add (list, SHIM_NOT_READY_DUE, body, lens, now->converter, now, due_sentence (name, now->reasons));
}

static void
add_pair (GPtrArray *list, ShimBody *body, ShimLens *lens, ShimConverter *converter, const ShimPairNow *now, gint64 *free_slots)
{
  g_autofree char *name = pair_name (body, lens, converter);

  switch (now != NULL ? now->state : SHIM_PAIR_UNTESTED)
    {
    case SHIM_PAIR_UNTESTED:
      add (list, SHIM_NOT_READY_UNTESTED, body, lens, id_of (converter), now,
           g_strdup_printf (_ ("%s was never tested. Test it, or mark the pair as not needed."), name));
      break;
    case SHIM_PAIR_IN_TEST:
      add (list, SHIM_NOT_READY_IN_TEST, body, lens, id_of (converter), now,
           g_strdup_printf (_ ("%s: its test is not finished. Go on with it and accept a setting."), name));
      break;
    case SHIM_PAIR_OUT_OF_REACH:
      add (list, SHIM_NOT_READY_OUT_OF_REACH, body, lens, id_of (converter), now,
           g_strdup_printf (_ ("%s is off by more than the body can adjust. It belongs on a service bench; ask a qualified "
                               "technician."), name));
      break;
    case SHIM_PAIR_DUE:
      add_due (list, body, lens, now, name, free_slots);
      break;
    case SHIM_PAIR_TUNED:
      add_keying (list, body, lens, now, name, free_slots);
      break;
    case SHIM_PAIR_NOT_NEEDED:
    default:
      break;
    }
}

/* --- One body --- */

/* A ring that lets nothing through leaves the body blind to the lens: there is nothing to adjust. */
static gboolean
can_be_tuned (const ShimJobKit *kit, ShimBody *body, ShimLens *lens, gboolean *fits)
{
  ShimAdapter *adapter = NULL;

  *fits = shim_fit_lens_on_body (lens, body, kit->adapters, &adapter) != SHIM_FIT_NO;
  return *fits && shim_body_can_adjust (body) && (adapter == NULL || adapter->passes_data);
}

static void
add_slot_shortage (GPtrArray *list, ShimBody *body, const ShimSlotCount *count, guint n_wanted)
{
  if (count->total < 0 || n_wanted <= count->total)
    return;
  add (list, SHIM_NOT_READY_NO_SLOT, body, NULL, NULL, NULL,
       g_strdup_printf (_ ("%s has %d slots for %u lenses of this job. Let the slot plan choose which lenses get one."), body->label,
                        (int) count->total, n_wanted));
}

static void
add_body (GPtrArray *list, const ShimJobKit *kit, ShimBody *body, const ShimSlotCount *count)
{
  gint64 free_slots = count->free;
  guint n_fitting = 0, n_wanted = 0;

  for (guint i = 0; i < kit->lenses->len; i++)
    {
      ShimLens *lens = g_ptr_array_index (kit->lenses, i);
      const ShimPairNow *now = shim_job_kit_find_pair (kit, id_of (body), id_of (lens), NULL);
      gboolean fits;

      if (can_be_tuned (kit, body, lens, &fits))
        {
          n_wanted += now == NULL || (!now->not_needed && now->slot != 0);
          add_pair (list, body, lens, NULL, now, &free_slots);
        }
      n_fitting += fits;
    }
  add_slot_shortage (list, body, count, n_wanted);
  if (n_fitting == 0 && kit->lenses->len > 0)
    add (list, SHIM_NOT_READY_NO_LENS, body, NULL, NULL, NULL,
         g_strdup_printf (_ ("No lens of the job fits %s (mount %s)."), body->label, body->mount));
}

/* With a converter only what the register knows is asked for: nobody tests every lens with every converter. */
static void
add_converter_pairs (GPtrArray *list, const ShimJobKit *kit)
{
  for (guint i = 0; i < kit->pairs->len; i++)
    {
      const ShimPairNow *now = g_ptr_array_index (kit->pairs, i);
      ShimConverter *converter = find_converter (kit, now->converter);
      ShimBody *body = NULL;
      ShimLens *lens = NULL;
      gint64 free_slots = -1;

      if (converter == NULL || now->state == SHIM_PAIR_UNTESTED)
        continue;
      for (guint j = 0; j < kit->bodies->len && body == NULL; j++)
        if (g_str_equal (id_of (kit->bodies->pdata[j]), now->body))
          {
            body = kit->bodies->pdata[j];
            free_slots = g_array_index (kit->slots, ShimSlotCount, j).free;
          }
      for (guint j = 0; j < kit->lenses->len && lens == NULL; j++)
        if (g_str_equal (id_of (kit->lenses->pdata[j]), now->lens))
          lens = kit->lenses->pdata[j];
      if (body != NULL && lens != NULL)
        add_pair (list, body, lens, converter, now, &free_slots);
    }
}

/* --- Conflicts --- */

static gboolean
same_text (const char *a, const char *b)
{
  g_autofree char *left = g_utf8_casefold (a != NULL ? a : "", -1);
  g_autofree char *right = g_utf8_casefold (b != NULL ? b : "", -1);

  return g_str_equal (left, right);
}

static gboolean
are_copies (ShimLens *a, ShimLens *b)
{
  return a->model != NULL && same_text (a->model, b->model) && same_text (a->maker, b->maker);
}

static gboolean
need_other_values (const ShimPairNow *a, const ShimPairNow *b)
{
  if (a == NULL || b == NULL || a->value == SHIM_NO_INT || b->value == SHIM_NO_INT)
    return FALSE;
  return a->value != b->value
         || (a->value_long == SHIM_NO_INT ? a->value : a->value_long) != (b->value_long == SHIM_NO_INT ? b->value : b->value_long);
}

static char *
conflict_sentence (ShimBody *body, ShimLens *a, const ShimPairNow *first, ShimLens *b, const ShimPairNow *second)
{
  g_autofree char *one = shim_format_setting (first->value);
  g_autofree char *other = shim_format_setting (second->value);

  return g_strdup_printf (_ ("%s cannot tell %s (%s) and %s (%s) apart. Take only one of them with this body, or key the value in "
                             "when you change lenses."),
                          body->label, a->label, one, b->label, other);
}

static void
add_conflicts (GPtrArray *list, const ShimJobKit *kit, ShimBody *body)
{
  if (g_strcmp0 (body->tells_lenses_by, "model") != 0)
    return;
  for (guint i = 0; i < kit->lenses->len; i++)
    for (guint j = i + 1; j < kit->lenses->len; j++)
      {
        ShimLens *a = g_ptr_array_index (kit->lenses, i), *b = g_ptr_array_index (kit->lenses, j);
        const ShimPairNow *first, *second;

        if (!are_copies (a, b))
          continue;
        first = shim_job_kit_find_pair (kit, id_of (body), id_of (a), NULL);
        second = shim_job_kit_find_pair (kit, id_of (body), id_of (b), NULL);
        if (need_other_values (first, second))
          add (list, SHIM_NOT_READY_CONFLICT, body, a, id_of (b), first, conflict_sentence (body, a, first, b, second));
      }
}

/* --- Where the items are --- */

static const ShimEvent *
find_away (const ShimJobKit *kit, const char *item)
{
  for (guint i = 0; i < kit->away->len; i++)
    if (g_str_equal (SHIM_EVENT (kit->away->pdata[i])->item, item))
      return kit->away->pdata[i];
  return NULL;
}

static void
add_whereabouts (GPtrArray *list, const ShimJobKit *kit, gpointer body, gpointer lens, gpointer item, const char *label,
                 const char *holder)
{
  gpointer which = body != NULL ? body : lens != NULL ? lens : item;
  const ShimEvent *event = find_away (kit, id_of (which));
  const char *taker = kit->job != NULL ? kit->job->holder : NULL;
  const char *other_id = id_of (item);

  if (event != NULL && g_str_equal (event->kind, "sent"))
    add (list, SHIM_NOT_READY_SERVICE, body, lens, other_id, NULL,
         g_strdup_printf (_ ("%s is at service since %s. Note it as serviced when it is back."), label, event->happened_on));
  else if (event != NULL && g_str_equal (event->kind, "sale"))
    add (list, SHIM_NOT_READY_HELD, body, lens, other_id, NULL,
         g_strdup_printf (_ ("%s was sold or given away on %s. Take it off the job."), label, event->happened_on));
  else if (event != NULL && (event->who == NULL || taker == NULL || !same_text (event->who, taker)))
    add (list, SHIM_NOT_READY_HELD, body, lens, other_id, NULL,
         event->who != NULL
             ? g_strdup_printf (_ ("%s has %s since %s. Get it back, or take it off the job."), event->who, label, event->happened_on)
             : g_strdup_printf (_ ("%s is lent out since %s. Get it back, or take it off the job."), label, event->happened_on));
  else if (event == NULL && holder != NULL && taker != NULL && !same_text (holder, taker))
    add (list, SHIM_NOT_READY_HELD, body, lens, other_id, NULL,
         g_strdup_printf (_ ("%s is held by %s, but %s takes the kit of this job."), label, holder, taker));
}

static void
add_lens (GPtrArray *list, const ShimJobKit *kit, ShimLens *lens)
{
  add_whereabouts (list, kit, NULL, lens, NULL, lens->label, lens->holder);
  for (guint i = 0; i < kit->bodies->len; i++)
    if (shim_fit_lens_on_body (lens, kit->bodies->pdata[i], kit->adapters, NULL) != SHIM_FIT_NO)
      return;
  if (kit->bodies->len > 0)
    add (list, SHIM_NOT_READY_NO_BODY, NULL, lens, NULL, NULL,
         g_strdup_printf (_ ("No body of the job takes %s (mount %s)."), lens->label, lens->mount));
}

/* Nothing can be said of pairs while one half is missing; that is not the same as ready. */
static void
add_missing_half (GPtrArray *list, const ShimJobKit *kit)
{
  if (kit->bodies->len == 0 && kit->lenses->len > 0)
    add (list, SHIM_NOT_READY_NO_BODY, NULL, NULL, NULL, NULL, g_strdup (_ ("The job takes lenses along, but no body.")));
  if (kit->lenses->len == 0 && kit->bodies->len > 0)
    add (list, SHIM_NOT_READY_NO_LENS, NULL, NULL, NULL, NULL, g_strdup (_ ("The job takes bodies along, but no lens.")));
}

static GPtrArray *
sort_by_gravity (GPtrArray *unsorted)
{
  GPtrArray *sorted = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_not_ready_free);

  for (guint i = 0; i < G_N_ELEMENTS (gravest_first); i++)
    for (guint j = 0; j < unsorted->len; j++)
      {
        ShimNotReady *line = unsorted->pdata[j];

        if (line != NULL && line->kind == gravest_first[i])
          g_ptr_array_add (sorted, g_steal_pointer (&unsorted->pdata[j]));
      }
  return sorted;
}

GPtrArray *
shim_job_kit_readiness (const ShimJobKit *kit)
{
  g_autoptr (GPtrArray) list = NULL;

  g_return_val_if_fail (kit != NULL, NULL);
  g_return_val_if_fail (kit->slots->len == kit->bodies->len, NULL);

  list = g_ptr_array_new ();
  for (guint i = 0; i < kit->bodies->len; i++)
    {
      ShimBody *body = g_ptr_array_index (kit->bodies, i);

      add_whereabouts (list, kit, body, NULL, NULL, body->label, body->holder);
      add_body (list, kit, body, &g_array_index (kit->slots, ShimSlotCount, i));
      add_conflicts (list, kit, body);
    }
  for (guint i = 0; i < kit->lenses->len; i++)
    add_lens (list, kit, kit->lenses->pdata[i]);
  for (guint i = 0; i < kit->converters->len; i++)
    {
      ShimConverter *converter = kit->converters->pdata[i];

      add_whereabouts (list, kit, NULL, NULL, converter, converter->label, converter->holder);
    }
  add_converter_pairs (list, kit);
  add_missing_half (list, kit);
  return sort_by_gravity (list);
}
