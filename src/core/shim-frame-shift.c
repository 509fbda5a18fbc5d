/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <string.h>

#include "shim-frame-shift.h"
#include "shim-gsl.h"
#include "shim-shift-patches.h"
#include "shim-shift-search.h"
#include "shim-stats.h"

#define MAX_LEVELS 6
/* The coarsest level holds at most so many samples of the marked piece: all places are tried on it. */
#define COARSE_SAMPLES 4000
/* How often the patches are compared on each of the two finest levels, and weighed anew in between. */
#define ROUNDS_HALVED 4
#define ROUNDS_FULL 2
#define WEIGHINGS 6
/* Shift in x and y, turn, growth. */
#define N_UNKNOWN 4

/* A patch agrees when its own shift is no further off than this, and it looks alike. */
#define AGREE_PX 0.6
#define AGREE_LIKENESS 0.4
/* Agreement below so many patches, or such a share of those with anything in them, is chance. */
#define LEAST_AGREEING 4
#define LEAST_SHARE 0.4
/* No patch is trusted better than that. */
#define LEAST_SPREAD_PX 0.02
/* Refocusing changes the scale a little; more than that is a camera that moved. */
#define MAX_BREATHING 0.01

typedef struct
{
  ShimLevel *before[MAX_LEVELS];
  ShimLevel *after[MAX_LEVELS];
  guint n_levels;
  GArray *patches;
  double *weight;
  double *miss_px;
  double half_px;
  ShimFrameShift shift;
} Finder;

/**
 * shim_frame_shift_apply:
 * @self: a shift
 * @px: a place in the marked frame
 *
 * Returns: where the same thing lies in the other frame
 */
ShimPoint
shim_frame_shift_apply (const ShimFrameShift *self, ShimPoint px)
{
  const double x = px.x - self->middle_px.x, y = px.y - self->middle_px.y;

  return (ShimPoint) { px.x + self->dx_px + self->growth * x - self->turn_rad * y,
                       px.y + self->dy_px + self->turn_rad * x + self->growth * y };
}

/**
 * shim_frame_shift_movement_px:
 * @self: a shift
 * @picture_width: columns of the picture
 * @picture_height: its rows
 * @half_length_px: from the middle of the marks to their ends
 *
 * Focusing anew makes the picture a little larger or smaller about its middle. What is left of the shift without that
 * is the camera's, or the ruler's, doing.
 *
 * Returns: by how many pixels the marks moved on that account
 */
double
shim_frame_shift_movement_px (const ShimFrameShift *self, int picture_width, int picture_height,
                              double half_length_px)
{
  const double x = self->middle_px.x - 0.5 * picture_width, y = self->middle_px.y - 0.5 * picture_height;
  const double breathing = CLAMP (self->growth, -MAX_BREATHING, MAX_BREATHING);

  return hypot (self->dx_px - breathing * x, self->dy_px - breathing * y)
         + (fabs (self->turn_rad) + fabs (self->growth - breathing)) * half_length_px;
}

static void
make_levels (Finder *self, const ShimLuma *before, const ShimLuma *after)
{
  self->before[0] = shim_level_new (before);
  self->after[0] = shim_level_new (after);
  for (self->n_levels = 1; self->n_levels < MAX_LEVELS; self->n_levels++)
    {
      const ShimLevel *last = self->before[self->n_levels - 1];

      if (self->n_levels >= 3 && last->width * last->height <= COARSE_SAMPLES)
        break;
      self->before[self->n_levels] = shim_level_halve (last);
      self->after[self->n_levels] = shim_level_halve (self->after[self->n_levels - 1]);
    }
}

static void
finder_clear (Finder *self)
{
  for (guint i = 0; i < self->n_levels; i++)
    {
      shim_level_free (self->before[i]);
      shim_level_free (self->after[i]);
    }
  g_clear_pointer (&self->patches, g_array_unref);
  g_free (self->weight);
  g_free (self->miss_px);
}

/* How the two shifts of a patch depend on the four unknowns; turn and growth count at the piece's corner, so that
 * all four are pixels. */
static void
dependence (const Finder *self, const ShimShiftPatch *patch, double j[2][N_UNKNOWN])
{
  const double x = (patch->at_px.x - self->shift.middle_px.x) / self->half_px;
  const double y = (patch->at_px.y - self->shift.middle_px.y) / self->half_px;

  j[0][0] = 1.0;
  j[0][1] = 0.0;
  j[0][2] = -y;
  j[0][3] = x;
  j[1][0] = 0.0;
  j[1][1] = 1.0;
  j[1][2] = x;
  j[1][3] = y;
}

