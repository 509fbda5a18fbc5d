/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-core-error.h"
#include "shim-kit-judge.h"
#include "shim-kit-model.h"
#include "shim-stats.h"

/* The dense matrix of the smaller side: 4000 × 4000 doubles are 128 MB. No school, agency or rental house has
 * so many of both. */
#define MOST_FEW 4000

#define NOBODY G_MAXUINT

struct _ShimKitModel
{
  ShimKitModelOptions options;
  guint n_bodies;
  guint n_lenses;
  gsize n_readings;
  guint n_groups;
  ShimKitGroup **groups;
  guint *n_partners; /* of each item, different ones */
  guint *place; /* of each item (bodies first) on its side of its group */
  ShimKitTerm *terms;
  ShimKitFit *fits;
  double *few_spread; /* of each group: standard deviation of the terms, NAN below three */
  double *many_spread;
};

static gboolean
check (const ShimKitReading *readings, gsize n, guint n_bodies, guint n_lenses, GError **error)
{
  if (n == 0)
    {
      g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW,
                           "No pair of the kit has been measured yet.");
      return FALSE;
    }
  for (gsize i = 0; i < n; i++)
    if (readings[i].body >= n_bodies || readings[i].lens >= n_lenses || !isfinite (readings[i].defocus_um)
        || !isfinite (readings[i].se_um) || !(readings[i].se_um > 0.0))
      {
        g_set_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                     "Measured pair %" G_GSIZE_FORMAT
                     " names no item of the kit, or has no error with a standard error above zero.",
                     i + 1);
        return FALSE;
      }
  return TRUE;
}

static guint
find_root (guint *parent, guint item)
{
  while (parent[item] != item)
    {
      parent[item] = parent[parent[item]];
      item = parent[item];
    }
  return item;
}

/* Numbers the groups of linked items in the order of the readings; @group gets the number of each item,
 * NOBODY without a reading. */
static guint
find_groups (const ShimKitReading *readings, gsize n, guint n_bodies, guint n_items, guint *group)
{
  g_autofree guint *parent = g_new (guint, n_items);
  g_autofree guint *number = g_new (guint, n_items);
  guint n_groups = 0;

  for (guint i = 0; i < n_items; i++)
    {
      parent[i] = i;
      number[i] = group[i] = NOBODY;
    }
  for (gsize i = 0; i < n; i++)
    parent[find_root (parent, readings[i].body)] = find_root (parent, n_bodies + readings[i].lens);
  for (gsize i = 0; i < n; i++)
    {
      const guint root = find_root (parent, readings[i].body);

      if (number[root] == NOBODY)
        number[root] = n_groups++;
      group[readings[i].body] = group[n_bodies + readings[i].lens] = number[root];
    }
  return n_groups;
}

/* Sizes of the groups, and each item's place on its side. */
typedef struct
{
  guint n_bodies;
  guint n_lenses;
  gsize n_readings;
} Size;

static Size *
count_sizes (ShimKitModel *self, const ShimKitReading *readings, const guint *group)
{
  Size *sizes = g_new0 (Size, self->n_groups);

  for (guint i = 0; i < self->n_bodies + self->n_lenses; i++)
    if (group[i] != NOBODY)
      self->place[i] = i < self->n_bodies ? sizes[group[i]].n_bodies++ : sizes[group[i]].n_lenses++;
  for (gsize i = 0; i < self->n_readings; i++)
    sizes[group[readings[i].body]].n_readings++;
  return sizes;
}

static guint
many_of (const ShimKitModel *self, const ShimKitGroup *group, const ShimKitReading *reading)
{
  return group->few_is_body ? self->place[self->n_bodies + reading->lens] : self->place[reading->body];
}

static guint
few_of (const ShimKitModel *self, const ShimKitGroup *group, const ShimKitReading *reading)
{
  return group->few_is_body ? self->place[reading->body] : self->place[self->n_bodies + reading->lens];
}

