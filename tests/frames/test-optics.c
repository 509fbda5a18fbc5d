/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-psf.h"
#include "frame-surface.h"

#include <math.h>

/* The generator's optics against formulas written out here: blur circle c = (f/N) f/(zf - f) |z - zf|/z and image
 * distance v = f zf/(zf - f) (S. F. Ray, "Applied Photographic Optics"; also any text on geometrical optics), and against
 * rays traced one by one through the aperture. */

#define DISC_MM 0.25
#define SOFTNESS_PX 0.5

typedef struct
{
  const char *name;
  double focal_mm;
  double f_number;
  double distance_mm;
  double z_mm; /* of the point */
  double x_mm;
  double y_mm;
  double lean_deg; /* of the plane the point lies on, from the axis; 90 = upright */
  double roll_deg;
  double k1;
} Case;

static const Case cases[] = {
  { "past", 50, 1.4, 2500, 2640, 0, 0, 90, 0, 0 },
  { "short", 50, 1.4, 2500, 2380, 31, -22, 90, 0, 0 },
  { "far-past", 85, 1.4, 4250, 4700, -40, 60, 90, 0, 0 },
  { "little", 135, 2.0, 6750, 6800, 90, 55, 90, 0, 0 },
  { "tele", 200, 2.8, 10000, 10400, 10, -200, 90, 0, 0 },
  { "wide", 35, 1.4, 1750, 1600, 120, 130, 90, 0, 0 },
  { "in-focus", 50, 1.8, 2500, 2500, 20, 30, 90, 0, 0 },
  { "leaning", 50, 1.4, 2500, 2600, 5, 100, 45, 0, 0 },
  { "leaning-near", 50, 1.8, 2500, 2410, 5, -90, 45, 0, 0 },
  { "flat-lean", 50, 1.4, 2500, 2620, 5, 60, 30, 0, 0 },
  { "rolled", 50, 1.4, 2500, 2600, 25, 100, 45, 4, 0 },
  { "rolled-back", 50, 1.4, 2500, 2400, -60, -100, 45, -5, 0 },
  { "distorted", 50, 1.4, 2500, 2600, 300, 250, 90, 1.5, -0.02 },
};

static FrameColour
shade_disc (gconstpointer data, double u, double v, double du, double dv)
{
  double cover = 0.0;

  for (int i = 0; i < 4; i++)
    for (int j = 0; j < 4; j++)
      {
        double x = u + ((i + 0.5) / 4.0 - 0.5) * du, y = v + ((j + 0.5) / 4.0 - 0.5) * dv;

        cover += hypot (x, y) < DISC_MM / 2.0 ? 1.0 / 16.0 : 0.0;
      }
  return (FrameColour){ 1.0f, 1.0f, 1.0f, 1.0f } * (float) cover;
}

static FrameColour
shade_even (gconstpointer data, double u, double v, double du, double dv)
{
  return (FrameColour){ 1.0f, 1.0f, 1.0f, 1.0f };
}

/* 1 mm bars that swell and fade smoothly, so that no sampling folds them back. */
static FrameColour
shade_waves (gconstpointer data, double u, double v, double du, double dv)
{
  float wave = (float) (0.5 + 0.25 * cos (2.0 * G_PI * u) + 0.25 * sin (2.0 * G_PI * (v / 2.0 + u / 5.0)));

  return (FrameColour){ wave, wave, wave, 1.0f };
}

static void
set_camera (FrameCamera *camera, const Case *c)
{
  FrameScene scene;

  frame_scene_init (&scene);
  scene.focal_mm = c->focal_mm;
  scene.f_number = c->f_number;
  scene.distance_mm = c->distance_mm;
  scene.roll_deg = c->roll_deg;
  scene.k1 = c->k1;
  frame_camera_init (camera, &scene);
}