static void
add_patch (const Finder *self, const ShimShiftPatch *patch, double weight, double normal[N_UNKNOWN * N_UNKNOWN],
           double side[N_UNKNOWN])
{
  const double xx = patch->normal[0], xy = patch->normal[1], yy = patch->normal[2];
  double j[2][N_UNKNOWN];

  dependence (self, patch, j);
  for (int r = 0; r < N_UNKNOWN; r++)
    {
      const double ax = weight * (j[0][r] * xx + j[1][r] * xy), ay = weight * (j[0][r] * xy + j[1][r] * yy);

      for (int c = 0; c < N_UNKNOWN; c++)
        normal[r * N_UNKNOWN + c] += ax * j[0][c] + ay * j[1][c];
      side[r] += weight * (j[0][r] * patch->side[0] + j[1][r] * patch->side[1]);
    }
}

/* Solves with the present weights. @normal becomes the inverse. */
static gboolean
solve (const Finder *self, double normal[N_UNKNOWN * N_UNKNOWN], double unknown[N_UNKNOWN])
{
  gsl_matrix_view matrix = gsl_matrix_view_array (normal, N_UNKNOWN, N_UNKNOWN);
  gsl_vector_view right = gsl_vector_view_array (unknown, N_UNKNOWN);
  double trace = 0.0;

  memset (normal, 0, N_UNKNOWN * N_UNKNOWN * sizeof *normal);
  memset (unknown, 0, N_UNKNOWN * sizeof *unknown);
  for (guint i = 0; i < self->patches->len; i++)
    add_patch (self, &g_array_index (self->patches, ShimShiftPatch, i), self->weight[i], normal, unknown);
  for (int i = 0; i < N_UNKNOWN; i++)
    trace += normal[i * N_UNKNOWN + i];
  /* Keeps what nothing tells from running away. */
  for (int i = 0; i < N_UNKNOWN; i++)
    normal[i * N_UNKNOWN + i] += 1e-6 * trace;
  return trace > 0.0 && gsl_linalg_cholesky_decomp1 (&matrix.matrix) == GSL_SUCCESS
         && gsl_linalg_cholesky_svx (&matrix.matrix, &right.vector) == GSL_SUCCESS
         && gsl_linalg_cholesky_invert (&matrix.matrix) == GSL_SUCCESS;
}

/* How far the own shift of a patch lies from the common one, in the directions it can tell at all. */
static double
patch_miss_px (const Finder *self, const ShimShiftPatch *patch, const double unknown[N_UNKNOWN])
{
  const double xx = patch->normal[0], xy = patch->normal[1], yy = patch->normal[2];
  const double loading = 0.01 * (xx + yy), det = (xx + loading) * (yy + loading) - xy * xy;
  double j[2][N_UNKNOWN], ex, ey;

  if (det <= 0.0)
    return INFINITY;
  dependence (self, patch, j);
  ex = ((yy + loading) * patch->side[0] - xy * patch->side[1]) / det;
  ey = ((xx + loading) * patch->side[1] - xy * patch->side[0]) / det;
  for (int k = 0; k < N_UNKNOWN; k++)
    {
      ex -= j[0][k] * unknown[k];
      ey -= j[1][k] * unknown[k];
    }
  return sqrt ((ex * ex * xx + 2.0 * ex * ey * xy + ey * ey * yy) / (xx + yy));
}

static double
spread_px (const Finder *self)
{
  g_autofree double *miss = g_new (double, self->patches->len + 1);
  guint n = 0;

  for (guint i = 0; i < self->patches->len; i++)
    if (g_array_index (self->patches, ShimShiftPatch, i).has_texture && isfinite (self->miss_px[i]))
      miss[n++] = self->miss_px[i];
  return n > 0 ? MAX (shim_stats_median (miss, n), LEAST_SPREAD_PX) : LEAST_SPREAD_PX;
}