/* Hands the readings to their groups, sorted by item of the larger side (counting sort). */
static void
distribute (ShimKitModel *self, const ShimKitReading *readings, const guint *group_of)
{
  for (gsize i = 0; i < self->n_readings; i++)
    {
      ShimKitGroup *group = self->groups[group_of[readings[i].body]];

      group->start[many_of (self, group, &readings[i]) + 1]++;
    }
  for (guint g = 0; g < self->n_groups; g++)
    for (guint many = 0; many < self->groups[g]->n_many; many++)
      self->groups[g]->start[many + 1] += self->groups[g]->start[many];
  for (gsize i = self->n_readings; i-- > 0;)
    {
      ShimKitGroup *group = self->groups[group_of[readings[i].body]];
      /* filled from the back; start[many + 1] serves as the cursor and ends where start[many] belongs */
      const gsize at = --group->start[many_of (self, group, &readings[i]) + 1];

      group->reading[at] = i;
      group->few[at] = few_of (self, group, &readings[i]);
      group->y[at] = readings[i].defocus_um;
      group->sigma[at] = readings[i].se_um;
    }
  for (guint g = 0; g < self->n_groups; g++)
    {
      ShimKitGroup *group = self->groups[g];

      for (guint many = 0; many < group->n_many; many++)
        group->start[many] = group->start[many + 1];
      group->start[group->n_many] = group->n;
    }
}

static double
spread_of (const double *terms, gsize n)
{
  return n < 3 ? NAN : shim_stats_sd (terms, n);
}

/* Terms of one side of a group: centred, with standard errors, and judged. */
static void
set_terms (ShimKitModel *self, const guint *group_of, guint g, gboolean bodies)
{
  const ShimKitGroup *group = self->groups[g];
  const gboolean is_few = bodies == group->few_is_body;
  const double *own = is_few ? group->few_term : group->many_term;
  const double *other = is_few ? group->many_term : group->few_term;
  const gsize n = is_few ? group->n_few : group->n_many, n_other = is_few ? group->n_many : group->n_few;
  const double own_mean = shim_stats_mean (own, n), other_mean = shim_stats_mean (other, n_other);
  const double factor = shim_kit_group_factor (group, self->options.use_scatter);
  const guint first = bodies ? 0 : self->n_bodies, last = bodies ? self->n_bodies : self->n_bodies + self->n_lenses;
  g_autofree double *levels = g_new (double, n);
  const ShimKitSide side = { levels, n, is_few ? self->many_spread[g] : self->few_spread[g],
                             self->options.off_limit_um };

  for (gsize i = 0; i < n; i++)
    levels[i] = own[i] + other_mean;
  for (guint item = first; item < last; item++)
    {
      ShimKitTerm *term = &self->terms[item];
      const guint at = self->place[item];
      double level_se_um;

      if (group_of[item] != g)
        continue;
      term->known = TRUE;
      term->component = g;
      term->term_um = own[at] - own_mean;
      term->level_um = levels[at];
      term->se_um = sqrt (MAX (shim_kit_group_term_var (group, is_few, at), 0.0) * factor);
      level_se_um = sqrt (MAX (shim_kit_group_level_var (group, is_few, at), 0.0) * factor);
      shim_kit_judge_item (&side, at, self->n_partners[item], n >= 3 ? term->se_um : level_se_um, term);
    }
}

/* Readings and different partners of each item. */
static void
count_readings (ShimKitModel *self, const ShimKitReading *readings)
{
  g_autoptr (GHashTable) seen = g_hash_table_new (g_int64_hash, g_int64_equal);
  g_autofree gint64 *pairs = g_new (gint64, self->n_readings);

  for (gsize i = 0; i < self->n_readings; i++)
    {
      const guint body = readings[i].body, lens = self->n_bodies + readings[i].lens;

      self->terms[body].n_readings++;
      self->terms[lens].n_readings++;
      pairs[i] = (gint64) body * self->n_lenses + readings[i].lens;
      if (!g_hash_table_add (seen, &pairs[i]))
        continue;
      self->n_partners[body]++;
      self->n_partners[lens]++;
    }
}

