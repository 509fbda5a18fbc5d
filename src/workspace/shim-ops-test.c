/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-fit.h"
#include "shim-format.h"
#include "shim-lens-reach.h"
#include "shim-ops-fields.h"
#include "shim-ops-kit.h"
#include "shim-ops-test.h"
#include "shim-optics.h"
#include "shim-register-pairs.h"
#include "shim-register-reads.h"
#include "shim-tolerance.h"
#include "shim-workspace-error.h"
#include "shim-zoom-value.h"

/* Focal lengths in metadata are rounded, so the range of a lens is taken this much wider. */
#define FOCAL_SLACK 0.05

/**
 * shim_open_test_init:
 * @request: (out): set to "all as usual"
 */
void
shim_open_test_init (ShimOpenTest *request)
{
  g_return_if_fail (request != NULL);

  *request = (ShimOpenTest) {
    .focal_mm = NAN,
    .distance_mm = NAN,
    .f_number = NAN,
    .angle_deg = NAN,
    .tick_mm = NAN,
    .coc_mm = NAN,
    .tolerance_share = NAN,
  };
}

/* The items of a pair. */
typedef struct
{
  ShimBody *body;
  ShimLens *lens;
  ShimConverter *converter;
  ShimAdapter *adapter;
} Items;

static void
items_clear (Items *items)
{
  g_clear_object (&items->body);
  g_clear_object (&items->lens);
  g_clear_object (&items->converter);
  g_clear_object (&items->adapter);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Items, items_clear)

static gboolean
get_items (ShimRegister *reg, const char *body, const char *lens, const char *converter, Items *items, GError **error)
{
  items->body = (ShimBody *) shim_register_get (reg, SHIM_TYPE_BODY, body, error);
  if (items->body == NULL)
    return FALSE;
  items->lens = (ShimLens *) shim_register_get (reg, SHIM_TYPE_LENS, lens, error);
  if (items->lens == NULL)
    return FALSE;
  if (converter == NULL)
    return TRUE;
  items->converter = (ShimConverter *) shim_register_get (reg, SHIM_TYPE_CONVERTER, converter, error);
  return items->converter != NULL;
}

/* Whether the mounts fit; notes the adapter where they fit through one. */
static gboolean
check_fit (ShimRegister *reg, Items *items, GError **error)
{
  g_autoptr (GPtrArray) adapters = shim_register_list (reg, SHIM_TYPE_ADAPTER, NULL, error);
  ShimAdapter *adapter = NULL;

  if (adapters == NULL || !shim_fit_check (items->lens, items->body, items->converter, adapters, &adapter, error))
    return FALSE;
  items->adapter = adapter != NULL ? g_object_ref (adapter) : NULL;
  return TRUE;
}

static ShimPair *
find_or_create_pair (ShimRegister *reg, Items *items, gboolean create, GError **error)
{
  const char *body = shim_record_get_id (SHIM_RECORD (items->body)),
             *lens = shim_record_get_id (SHIM_RECORD (items->lens));
  const char *converter = items->converter != NULL ? shim_record_get_id (SHIM_RECORD (items->converter)) : NULL;
  g_autoptr (GError) local_error = NULL;
  g_autoptr (ShimPair) pair = (ShimPair *) shim_register_find_pair (reg, body, lens, converter, &local_error);

  if (local_error != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&local_error));
      return NULL;
    }
  if (pair != NULL || !create)
    return g_steal_pointer (&pair);
  if (!check_fit (reg, items, error))
    return NULL;
  pair = shim_pair_new ();
  g_object_set (pair, "body", body, "lens", lens, "converter", converter,
                "adapter", items->adapter != NULL ? shim_record_get_id (SHIM_RECORD (items->adapter)) : NULL, NULL);
  if (!shim_register_insert (reg, SHIM_RECORD (pair), error))
    return NULL;
  return g_steal_pointer (&pair);
}

/**
 * shim_ops_test_find_pair:
 * @reg: a register
 * @body: id
 * @lens: id
 * @converter: (nullable): id
 * @create: whether to make the pair when there is none yet
 * @error: #ShimKitError MOUNT when the lens does not fit; a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): the pair; %NULL without @error when there is none and @create is not set
 */