static void
set_surface (FrameSurface *surface, const Case *c, FrameShade shade, double half_mm)
{
  double lean = c->lean_deg * G_PI / 180.0;

  *surface = (FrameSurface){
    .origin = { c->x_mm, c->y_mm, c->z_mm },
    .u_axis = { 0.0, sin (lean), cos (lean) },
    .v_axis = { 1.0, 0.0, 0.0 },
    .u0 = -half_mm,
    .u1 = half_mm,
    .v0 = -half_mm,
    .v1 = half_mm,
    .over_x = 8,
    .over_y = 8,
    .shade = shade,
  };
}

typedef struct
{
  double sum;
  double x;
  double y;
  double var_x;
  double var_y;
} Moments;

static void
measure (const FramePatch *patch, Moments *m)
{
  *m = (Moments){ 0 };
  for (int j = 0; j < patch->height; j++)
    for (int i = 0; i < patch->width; i++)
      {
        double light = patch->pixels[j * patch->width + i][0];

        m->sum += light;
        m->x += light * (patch->x + i + 0.5);
        m->y += light * (patch->y + j + 0.5);
      }
  m->x /= m->sum;
  m->y /= m->sum;
  for (int j = 0; j < patch->height; j++)
    for (int i = 0; i < patch->width; i++)
      {
        double light = patch->pixels[j * patch->width + i][0] / m->sum;

        m->var_x += light * (patch->x + i + 0.5 - m->x) * (patch->x + i + 0.5 - m->x);
        m->var_y += light * (patch->y + j + 0.5 - m->y) * (patch->y + j + 0.5 - m->y);
      }
}

/* Pixels per mm in the picture along a direction on the surface, squared, split into x and y. */
static void
scale_of (const FrameCamera *camera, const FrameSurface *surface, double u, double v, double *x2, double *y2)
{
  double a[3], b[3], ax, ay, bx, by;

  frame_surface_point (surface, -u, -v, a);
  frame_surface_point (surface, u, v, b);
  frame_camera_project (camera, a, &ax, &ay);
  frame_camera_project (camera, b, &bx, &by);
  *x2 = (bx - ax) * (bx - ax) / 4.0;
  *y2 = (by - ay) * (by - ay) / 4.0;
}

/* What is not defocus: the disc's own size, the Gaussian, the pixel's square. */
static void
own_variance (const FrameCamera *camera, const FrameSurface *surface, double *var_x, double *var_y)
{
  double ux, uy, vx, vy;

  scale_of (camera, surface, 1.0, 0.0, &ux, &uy);
  scale_of (camera, surface, 0.0, 1.0, &vx, &vy);
  *var_x = (ux + vx) * DISC_MM * DISC_MM / 16.0 + SOFTNESS_PX * SOFTNESS_PX + 1.0 / 12.0;
  *var_y = (uy + vy) * DISC_MM * DISC_MM / 16.0 + SOFTNESS_PX * SOFTNESS_PX + 1.0 / 12.0;
}

/* Four times the rms radius per axis of an even disc is its diameter. */
static void
check_diameter (double variance, double own, double expected)
{
  double diameter = 4.0 * sqrt (MAX (0.0, variance - own));

  if (expected > 0.5)
    g_assert_cmpfloat_with_epsilon (diameter / expected, 1.0, 0.01);
  else
    g_assert_cmpfloat (diameter, <, 0.3);
}

static void
test_blur_circle (gconstpointer data)
{
  const Case *c = data;
  FramePsf psf = { .softness_px = SOFTNESS_PX };
  double xyz[3] = { c->x_mm, c->y_mm, c->z_mm }, x, y, own_x, own_y;
  double f = c->focal_mm, zf = c->distance_mm, pitch = 0.006;
  double expected = f / c->f_number * f / (zf - f) * fabs (c->z_mm - zf) / c->z_mm / pitch;
  g_autoptr (FramePatch) patch = NULL;
  FrameCamera camera;
  FrameSurface surface;
  Moments m;

  set_camera (&camera, c);
  set_surface (&surface, c, shade_disc, DISC_MM);
  patch = frame_surface_render (&surface, &camera, &psf);
  measure (patch, &m);
  own_variance (&camera, &surface, &own_x, &own_y);
  check_diameter (m.var_x, own_x, expected);
  check_diameter (m.var_y, own_y, expected);
  frame_camera_project (&camera, xyz, &x, &y);
  g_assert_cmpfloat_with_epsilon (m.x, x, 0.02);
  g_assert_cmpfloat_with_epsilon (m.y, y, 0.02);
}

