/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_multifit.h>
#include <gsl/gsl_sort_double.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>

#include "shim-edge-side.h"
#include "shim-gsl.h"
#include "shim-optics.h"
#include "shim-ruler-geometry.h"
#include "shim-strip-edge.h"

/* Far from the sharp line the finest ticks are gone, and what is left is not enough to measure on. The ruler's two long edges
 * still show how blur grows along it, and by their coming together which way it runs away. The second moment of an
 * edge's slope is that of lens and sensor plus c²/16 of the blur circle, whose diameter c is linear along the ruler:
 * a parabola, a0 + a1 x + a2 x², with its vertex at the sharp line. */

#define MIN_LOOKS 8
/* So many standard errors make the blur's growth at the ruler's end, and the edges' coming together, certain. */
#define GROWTH_SURE 3.5
#define CONTRARY 1.0
#define CONTRARY_TOGETHER 2.5
/* Edges that end so near to where the pixels end may go on beyond. */
#define CUT_PX (3.5 * SHIM_STRIP_EDGE_ROWS)
/* The two edges of one ruler end this near to each other. */
#define TOGETHER_PX (3.5 * SHIM_STRIP_EDGE_ROWS)
/* The scale ends about so far beyond the last look that is used. */
#define END_PX (1.0 * SHIM_STRIP_EDGE_ROWS)
/* Second moment by which the edge with the ticks exceeds a clean one, pixels squared. */
#define STEPPED_PX2 1.5
#define FAR_SURE 4.0
/* Blur at the sharper end is at most this share of the other's, or less by so much, pixels squared. */
#define MIN_GROWTH_PX2 0.6
/* How well the parabola's curvature follows from f-number and perspective, as a share. */
#define CURVATURE_SD 0.6
#define TUKEY 4.685
#define ROUNDS 8
/* The two edges must agree about the place of the sharp end; each look's place is good to this at best, pixels. */
#define PLACE_FLOOR_PX 0.1
/* A bound is drawn in by this share for what the distance, the strip's margins and the perspective may be wrong by. */
#define BOUND_KEPT 0.85
#define REACH_PX 160.0
/* Codes from here on may be clipped in red and green; edges of a ruler of which more than this share is so do not show its blur. */
#define CLIPPED_CODE 250
#define MAX_CLIPPED 0.2
/* How far beside the ruler the target line may be given, in widths of the ruler. */
#define TARGET_WIDTHS 7.0

typedef struct
{
  gboolean ok;
  double v_lo, v_hi;  /* what both edges were followed over */
  double u0, u1;      /* middle between the edges at v_mid, and its slope */
  double v_mid;
  double width;       /* between the edges, pixels */
  double perspective; /* c of 1 + c (v − v_mid), by which the ruler's width shrinks where it runs away */
  double perspective_se;
  double v_cut_lo, v_cut_hi; /* the pixels end here */
  gboolean ends_lo, ends_hi; /* both edges end there together, before the pixels do */
  int sharp_sign;     /* +1: sharpest beyond v_hi, −1: beyond v_lo, 0: neither is certain */
} Edges;

