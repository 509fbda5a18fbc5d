/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-render.h"

#include "frame-card.h"
#include "frame-clutter.h"
#include "frame-own-target.h"
#include "frame-ruler.h"
#include "frame-sensor.h"
#include "frame-write.h"

/* Draws a surface, keeps it among the patches and widens the box that holds the scene. */
static void
add_surface (GPtrArray *patches, const FrameSurface *surface, const FrameCamera *camera, const FramePsf *psf,
             FrameBox *lively)
{
  FramePatch *patch = frame_surface_render (surface, camera, psf);

  g_ptr_array_add (patches, patch);
  lively->x0 = MIN (lively->x0, patch->x);
  lively->y0 = MIN (lively->y0, patch->y);
  lively->x1 = MAX (lively->x1, patch->x + patch->width);
  lively->y1 = MAX (lively->y1, patch->y + patch->height);
}

static void
add_set_up (GPtrArray *patches, const FrameScene *scene, const FrameCamera *camera, const FramePsf *psf, FrameBox *lively)
{
  g_autoptr (FrameRuler) ruler = frame_ruler_new (scene);
  FrameSurface surface;

  if (scene->card)
    {
      (scene->own_target ? frame_own_card_surface : frame_card_surface) (scene, &surface);
      add_surface (patches, &surface, camera, psf, lively);
    }
  if (scene->ruler)
    {
      if (scene->own_target)
        frame_own_strip_surface (scene, &surface);
      else
        frame_ruler_surface (ruler, &surface);
      add_surface (patches, &surface, camera, psf, lively);
    }
  if (scene->blob)
    {
      frame_blob_surface (scene, &surface);
      add_surface (patches, &surface, camera, psf, lively);
    }
}

/**
 * frame_render_pixels:
 * @scene: a scene
 * @error: return location for a #GError
 *
 * Returns: (transfer full): its picture as the scene stands upright, 3 bytes per pixel, before JPEG; %NULL on error
 */
guint8 *
frame_render_pixels (const FrameScene *scene, GError **error)
{
  g_autoptr (GPtrArray) patches = g_ptr_array_new_with_free_func ((GDestroyNotify) frame_patch_free);
  FrameBox lively = { G_MAXINT, G_MAXINT, 0, 0 };
  FramePsf psf = { scene->softness_px, scene->aberration_px, scene->shake_px, scene->shake_deg };
  FrameCamera camera;
  guint8 *rgb;

  if (!frame_scene_check (scene, error))
    return NULL;
  frame_camera_init (&camera, scene);
  frame_clutter_add (scene, &camera, &psf, patches);
  add_set_up (patches, scene, &camera, &psf, &lively);
  rgb = g_malloc (3 * (gsize) scene->width_px * scene->height_px);
  frame_sensor_develop (scene, patches, &lively, rgb);
  return rgb;
}

/**
 * frame_render_file:
 * @scene: a scene
 * @path: JPEG file to be written
 * @truth: (out) (optional): what ought to be found in it
 * @error: return location for a #GError
 *
 * Returns: whether it was written
 */
gboolean
frame_render_file (const FrameScene *scene, const char *path, FrameTruth *truth, GError **error)
{
  g_autofree guint8 *rgb = frame_render_pixels (scene, error);

  if (rgb == NULL || !frame_write_jpeg (scene, rgb, path, error) || !frame_write_metadata (scene, rgb, path, error))
    return FALSE;
  if (truth != NULL)
    frame_truth_compute (scene, truth);
  return TRUE;
}