ShimPair *
shim_ops_test_find_pair (ShimRegister *reg, const char *body, const char *lens, const char *converter,
                         gboolean create, GError **error)
{
  g_auto (Items) items = { NULL, };

  g_return_val_if_fail (reg != NULL, NULL);
  g_return_val_if_fail (body != NULL && lens != NULL, NULL);

  if (!get_items (reg, body, lens, converter, &items, error))
    return NULL;
  return find_or_create_pair (reg, &items, create, error);
}

static ShimPair *
set_needed (ShimRegister *reg, Items *items, gboolean needed, GError **error)
{
  g_autoptr (ShimPair) pair = find_or_create_pair (reg, items, TRUE, error);

  if (pair == NULL)
    return NULL;
  g_object_set (pair, "not-needed", (gint64) !needed, NULL);
  return shim_register_update (reg, SHIM_RECORD (pair), error) ? g_steal_pointer (&pair) : NULL;
}

/**
 * shim_ops_test_set_needed:
 * @reg: a register
 * @body: id
 * @lens: id
 * @converter: (nullable): id
 * @needed: whether anybody uses the pair
 * @error: as shim_ops_test_find_pair()
 *
 * The pair is made when there is none yet; both are one change.
 *
 * Returns: (transfer full) (nullable): the pair
 */
ShimPair *
shim_ops_test_set_needed (ShimRegister *reg, const char *body, const char *lens, const char *converter, gboolean needed, GError **error)
{
  g_auto (Items) items = { NULL, };
  g_autoptr (ShimPair) pair = NULL;

  g_return_val_if_fail (reg != NULL, NULL);
  g_return_val_if_fail (body != NULL && lens != NULL, NULL);

  if (!get_items (reg, body, lens, converter, &items, error)
      || !shim_register_begin (reg, needed ? _ ("Note that a pair is needed") : _ ("Note that a pair is not needed"), error))
    return NULL;
  pair = set_needed (reg, &items, needed, error);
  if (pair == NULL)
    {
      shim_register_rollback (reg);
      return NULL;
    }
  return shim_register_commit (reg, error) ? g_steal_pointer (&pair) : NULL;
}

/* --- opening a test --- */

static double
converter_factor (const Items *items)
{
  return items->converter != NULL && isfinite (items->converter->factor) ? items->converter->factor : 1.0;
}

static gboolean
choose_focal (const Items *items, double given_mm, double *focal_mm, GError **error)
{
  const double factor = converter_factor (items);
  const double wide_mm = items->lens->focal_min_mm * factor, long_mm = shim_lens_longest_mm (items->lens) * factor;
  g_autofree char *range = NULL;
  g_autofree char *given = NULL;

  if (isnan (given_mm))
    {
      *focal_mm = wide_mm < long_mm ? round (shim_zoom_middle_mm (wide_mm, long_mm)) : wide_mm;
      if (isfinite (*focal_mm))
        return TRUE;
      g_set_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_STATE,
                   _ ("The focal length of “%s” is not recorded: say at which focal length it is tested."),
                   shim_ops_kit_item_name (SHIM_RECORD (items->lens)));
      return FALSE;
    }
  *focal_mm = given_mm;
  if (given_mm > 0.0 && !(given_mm < wide_mm * (1.0 - FOCAL_SLACK)) && !(given_mm > long_mm * (1.0 + FOCAL_SLACK)))
    return TRUE;
  range = shim_format_focal (wide_mm, long_mm);
  given = shim_format_focal (given_mm, given_mm);
  g_set_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION,
               _ ("“%s” is a lens of %s: it cannot be tested at %s."),
               shim_ops_kit_item_name (SHIM_RECORD (items->lens)), range, given);
  return FALSE;
}

/* The widest aperture at a focal length; between the ends of a zoom in proportion to the logarithm of the focal
 * length. */
static double
widest_aperture (const Items *items, double focal_mm)
{
  const ShimLens *lens = items->lens;
  const double factor = converter_factor (items), bare_mm = focal_mm / factor;
  double along;

  if (!(lens->focal_min_mm < lens->focal_max_mm) || isnan (lens->aperture_long) || isnan (lens->aperture_wide))
    return lens->aperture_wide * factor;
  along = log (bare_mm / lens->focal_min_mm) / log (lens->focal_max_mm / lens->focal_min_mm);
  return (lens->aperture_wide + CLAMP (along, 0.0, 1.0) * (lens->aperture_long - lens->aperture_wide)) * factor;
}