/* Weighted least squares with outliers rejected; @n_prior rows at the end are always kept. */
static gboolean
fit_robust (const gsl_matrix *x, const gsl_vector *y, const gsl_vector *w, guint n_prior, gsl_vector *c, gsl_matrix *cov)
{
  const guint n = (guint) x->size1, n_data = n - n_prior;
  gsl_multifit_linear_workspace *workspace = gsl_multifit_linear_alloc (n, x->size2);
  gsl_vector *weights = gsl_vector_alloc (n), *left = gsl_vector_alloc (n);
  g_autofree double *sizes = g_new (double, n_data);
  double chisq, scatter = 1.0, kept = 0.0;
  gboolean ok = TRUE;

  gsl_vector_memcpy (weights, w);
  for (int round = 0; round < ROUNDS && ok; round++)
    {
      ok = gsl_multifit_wlinear (x, weights, y, c, cov, &chisq, workspace) == GSL_SUCCESS;
      gsl_multifit_linear_residuals (x, y, c, left);
      for (guint i = 0; i < n_data; i++)
        sizes[i] = fabs (gsl_vector_get (left, i)) * sqrt (gsl_vector_get (w, i));
      scatter = MAX (1.4826 * gsl_stats_median (sizes, 1, n_data), 1e-6);
      kept = 0.0;
      for (guint i = 0; i < n_data; i++)
        {
          const double z = fabs (gsl_vector_get (left, i)) * sqrt (gsl_vector_get (w, i)) / scatter / TUKEY;
          const double keep = z < 1.0 ? (1.0 - z * z) * (1.0 - z * z) : 0.0;

          kept += keep;
          gsl_vector_set (weights, i, keep * gsl_vector_get (w, i) / (scatter * scatter));
        }
    }
  gsl_multifit_linear_free (workspace);
  gsl_vector_free (weights);
  gsl_vector_free (left);
  return ok && kept > MAX (MIN_LOOKS, 0.5 * n_data);
}

/* Places of one edge: a straight line, u = p0 + p1 x, x = v − v_mid. */
static gboolean
fit_place (const GArray *looks, double v_mid, double place[2], double var[2])
{
  const guint n = looks->len;
  gsl_matrix *x = gsl_matrix_alloc (n, 2), *cov = gsl_matrix_alloc (2, 2);
  gsl_vector *y = gsl_vector_alloc (n), *w = gsl_vector_alloc (n), *c = gsl_vector_alloc (2);
  gboolean ok;

  for (guint i = 0; i < n; i++)
    {
      const ShimEdgeLook *look = &g_array_index (looks, ShimEdgeLook, i);

      gsl_matrix_set (x, i, 0, 1.0);
      gsl_matrix_set (x, i, 1, look->v - v_mid);
      gsl_vector_set (y, i, look->u);
      gsl_vector_set (w, i, 1.0 / (PLACE_FLOOR_PX * PLACE_FLOOR_PX));
    }
  ok = fit_robust (x, y, w, 0, c, cov);
  for (int k = 0; k < 2; k++)
    {
      place[k] = gsl_vector_get (c, k);
      var[k] = gsl_matrix_get (cov, k, k);
    }
  gsl_matrix_free (x);
  gsl_matrix_free (cov);
  gsl_vector_free (y);
  gsl_vector_free (w);
  gsl_vector_free (c);
  return ok;
}

/* Curvature that f-number and perspective give the parabola: (blur circle in pixels per pixel)² / 16; NAN = not known. */
static double
usual_curvature (const ShimMeasureRequest *request, double perspective)
{
  const double distance_mm = request->distance_mm > 0.0 ? request->distance_mm
                                                        : shim_optics_test_distance_mm (request->focal_mm);
  const double image_px = request->focal_mm / request->pixel_pitch_mm;
  const double growth = request->focal_mm / request->f_number * image_px * fabs (perspective) / distance_mm;

  return growth > 0.0 && isfinite (growth) ? growth * growth / 16.0 : NAN;
}

/* Growth of the second moment at a place x, per pixel, with its standard error. */
static double
growth_at (const gsl_vector *c, const gsl_matrix *cov, guint slope, double x, double *se)
{
  const double a1 = gsl_vector_get (c, slope), a2 = gsl_vector_get (c, slope + 1);

  *se = sqrt (MAX (0.0, gsl_matrix_get (cov, slope, slope) + 4.0 * x * gsl_matrix_get (cov, slope, slope + 1) +
                          4.0 * x * x * gsl_matrix_get (cov, slope + 1, slope + 1)));
  return a1 + 2.0 * a2 * x;
}

/* What a parabola says of one end: how many standard errors the blur still falls towards it. */
typedef struct
{
  double sure_lo; /* at v_lo, positive: blur falls towards smaller v */
  double sure_hi; /* at v_hi, positive: towards larger v */
  int falls;      /* on the whole: +1 towards larger v, −1 towards smaller, 0 hardly */
} Growth;