static gboolean
solve_groups (ShimKitModel *self, const ShimKitReading *readings, const guint *group_of, GError **error)
{
  count_readings (self, readings);
  for (guint g = 0; g < self->n_groups; g++)
    {
      ShimKitGroup *group = self->groups[g];

      if (group->n_few > MOST_FEW)
        {
          g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                               "The kit has too many bodies and lenses to be explained together.");
          return FALSE;
        }
      if (!shim_kit_group_solve (group, self->options.robust, self->options.use_scatter, error))
        return FALSE;
      self->few_spread[g] = spread_of (group->few_term, group->n_few);
      self->many_spread[g] = spread_of (group->many_term, group->n_many);
      set_terms (self, group_of, g, TRUE);
      set_terms (self, group_of, g, FALSE);
      shim_kit_judge_group (group, self->options.use_scatter, self->fits);
    }
  return TRUE;
}

ShimKitModel *
shim_kit_model_new (const ShimKitReading *readings, gsize n, guint n_bodies, guint n_lenses,
                    const ShimKitModelOptions *options, GError **error)
{
  g_autoptr (ShimKitModel) self = NULL;
  g_autofree guint *group_of = NULL;
  g_autofree Size *sizes = NULL;

  g_return_val_if_fail (readings != NULL || n == 0, NULL);
  g_return_val_if_fail (n_lenses < NOBODY - n_bodies, NULL);

  if (!check (readings, n, n_bodies, n_lenses, error))
    return NULL;

  self = g_new0 (ShimKitModel, 1);
  self->options = options != NULL ? *options : (ShimKitModelOptions) { .robust = TRUE };
  if (!(self->options.off_limit_um > 0.0))
    self->options.off_limit_um = SHIM_KIT_OFF_LIMIT_UM;
  self->n_bodies = n_bodies;
  self->n_lenses = n_lenses;
  self->n_readings = n;
  self->n_partners = g_new0 (guint, n_bodies + n_lenses);
  self->place = g_new0 (guint, n_bodies + n_lenses);
  self->terms = g_new0 (ShimKitTerm, n_bodies + n_lenses);
  self->fits = g_new0 (ShimKitFit, n);
  group_of = g_new (guint, n_bodies + n_lenses);
  self->n_groups = find_groups (readings, n, n_bodies, n_bodies + n_lenses, group_of);
  self->few_spread = g_new0 (double, self->n_groups);
  self->many_spread = g_new0 (double, self->n_groups);
  self->groups = g_new0 (ShimKitGroup *, self->n_groups);
  sizes = count_sizes (self, readings, group_of);
  for (guint g = 0; g < self->n_groups; g++)
    self->groups[g] =
        shim_kit_group_new (sizes[g].n_bodies <= sizes[g].n_lenses, MIN (sizes[g].n_bodies, sizes[g].n_lenses),
                            MAX (sizes[g].n_bodies, sizes[g].n_lenses), sizes[g].n_readings);
  distribute (self, readings, group_of);
  if (!solve_groups (self, readings, group_of, error))
    return NULL;
  return g_steal_pointer (&self);
}

void
shim_kit_model_free (ShimKitModel *self)
{
  if (self == NULL)
    return;
  for (guint g = 0; g < self->n_groups; g++)
    shim_kit_group_free (self->groups[g]);
  g_free (self->groups);
  g_free (self->n_partners);
  g_free (self->place);
  g_free (self->terms);
  g_free (self->fits);
  g_free (self->few_spread);
  g_free (self->many_spread);
  g_free (self);
}

guint
shim_kit_model_n_components (const ShimKitModel *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->n_groups;
}

double
shim_kit_model_mean_um (const ShimKitModel *self, guint component)
{
  const ShimKitGroup *group;

  g_return_val_if_fail (self != NULL && component < self->n_groups, NAN);

  group = self->groups[component];
  return shim_stats_mean (group->few_term, group->n_few) + shim_stats_mean (group->many_term, group->n_many);
}