static gboolean
choose_distance (const Items *items, double focal_mm, double given_mm, double *distance_mm, GError **error)
{
  const double nearest_mm = items->lens->nearest_mm;
  g_autofree char *given = NULL;
  g_autofree char *nearest = NULL;

  *distance_mm = isnan (given_mm) ? shim_optics_test_distance_mm (focal_mm) : given_mm;
  if (isnan (given_mm) && nearest_mm > *distance_mm)
    *distance_mm = nearest_mm;
  if (*distance_mm > 2.0 * focal_mm && !(*distance_mm < nearest_mm * (1.0 - FOCAL_SLACK)))
    return TRUE;
  given = shim_format_distance (*distance_mm);
  nearest = shim_format_distance (nearest_mm > 2.0 * focal_mm ? nearest_mm : 2.0 * focal_mm);
  g_set_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION,
               _ ("“%s” does not focus as near as %s: put the target at least %s away."),
               shim_ops_kit_item_name (SHIM_RECORD (items->lens)), given, nearest);
  return FALSE;
}

static gboolean
check_request (const ShimOpenTest *request, GError **error)
{
  if (!(request->tolerance_share <= 0.0) && !(request->tolerance_share > 0.5) && !(request->angle_deg < 5.0)
      && !(request->angle_deg > 85.0) && !(request->f_number <= 0.0) && !(request->tick_mm <= 0.0)
      && !(request->coc_mm <= 0.0))
    return TRUE;
  g_set_error_literal (
      error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_STATE,
      _ ("A test needs an angle between 5 and 85°, a tolerance of at most half the depth of field, and an f-number, "
         "ticks and a circle of confusion above zero."));
  return FALSE;
}

static ShimTest *
make_test (ShimRegister *reg, const ShimOpenTest *request, const Items *items, GError **error)
{
  g_autofree char *now = shim_register_now (reg);
  g_autoptr (ShimTest) test = shim_test_new ();
  double focal_mm, distance_mm;

  if (!check_request (request, error) || !choose_focal (items, request->focal_mm, &focal_mm, error)
      || !choose_distance (items, focal_mm, request->distance_mm, &distance_mm, error))
    return NULL;
  g_object_set (test, "started-at", now, "folder", request->folder, NULL);
  _shim_ops_set_reals (test, "focal_mm", focal_mm, "distance_mm", distance_mm, "f_number",
                       isnan (request->f_number) ? widest_aperture (items, focal_mm) : request->f_number, "angle_deg",
                       request->angle_deg, "tick_mm", request->tick_mm, "tolerance_share",
                       isnan (request->tolerance_share) ? SHIM_TOLERANCE_DEFAULT_SHARE : request->tolerance_share,
                       "coc_mm",
                       isnan (request->coc_mm) ? shim_optics_coc_from_format_mm (items->body->format_width_mm,
                                                                                 items->body->format_height_mm)
                                               : request->coc_mm,
                       NULL);
  return g_steal_pointer (&test);
}

static gboolean
store_test (ShimRegister *reg, Items *items, ShimTest *test, GError **error)
{
  g_autoptr (ShimPair) pair = find_or_create_pair (reg, items, TRUE, error);

  if (pair == NULL)
    return FALSE;
  g_object_set (test, "pair", shim_record_get_id (SHIM_RECORD (pair)), NULL);
  return shim_register_insert (reg, SHIM_RECORD (test), error);
}

/**
 * shim_ops_test_open:
 * @reg: a register
 * @request: what to test, and how
 * @error: #ShimKitError MOUNT when the lens does not fit; #ShimWorkspaceError CONTRADICTION when lens and numbers do
 * not go together, STATE when something must be given; a #ShimStoreError
 *
 * Finds or makes the pair and opens a test of it.
 *
 * Returns: (transfer full) (nullable): the test
 */
ShimTest *
shim_ops_test_open (ShimRegister *reg, const ShimOpenTest *request, GError **error)
{
  g_auto (Items) items = { NULL, };
  g_autoptr (ShimTest) test = NULL;
  g_autofree char *summary = NULL;

  g_return_val_if_fail (reg != NULL && request != NULL, NULL);
  g_return_val_if_fail (request->body != NULL && request->lens != NULL, NULL);

  if (!get_items (reg, request->body, request->lens, request->converter, &items, error))
    return NULL;
  test = make_test (reg, request, &items, error);
  if (test == NULL)
    return NULL;
  summary = g_strdup_printf (_ ("Open a test of %s on %s"), shim_ops_kit_item_name (SHIM_RECORD (items.lens)),
                             shim_ops_kit_item_name (SHIM_RECORD (items.body)));
  if (!shim_register_begin (reg, summary, error))
    return NULL;
  if (!store_test (reg, &items, test, error))
    {
      shim_register_rollback (reg);
      return NULL;
    }
  if (!shim_register_commit (reg, error))
    return NULL;
  return g_steal_pointer (&test);
}