static Growth
judge_growth (const Edges *edges, const gsl_vector *c, const gsl_matrix *cov, guint slope)
{
  const double half = 0.5 * (edges->v_hi - edges->v_lo), change = 2.0 * half * gsl_vector_get (c, slope);
  double se_lo, se_hi;
  const double at_lo = growth_at (c, cov, slope, -half - END_PX, &se_lo);
  const double at_hi = growth_at (c, cov, slope, half + END_PX, &se_hi);

  if (fabs (change) < MIN_GROWTH_PX2)
    return (Growth) { .falls = 0 };
  /* Blur that grows ever slower is not that of a lens. */
  if (!(gsl_vector_get (c, slope + 1) > 0.0))
    return (Growth) { -INFINITY, -INFINITY, change > 0.0 ? -1 : +1 };
  return change > 0.0 ? (Growth) { at_lo / se_lo, -INFINITY, -1 } : (Growth) { -INFINITY, -at_hi / se_hi, +1 };
}

/* One parabola for both edges, each with a softness of its own; or for one of them. */
static Growth
fit_growth (const Edges *edges, GArray *const looks[2], double curvature)
{
  const gboolean both = looks[1] != NULL;
  const guint n_data = looks[0]->len + (both ? looks[1]->len : 0), slope = both ? 2 : 1, n_terms = slope + 2;
  const guint n = n_data + (curvature > 0.0 ? 1 : 0);
  gsl_matrix *x = gsl_matrix_calloc (n, n_terms), *cov = gsl_matrix_alloc (n_terms, n_terms);
  gsl_vector *y = gsl_vector_alloc (n), *w = gsl_vector_alloc (n), *c = gsl_vector_alloc (n_terms);
  Growth growth = { .falls = 0 };
  guint row = 0;

  for (guint k = 0; k < (both ? 2u : 1u); k++)
    for (guint i = 0; i < looks[k]->len; i++, row++)
      {
        const ShimEdgeLook *look = &g_array_index (looks[k], ShimEdgeLook, i);
        const double at = look->v - edges->v_mid;

        gsl_matrix_set (x, row, k, 1.0);
        gsl_matrix_set (x, row, slope, at);
        gsl_matrix_set (x, row, slope + 1, at * at);
        gsl_vector_set (y, row, look->variance);
        gsl_vector_set (w, row, 1.0 / pow (0.2 + 0.1 * look->variance, 2.0));
      }
  if (curvature > 0.0)
    {
      gsl_matrix_set (x, row, slope + 1, 1.0);
      gsl_vector_set (y, row, curvature);
      gsl_vector_set (w, row, pow (CURVATURE_SD * curvature, -2.0));
    }
  if (fit_robust (x, y, w, n - n_data, c, cov))
    growth = judge_growth (edges, c, cov, slope);
  gsl_matrix_free (x);
  gsl_matrix_free (cov);
  gsl_vector_free (y);
  gsl_vector_free (w);
  gsl_vector_free (c);
  return growth;
}

/* The stretch that both edges were followed over. Where one goes on far beyond the other, its end is not the ruler's. */
static gboolean
common_stretch (GArray *const looks[2], Edges *edges)
{
  double lo[2], hi[2];

  for (int k = 0; k < 2; k++)
    {
      if (looks[k]->len < MIN_LOOKS)
        return FALSE;
      lo[k] = g_array_index (looks[k], ShimEdgeLook, 0).v;
      hi[k] = g_array_index (looks[k], ShimEdgeLook, looks[k]->len - 1).v;
    }
  edges->v_lo = MAX (lo[0], lo[1]);
  edges->v_hi = MIN (hi[0], hi[1]);
  edges->ends_lo = fabs (lo[0] - lo[1]) < TOGETHER_PX && edges->v_lo > edges->v_cut_lo;
  edges->ends_hi = fabs (hi[0] - hi[1]) < TOGETHER_PX && edges->v_hi < edges->v_cut_hi;
  /* The rows of the first look and of the last may reach beyond the ruler. */
  edges->v_lo += SHIM_STRIP_EDGE_ROWS;
  edges->v_hi -= SHIM_STRIP_EDGE_ROWS;
  edges->v_mid = 0.5 * (edges->v_lo + edges->v_hi);
  return edges->v_hi > edges->v_lo;
}