double
shim_kit_model_scatter_um (const ShimKitModel *self, guint component, double *df)
{
  const ShimKitGroup *group;

  g_return_val_if_fail (self != NULL && component < self->n_groups, NAN);

  group = self->groups[component];
  if (df != NULL)
    *df = group->df;
  return group->df > 0.5 ? sqrt (group->chi_squared / group->df * group->typical_var) : NAN;
}

double
shim_kit_model_residual_ss (const ShimKitModel *self, guint component)
{
  g_return_val_if_fail (self != NULL && component < self->n_groups, NAN);

  return self->groups[component]->residual_ss;
}

const ShimKitTerm *
shim_kit_model_get_body (const ShimKitModel *self, guint body)
{
  g_return_val_if_fail (self != NULL && body < self->n_bodies, NULL);

  return &self->terms[body];
}

const ShimKitTerm *
shim_kit_model_get_lens (const ShimKitModel *self, guint lens)
{
  g_return_val_if_fail (self != NULL && lens < self->n_lenses, NULL);

  return &self->terms[self->n_bodies + lens];
}

const ShimKitFit *
shim_kit_model_get_fit (const ShimKitModel *self, gsize reading)
{
  g_return_val_if_fail (self != NULL && reading < self->n_readings, NULL);

  return &self->fits[reading];
}

/* A partner without readings: one drawn from among the known ones, whose mean is known from that many. */
static gboolean
predict_one_sided (const ShimKitModel *self, const ShimKitTerm *term, guint item, gboolean is_body,
                   ShimKitPrediction *result)
{
  const ShimKitGroup *group = self->groups[term->component];
  const gboolean is_few = is_body == group->few_is_body;
  const double spread = is_few ? self->many_spread[term->component] : self->few_spread[term->component];
  const double n_partners = is_few ? group->n_many : group->n_few;
  double variance;

  if (!isfinite (spread))
    return FALSE;
  variance = shim_kit_group_level_var (group, is_few, self->place[item]);
  result->basis = is_body ? SHIM_PREDICTION_BODY_ONLY : SHIM_PREDICTION_LENS_ONLY;
  result->defocus_um = term->level_um;
  result->se_um = sqrt (MAX (variance, 0.0) * shim_kit_group_factor (group, self->options.use_scatter)
                        + spread * spread * (1.0 + 1.0 / n_partners));
  return TRUE;
}

gboolean
shim_kit_model_predict (const ShimKitModel *self, guint body, guint lens, ShimKitPrediction *result)
{
  const ShimKitTerm *body_term, *lens_term;
  const ShimKitGroup *group;
  double factor;

  g_return_val_if_fail (self != NULL && result != NULL, FALSE);
  g_return_val_if_fail (body < self->n_bodies && lens < self->n_lenses, FALSE);

  *result = (ShimKitPrediction) { SHIM_PREDICTION_NONE, NAN, NAN, NAN };
  body_term = &self->terms[body];
  lens_term = &self->terms[self->n_bodies + lens];
  if (body_term->known == lens_term->known && (!body_term->known || body_term->component != lens_term->component))
    return FALSE;

  group = self->groups[body_term->known ? body_term->component : lens_term->component];
  factor = shim_kit_group_factor (group, self->options.use_scatter);
  if (body_term->known && lens_term->known)
    {
      const guint few = self->place[group->few_is_body ? body : self->n_bodies + lens];
      const guint many = self->place[group->few_is_body ? self->n_bodies + lens : body];

      result->basis = SHIM_PREDICTION_BOTH;
      result->defocus_um = group->few_term[few] + group->many_term[many];
      result->se_um = sqrt (MAX (shim_kit_group_sum_var (group, few, many), 0.0) * factor);
    }
  else if (!predict_one_sided (self, body_term->known ? body_term : lens_term,
                               body_term->known ? body : self->n_bodies + lens, body_term->known, result))
    return FALSE;
  result->single_se_um = sqrt (result->se_um * result->se_um + group->typical_var * factor);
  return TRUE;
}