/* The projection itself, written out a second time. */
static void
test_projection (gconstpointer data)
{
  const Case *c = data;
  double f = c->focal_mm, zf = c->distance_mm, roll = c->roll_deg * G_PI / 180.0;
  double scale = f * zf / (zf - f) / 0.006 / c->z_mm;
  double right = scale * c->x_mm, up = scale * c->y_mm, radius = hypot (right, up) / hypot (3000.0, 2000.0);
  double stretch = 1.0 + c->k1 * radius * radius;
  double xyz[3] = { c->x_mm, c->y_mm, c->z_mm }, x, y, dx, dy;
  FrameCamera camera;

  set_camera (&camera, c);
  frame_camera_project (&camera, xyz, &x, &y);
  /* A camera rolled clockwise: what stands straight up leans to the left, the picture turns counter-clockwise. */
  g_assert_cmpfloat_with_epsilon (x, 3000.0 + stretch * (right * cos (roll) - up * sin (roll)), 1e-6);
  g_assert_cmpfloat_with_epsilon (y, 2000.0 - stretch * (up * cos (roll) + right * sin (roll)), 1e-6);
  frame_camera_ray (&camera, x, y, &dx, &dy);
  g_assert_cmpfloat_with_epsilon (dx * c->z_mm, c->x_mm, 1e-4);
  g_assert_cmpfloat_with_epsilon (dy * c->z_mm, c->y_mm, 1e-4);
}

/* A point's light is spread, none is lost: the sum over the pixels is the disc's area in the picture, sharp or not. */
static void
test_energy (gconstpointer data)
{
  const Case *c = data;
  FramePsf psf = { .softness_px = SOFTNESS_PX, .shake_px = 2.0, .shake_deg = 30.0 };
  g_autoptr (FramePatch) patch = NULL;
  double ux, uy, vx, vy;
  FrameCamera camera;
  FrameSurface surface;
  Moments m;

  set_camera (&camera, c);
  set_surface (&surface, c, shade_disc, DISC_MM);
  patch = frame_surface_render (&surface, &camera, &psf);
  measure (patch, &m);
  scale_of (&camera, &surface, 1.0, 0.0, &ux, &uy);
  scale_of (&camera, &surface, 0.0, 1.0, &vx, &vy);
  /* The picture of u and v is a right angle up to the perspective's shear, which has no part in the area here. */
  g_assert_cmpfloat_with_epsilon (m.sum / (G_PI / 4.0 * DISC_MM * DISC_MM * sqrt ((ux + uy) * (vx + vy))), 1.0, 0.02);
}

/* An even plane stays even, however it leans. */
static void
test_even (gconstpointer data)
{
  const Case *c = data;
  FramePsf psf = { .softness_px = SOFTNESS_PX };
  g_autoptr (FramePatch) patch = NULL;
  FrameCamera camera;
  FrameSurface surface;

  set_camera (&camera, c);
  set_surface (&surface, c, shade_even, 15.0);
  surface.over_x = 4;
  surface.over_y = 4;
  patch = frame_surface_render (&surface, &camera, &psf);
  g_assert_cmpfloat_with_epsilon (patch->pixels[patch->height / 2 * patch->width + patch->width / 2][0], 1.0, 1e-3);
}