static void
drop_outside (GArray *looks, const Edges *edges)
{
  for (guint i = looks->len; i > 0; i--)
    {
      const double v = g_array_index (looks, ShimEdgeLook, i - 1).v;

      if (v < edges->v_lo || v > edges->v_hi)
        g_array_remove_index (looks, i - 1);
    }
}

/* The least blur along an edge, but for a few looks. */
static double
least_variance (const GArray *looks)
{
  g_autofree double *sorted = g_new (double, looks->len);

  for (guint i = 0; i < looks->len; i++)
    sorted[i] = g_array_index (looks, ShimEdgeLook, i).variance;
  gsl_sort (sorted, 1, looks->len);
  return gsl_stats_quantile_from_sorted_data (sorted, 1, looks->len, 0.15);
}

/* Either edge alone or both together must be sure, and none may say otherwise. An edge at which the ticks begin is two steps
 * of light side by side: it only has to change in the same sense. */
static int
judge_side (const Edges *edges, GArray *const looks[2], double curvature)
{
  GArray *const low[2] = { looks[0], NULL }, *const high[2] = { looks[1], NULL };
  Growth growth[3] = { fit_growth (edges, looks, curvature), fit_growth (edges, low, curvature),
                       fit_growth (edges, high, curvature) };
  const double excess = least_variance (looks[1]) - least_variance (looks[0]);
  double most[2] = { 0.0, 0.0 }, least[2] = { INFINITY, INFINITY };

  if (fabs (excess) > STEPPED_PX2)
    {
      const Growth *clean = &growth[excess > 0.0 ? 1 : 2], *stepped = &growth[excess > 0.0 ? 2 : 1];

      if (clean->falls * stepped->falls <= 0 || (clean->falls < 0 ? growth[0].sure_lo : growth[0].sure_hi) < -CONTRARY_TOGETHER)
        return 0;
      growth[0] = growth[1] = growth[2] = *clean;
    }
  for (int i = 0; i < 3; i++)
    {
      most[0] = MAX (most[0], growth[i].sure_lo);
      most[1] = MAX (most[1], growth[i].sure_hi);
      least[0] = MIN (least[0], growth[i].sure_lo);
      least[1] = MIN (least[1], growth[i].sure_hi);
    }
  if (most[1] > GROWTH_SURE && least[1] > -CONTRARY)
    return edges->ends_hi ? +1 : 0;
  return most[0] > GROWTH_SURE && least[0] > -CONTRARY && edges->ends_lo ? -1 : 0;
}