/* The shift that most patches tell: weighed down is what lies off it (Cauchy's weights). */
static gboolean
fit (Finder *self, double inverse[N_UNKNOWN * N_UNKNOWN], double unknown[N_UNKNOWN])
{
  const guint n = self->patches->len;

  for (guint i = 0; i < n; i++)
    {
      const ShimShiftPatch *patch = &g_array_index (self->patches, ShimShiftPatch, i);

      self->weight[i] = patch->has_texture ? MAX (patch->likeness, 0.0) : 0.0;
    }
  for (int round = 0; round < WEIGHINGS; round++)
    {
      double scale;

      if (!solve (self, inverse, unknown))
        return FALSE;
      for (guint i = 0; i < n; i++)
        self->miss_px[i] = patch_miss_px (self, &g_array_index (self->patches, ShimShiftPatch, i), unknown);
      scale = 2.0 * spread_px (self);
      for (guint i = 0; i < n; i++)
        {
          const ShimShiftPatch *patch = &g_array_index (self->patches, ShimShiftPatch, i);
          const double off = self->miss_px[i] / scale;

          self->weight[i] = patch->has_texture && isfinite (off) ? MAX (patch->likeness, 0.0) / (1.0 + off * off) : 0.0;
        }
    }
  return TRUE;
}

static void
move_on (Finder *self, const double unknown[N_UNKNOWN])
{
  self->shift.dx_px += unknown[0];
  self->shift.dy_px += unknown[1];
  self->shift.turn_rad += unknown[2] / self->half_px;
  self->shift.growth += unknown[3] / self->half_px;
}

/* What the patches scatter by is what the common shift may be off by. */
static void
judge (Finder *self, const double inverse[N_UNKNOWN * N_UNKNOWN])
{
  double squares = 0.0, weights = 0.0;

  self->shift.n_patches = self->shift.n_agreeing = 0;
  for (guint i = 0; i < self->patches->len; i++)
    {
      const ShimShiftPatch *patch = &g_array_index (self->patches, ShimShiftPatch, i);
      const double trace = patch->normal[0] + patch->normal[2];

      if (!patch->has_texture)
        continue;
      self->shift.n_patches++;
      if (!(self->miss_px[i] <= AGREE_PX) || patch->likeness < AGREE_LIKENESS)
        continue;
      self->shift.n_agreeing++;
      squares += self->weight[i] * trace * self->miss_px[i] * self->miss_px[i];
      weights += self->weight[i];
    }
  /* Each patch has two shifts to tell, four unknowns are taken from all. */
  self->shift.se_px =
    sqrt (squares / MAX (2.0 * weights - N_UNKNOWN, 1.0) * 0.5 * (inverse[0] + inverse[N_UNKNOWN + 1]));
}

static gboolean
refine (Finder *self)
{
  double inverse[N_UNKNOWN * N_UNKNOWN], unknown[N_UNKNOWN];

  for (int level = 1; level >= 0; level--)
    for (int round = 0; round < (level > 0 ? ROUNDS_HALVED : ROUNDS_FULL); round++)
      {
        shim_shift_patches_compare (self->patches, self->before[level], self->after[level], &self->shift);
        if (!fit (self, inverse, unknown))
          return FALSE;
        move_on (self, unknown);
      }
  judge (self, inverse);
  return TRUE;
}

static gboolean
is_agreed (const ShimFrameShift *shift)
{
  return shift->n_agreeing >= LEAST_AGREEING && shift->n_agreeing >= LEAST_SHARE * shift->n_patches
         && isfinite (shift->se_px);
}

/**
 * shim_frame_shift_find:
 * @before: a piece of the marked frame, about its marks
 * @after: a piece of another frame that reaches further, by #SHIM_FRAME_SHIFT_REACH_PX where the picture allows
 * @shift: (out): where the marks lie in the other frame
 *
 * Finds by a small part of a pixel how far the picture moved from one frame to the other, whatever became of focus and
 * light. Many patches tell it and the majority counts: a hand over a part of the ruler does no harm.
 *
 * Returns: whether enough of them agree; else the frames do not show the same, or not within reach
 */
gboolean
shim_frame_shift_find (const ShimLuma *before, const ShimLuma *after, ShimFrameShift *shift)
{
  Finder self = { 0 };
  gboolean found;

  g_return_val_if_fail (before != NULL && after != NULL && shift != NULL, FALSE);

  shim_gsl_init ();
  make_levels (&self, before, after);
  self.patches = shim_shift_patches_new (&before->rect);
  self.weight = g_new0 (double, self.patches->len);
  self.miss_px = g_new0 (double, self.patches->len);
  self.shift.middle_px = (ShimPoint) { before->rect.x + 0.5 * before->rect.width,
                                       before->rect.y + 0.5 * before->rect.height };
  self.half_px = 0.5 * hypot (before->rect.width, before->rect.height);
  found = shim_shift_search (self.before, self.after, self.n_levels, &self.shift.dx_px, &self.shift.dy_px)
          && refine (&self) && is_agreed (&self.shift);
  *shift = self.shift;
  finder_clear (&self);
  return found;
}