/* --- rounds --- */

/* (transfer full) (nullable): the newest round, when nothing was added to it and it shows the same. */
static ShimRound *
find_empty_round (ShimRegister *reg, const char *test, const char *kind, gint64 setting)
{
  g_autoptr (ShimTestTree) tree = shim_register_test_tree (reg, test, NULL);
  const ShimTestRound *last;

  if (tree == NULL || tree->rounds->len == 0)
    return NULL;
  last = g_ptr_array_index (tree->rounds, tree->rounds->len - 1);
  if (last->frames->len > 0 || g_strcmp0 (last->round->kind, kind) != 0 || last->round->setting != setting)
    return NULL;
  return g_object_ref (last->round);
}

static ShimRound *
add_round (ShimRegister *reg, const char *test, const char *kind, gint64 setting, GError **error)
{
  g_autoptr (ShimRound) round = find_empty_round (reg, test, kind, setting);
  g_autofree char *now = shim_register_now (reg);
  g_autofree char *summary = NULL;
  g_autofree char *setting_text = NULL;

  if (round != NULL)
    return g_steal_pointer (&round);
  round = shim_round_new ();
  g_object_set (round, "test", test, "started-at", now, "kind", kind, "setting", setting, NULL);
  setting_text = setting != SHIM_NO_INT ? shim_format_setting (setting) : NULL;
  summary = setting_text != NULL ? g_strdup_printf (_ ("Start a round at setting %s"), setting_text)
                                 : g_strdup (_ ("Start a reference round"));
  if (!shim_register_begin (reg, summary, error))
    return NULL;
  if (!shim_register_insert (reg, SHIM_RECORD (round), error))
    {
      shim_register_rollback (reg);
      return NULL;
    }
  if (!shim_register_commit (reg, error))
    return NULL;
  return g_steal_pointer (&round);
}

static gboolean
check_setting (ShimRegister *reg, const char *test, gint64 setting, GError **error)
{
  g_autoptr (ShimTest) record = (ShimTest *) shim_register_get (reg, SHIM_TYPE_TEST, test, error);
  g_autoptr (ShimPair) pair = NULL;
  g_autoptr (ShimBody) body = NULL;
  g_autofree char *low = NULL;
  g_autofree char *high = NULL;

  if (record == NULL)
    return FALSE;
  pair = (ShimPair *) shim_register_get (reg, SHIM_TYPE_PAIR, record->pair, error);
  if (pair == NULL)
    return FALSE;
  body = (ShimBody *) shim_register_get (reg, SHIM_TYPE_BODY, pair->body, error);
  if (body == NULL)
    return FALSE;
  if ((body->range_min == SHIM_NO_INT || setting >= body->range_min)
      && (body->range_max == SHIM_NO_INT || setting <= body->range_max))
    return TRUE;
  low = shim_format_setting (body->range_min);
  high = shim_format_setting (body->range_max);
  g_set_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION,
               _ ("“%s” takes settings from %s to %s."), shim_ops_kit_item_name (SHIM_RECORD (body)), low, high);
  return FALSE;
}

/**
 * shim_ops_test_add_round:
 * @reg: a register
 * @test: id of a test
 * @setting: keyed in while it is taken
 * @error: #ShimWorkspaceError CONTRADICTION when the body does not take that setting; a #ShimStoreError
 *
 * When the newest round is at this setting and still empty, that one is handed out.
 *
 * Returns: (transfer full) (nullable): the round
 */
ShimRound *
shim_ops_test_add_round (ShimRegister *reg, const char *test, gint64 setting, GError **error)
{
  g_return_val_if_fail (reg != NULL && test != NULL, NULL);

  if (!check_setting (reg, test, setting, error))
    return NULL;
  return add_round (reg, test, "setting", setting, error);
}

/**
 * shim_ops_test_add_reference:
 * @reg: a register
 * @test: id of a test
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): a reference round
 */
ShimRound *
shim_ops_test_add_reference (ShimRegister *reg, const char *test, GError **error)
{
  g_return_val_if_fail (reg != NULL && test != NULL, NULL);

  return add_round (reg, test, "reference", SHIM_NO_INT, error);
}