static void
look_at_edges (const ShimLuma *luma, const ShimMeasureRequest *request, const ShimStripGuess *guess, Edges *edges)
{
  const ShimEdgeSearch search = {
    .luma = luma,
    .transposed = guess->transposed,
    .u0 = guess->u0,
    .u1 = guess->u1,
    .v_ref = 0.5 * (guess->transposed ? luma->picture_width : luma->picture_height),
    .v_lo = guess->v_lo,
    .v_hi = guess->v_hi,
    .reach_px = MIN (REACH_PX, MAX (guess->width_px, 48.0)),
  };
  g_autoptr (GArray) low = shim_strip_edge_find (&search, -1);
  g_autoptr (GArray) high = shim_strip_edge_find (&search, +1);
  GArray *const looks[2] = { low, high };
  double place[2][2], var[2][2], width;

  *edges = (Edges) { .v_cut_lo = guess->transposed ? luma->rect.x : luma->rect.y };
  edges->v_cut_hi = edges->v_cut_lo + (guess->transposed ? luma->rect.width : luma->rect.height) - CUT_PX;
  edges->v_cut_lo += CUT_PX;
  if (!common_stretch (looks, edges))
    return;
  for (int k = 0; k < 2; k++)
    {
      drop_outside (looks[k], edges);
      if (looks[k]->len < MIN_LOOKS || !fit_place (looks[k], edges->v_mid, place[k], var[k]))
        return;
    }
  width = place[1][0] - place[0][0];
  edges->ok = width > 4.0;
  edges->width = width;
  edges->u0 = 0.5 * (place[0][0] + place[1][0]);
  edges->u1 = 0.5 * (place[0][1] + place[1][1]);
  edges->perspective = (place[1][1] - place[0][1]) / width;
  edges->perspective_se = sqrt (var[0][1] + var[1][1]) / width;
  edges->sharp_sign = judge_side (edges, looks, usual_curvature (request, edges->perspective));
}

/* Which way the ruler runs away: by its edges, and, if that was seen or given, by the rest; 0 when they disagree. */
static int
far_sign (const Edges *edges, const ShimMeasureRequest *request, gboolean transposed, const ShimMeasurement *before)
{
  const int given = shim_ruler_geometry_far_sign (request->far_side, transposed);
  const int seen = shim_ruler_geometry_far_sign (before->far_side, transposed);
  int sign = 0;

  if (fabs (edges->perspective) > FAR_SURE * edges->perspective_se)
    sign = edges->perspective < 0.0 ? +1 : -1;
  if (sign == 0)
    return given != 0 ? given : seen;
  return (given != 0 && given != sign) || (seen != 0 && seen != sign) ? 0 : sign;
}

/* Offset of the edges' sharper end, from depth ∝ 1 / (1 + c x), drawn in by what is not certain; NAN = not known. */
static double
bound_mm (const Edges *edges, const ShimMeasureRequest *request, gboolean transposed)
{
  const double u = transposed ? request->target_px.y : request->target_px.x;
  const double v = transposed ? request->target_px.x : request->target_px.y;
  /* Ticks stand square to the ruler. */
  const double at_target = v - edges->v_mid + edges->u1 * (u - edges->u0 - edges->u1 * (v - edges->v_mid));
  const double at_end = edges->sharp_sign * 0.5 * (edges->v_hi - edges->v_lo);
  const double certain = 1.0 - 2.0 * edges->perspective_se / fabs (edges->perspective);
  const double distance_mm = request->distance_mm > 0.0 ? request->distance_mm
                                                        : shim_optics_test_distance_mm (request->focal_mm);
  const double grow_target = 1.0 + edges->perspective * at_target, grow_end = 1.0 + edges->perspective * at_end;

  if (!request->has_target || !(distance_mm > 0.0) || !(certain > 0.0) || !(grow_target > 0.0) || !(grow_end > 0.0))
    return NAN;
  return distance_mm * (grow_target / grow_end - 1.0) * certain * BOUND_KEPT;
}

/* The target stands beside the ruler; a strip that is far from it is something else. */
static gboolean
target_is_beside (const Edges *edges, const ShimMeasureRequest *request, gboolean transposed)
{
  const double u = transposed ? request->target_px.y : request->target_px.x;
  const double v = transposed ? request->target_px.x : request->target_px.y, length = edges->v_hi - edges->v_lo;

  return !request->has_target || request->has_strip || request->has_click ||
         (v > edges->v_lo - 0.5 * length && v < edges->v_hi + 0.5 * length &&
          fabs (u - edges->u0 - edges->u1 * (v - edges->v_mid)) < TARGET_WIDTHS * edges->width);
}