/* Light of one pixel by rays: from even places in the pixel through an even, point-symmetric set of aperture points. */
static double
trace_pixel (const FrameCamera *camera, const FrameSurface *surface, int px, int py)
{
  const int n_sub = 6, n_rings = 16;
  const double *u = surface->u_axis, *v = surface->v_axis, *o = surface->origin;
  double normal[3] = { u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0] };
  double sum = 0.0;
  int n = 0;

  for (int i = 0; i < n_sub * n_sub; i++)
    for (int ring = 0; ring < n_rings; ring++)
      for (int k = 0; k < 32; k++, n++)
        {
          double radius = camera->pupil_mm / 2.0 * sqrt ((ring + 0.5) / n_rings), turn = 2.0 * G_PI * (k + 0.5) / 32.0;
          double a[2] = { radius * cos (turn), radius * sin (turn) }, ray[3] = { 0.0, 0.0, camera->zf_mm }, t, p[3];

          frame_camera_ray (camera, px + (i % n_sub + 0.5) / n_sub, py + (i / n_sub + 0.5) / n_sub, &ray[0], &ray[1]);
          ray[0] = ray[0] * camera->zf_mm - a[0];
          ray[1] = ray[1] * camera->zf_mm - a[1];
          t = (normal[0] * (o[0] - a[0]) + normal[1] * (o[1] - a[1]) + normal[2] * o[2])
              / (normal[0] * ray[0] + normal[1] * ray[1] + normal[2] * ray[2]);
          p[0] = a[0] + t * ray[0] - o[0];
          p[1] = a[1] + t * ray[1] - o[1];
          p[2] = t * ray[2] - o[2];
          sum += surface->shade (NULL, p[0] * u[0] + p[1] * u[1] + p[2] * u[2], p[0] * v[0] + p[1] * v[1] + p[2] * v[2],
                                 0.0, 0.0)[0];
        }
  return sum / n;
}

static void
test_rays (gconstpointer data)
{
  const Case *c = data;
  FramePsf psf = { .softness_px = 0.0 };
  g_autoptr (FramePatch) patch = NULL;
  FrameCamera camera;
  FrameSurface surface;

  set_camera (&camera, c);
  set_surface (&surface, c, shade_waves, 12.0);
  patch = frame_surface_render (&surface, &camera, &psf);
  for (int i = -4; i <= 4; i += 2)
    {
      int x = patch->width / 2 + i, y = patch->height / 2 - i;
      double rendered = patch->pixels[y * patch->width + x][0];
      double traced = trace_pixel (&camera, &surface, patch->x + x, patch->y + y);

      /* On leaning planes tight enough to see the sign of the foreshortening; elsewhere the rays' own grain rules. */
      g_assert_cmpfloat_with_epsilon (rendered, traced, c->lean_deg < 90.0 ? 0.0007 : 0.004);
    }
}

/* Spherical aberration: the light sums to 1 and the rms radius is the one of r(p) = d p + k p^3 over an even aperture. */
static void
test_aberration (void)
{
  for (double radius = -3.0; radius <= 3.0; radius += 0.37)
    {
      FrameDisc discs[FRAME_MAX_DISCS];
      double k = 1.5, d = radius - 2.0 / 3.0 * k, sum = 0.0, square = 0.0;
      /* integral of (d p + k p^3)^2 2 p dp; at the least, radius = 0, it is k^2/36 */
      double expected = d * d / 2.0 + 2.0 * d * k / 3.0 + k * k / 4.0;
      int n = frame_psf_discs (radius, 0.0, k, discs);

      g_assert_cmpint (n, <=, FRAME_MAX_DISCS);
      for (int i = 0; i < n; i++)
        {
          sum += discs[i].weight;
          square += discs[i].weight * discs[i].radius * discs[i].radius / 2.0;
        }
      g_assert_cmpfloat_with_epsilon (sum, 1.0, 1e-9);
      /* A dozen rings of even light stand for the aperture. */
      g_assert_cmpfloat_with_epsilon (square, expected, 0.01 + 0.02 * expected);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      static const struct
      {
        const char *name;
        GTestDataFunc run;
      } tests[] = {
        { "projection", test_projection }, { "blur-circle", test_blur_circle }, { "energy", test_energy },
        { "even", test_even },             { "rays", test_rays },
      };

      for (guint k = 0; k < G_N_ELEMENTS (tests); k++)
        {
          g_autofree char *path = g_strdup_printf ("/frames/optics/%s/%s", tests[k].name, cases[i].name);

          g_test_add_data_func (path, &cases[i], tests[k].run);
        }
    }
  g_test_add_func ("/frames/optics/aberration", test_aberration);
  return g_test_run ();
}