/* Share of the pixels between the edges that are at the top of the scale; 0 where there are none. */
static double
share_clipped (const ShimLuma *luma, const Edges *edges, gboolean transposed)
{
  const double half = 0.5 * edges->width;
  guint n = 0, clipped = 0;

  for (double v = edges->v_lo; v < edges->v_hi; v += 4.0)
    for (double across = -half; across < half; across += 2.0)
      {
        const double u = edges->u0 + edges->u1 * (v - edges->v_mid) + across;
        const int x = (int) (transposed ? v : u) - luma->rect.x, y = (int) (transposed ? u : v) - luma->rect.y;

        if (x < 0 || y < 0 || x >= luma->rect.width || y >= luma->rect.height)
          continue;
        n++;
        clipped += luma->px[(gsize) y * luma->stride + (gsize) x] >= CLIPPED_CODE;
      }
  return n > 0 ? (double) clipped / n : 0.0;
}

static ShimMeasurement *
off_ruler (const Edges *edges, const ShimMeasureRequest *request, gboolean transposed, int far)
{
  const gboolean beyond = edges->sharp_sign == far;
  const double half = 0.5 * (edges->v_hi - edges->v_lo), bound = bound_mm (edges, request, transposed);
  const ShimPoint a = { edges->u0 - edges->u1 * half, edges->v_lo }, b = { edges->u0 + edges->u1 * half, edges->v_hi };
  ShimMeasurement *measurement =
    shim_measurement_refuse (shim_measurement_new (), beyond ? SHIM_REFUSAL_OFF_RULER_FAR : SHIM_REFUSAL_OFF_RULER_NEAR,
                             beyond
                             ? "The sharp line lies beyond the far end of the ruler, whose edges are blurred even there. "
                               "Move the ruler back or change the setting, so that the sharp line falls on the scale."
                             : "The sharp line lies in front of the near end of the ruler, whose edges are blurred even "
                               "there. Move the ruler nearer or change the setting, so that the sharp line falls on the "
                               "scale.");

  measurement->far_side = shim_ruler_geometry_far_side (far, transposed);
  measurement->strip_a_px = transposed ? (ShimPoint) { a.y, a.x } : a;
  measurement->strip_b_px = transposed ? (ShimPoint) { b.y, b.x } : b;
  measurement->focal_mm = request->focal_mm;
  measurement->f_number = request->f_number;
  /* The target line lies on the ruler, so the bound has the side's sign, or says nothing. */
  measurement->offset_bound_mm = (beyond ? bound > 0.0 : bound < 0.0) ? bound : NAN;
  return measurement;
}

/**
 * shim_edge_side_measure:
 * @luma: pixels about the guess
 * @request: what is known
 * @guess: where ticks or numerals seem to be
 * @seen: what came of measuring on its ticks: a refusal that names no side
 *
 * Looks at the ruler's long edges: where they grow sharper all the way to one end, and still do so there, the sharp line is
 * off the ruler beyond that end.
 *
 * Returns: (transfer full) (nullable): a refusal that names the side, with a bound of the offset where there is one, or says
 *   that the ruler is over-exposed; %NULL when the edges do not tell
 */
ShimMeasurement *
shim_edge_side_measure (const ShimLuma *luma, const ShimMeasureRequest *request, const ShimStripGuess *guess,
                        const ShimMeasurement *seen)
{
  Edges edges;
  int far;

  g_return_val_if_fail (luma != NULL && request != NULL && guess != NULL && seen != NULL, NULL);

  shim_gsl_init ();
  look_at_edges (luma, request, guess, &edges);
  if (!edges.ok || edges.sharp_sign == 0 || !target_is_beside (&edges, request, guess->transposed))
    return NULL;
  if (share_clipped (luma, &edges, guess->transposed) > MAX_CLIPPED)
    return shim_measurement_refuse (shim_measurement_new (), SHIM_REFUSAL_CLIPPED,
                                    "The ruler is over-exposed: its paper is pure white in this frame. Expose less.");
  far = far_sign (&edges, request, guess->transposed, seen);
  return far != 0 ? off_ruler (&edges, request, guess->transposed, far) : NULL;
}
