/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-tile-set.h"

/* Small, so that little is kept of what lies beyond the edges of the view. */
#define TILE_PX 256
/* A level is enlarged by up to this before the next one is taken: that one, four times as large, would have to be
 * reduced to nearly a half, which costs more and looks no better. */
#define MOST_ENLARGED 1.2
/* Beyond this many device pixels a pixel, smoothing at the edges no longer shows. */
#define LARGEST_BLOCK 16
/* From this many device pixels a pixel on, pixels have hard edges. */
#define HARD_ZOOM 2.0

typedef struct
{
  ShimPicture *picture;
  double scale_x; /* pixels of this level per pixel of the photograph */
  double scale_y;
  int n_columns;
  int n_rows;
} Level;

typedef struct
{
  GdkTexture *texture;
  guint used_at;
} Tile;

struct _ShimTileSet
{
  Level levels[SHIM_TILE_LEVELS];
  GHashTable *tiles; /* gint64 key → Tile */
  guint drawing;     /* counts the snapshots */
};

static void
tile_free (gpointer data)
{
  Tile *tile = data;

  g_object_unref (tile->texture);
  g_free (tile);
}

/**
 * shim_tile_set_new:
 *
 * Returns: (transfer full): a tile set without any level yet
 */
ShimTileSet *
shim_tile_set_new (void)
{
  ShimTileSet *self = g_new0 (ShimTileSet, 1);

  self->tiles = g_hash_table_new_full (g_int64_hash, g_int64_equal, g_free, tile_free);
  return self;
}

static void
level_clear (Level *level)
{
  g_clear_pointer (&level->picture, shim_picture_free);
  level->n_columns = level->n_rows = 0;
}

/**
 * shim_tile_set_free:
 * @self: (transfer full) (nullable): a tile set
 */
void
shim_tile_set_free (ShimTileSet *self)
{
  if (self == NULL)
    return;
  for (int i = 0; i < SHIM_TILE_LEVELS; i++)
    level_clear (&self->levels[i]);
  g_hash_table_unref (self->tiles);
  g_free (self);
}

/**
 * shim_tile_set_take_level:
 * @self: a tile set
 * @level: 0 for full size, 1 for a half, 2 a quarter, 3 an eighth, #SHIM_TILE_LEVEL_QUICK for whatever is there first
 * @picture: (transfer full): the picture at that size
 *
 * Once a level proper is there, the quick one is given up.
 */
void
shim_tile_set_take_level (ShimTileSet *self, int level, ShimPicture *picture)
{
  Level *target;

  g_return_if_fail (self != NULL);
  g_return_if_fail (level >= 0 && level < SHIM_TILE_LEVELS);
  g_return_if_fail (picture != NULL);

  target = &self->levels[level];
  g_hash_table_remove_all (self->tiles);
  level_clear (target);
  target->picture = picture;
  if (level == SHIM_TILE_LEVEL_QUICK)
    {
      target->scale_x = (double) picture->width / picture->picture_width;
      target->scale_y = (double) picture->height / picture->picture_height;
    }
  else
    {
      target->scale_x = target->scale_y = 1.0 / (1 << level);
      level_clear (&self->levels[SHIM_TILE_LEVEL_QUICK]);
    }
  target->n_columns = (picture->width + TILE_PX - 1) / TILE_PX;
  target->n_rows = (picture->height + TILE_PX - 1) / TILE_PX;
}

/**
 * shim_tile_set_has_level:
 * @self: a tile set
 * @level: which
 *
 * Returns: whether it was taken
 */
gboolean
shim_tile_set_has_level (const ShimTileSet *self, int level)
{
  g_return_val_if_fail (level >= 0 && level < SHIM_TILE_LEVELS, FALSE);

  return self->levels[level].picture != NULL;
}

/**
 * shim_tile_set_get_size:
 * @self: a tile set
 * @width: (out): columns of the whole upright photograph
 * @height: (out): its rows
 *
 * Returns: whether there is any level
 */
gboolean
shim_tile_set_get_size (const ShimTileSet *self, int *width, int *height)
{
  for (int i = 0; i < SHIM_TILE_LEVELS; i++)
    {
      const ShimPicture *picture = self->levels[i].picture;

      if (picture != NULL)
        {
          *width = picture->picture_width;
          *height = picture->picture_height;
          return TRUE;
        }
    }
  *width = *height = 0;
  return FALSE;
}

/* The smallest level that still has about a pixel for every pixel of the screen, else the largest there is. */
static Level *
level_for (ShimTileSet *self, double device_zoom)
{
  double least = device_zoom / MOST_ENLARGED;
  Level *best = NULL;

  for (int i = 0; i < SHIM_TILE_LEVELS; i++)
    {
      Level *level = &self->levels[i];

      if (level->picture == NULL)
        continue;
      if (best == NULL || (level->scale_x >= least && level->scale_x < best->scale_x) ||
          (best->scale_x < least && level->scale_x > best->scale_x))
        best = level;
    }
  return best;
}

/* A texture over a part of the level's own memory: nothing is copied. */
static GdkTexture *
slice (const ShimPicture *picture, int column, int row)
{
  int width = MIN (TILE_PX, picture->width - column * TILE_PX);
  int height = MIN (TILE_PX, picture->height - row * TILE_PX);
  gsize offset = (gsize) row * TILE_PX * picture->stride + (gsize) column * TILE_PX * 4;
  gsize size = (gsize) (height - 1) * picture->stride + (gsize) width * 4;
  g_autoptr (GBytes) bytes = g_bytes_new_from_bytes (picture->bytes, offset, size);

  return gdk_memory_texture_new (width, height, GDK_MEMORY_B8G8R8A8_PREMULTIPLIED, bytes, picture->stride);
}

/* Every pixel of a small piece as a block of pixels. GTK 4.8 smooths each texture that it enlarges; a texture that is
 * enlarged already is drawn one to one, by every renderer, and costs nothing more while panning. */
static GdkTexture *
magnify (const ShimPicture *picture, int x0, int y0, int width, int height, int block)
{
  gsize stride = (gsize) width * block * 4;
  guint8 *enlarged = g_malloc ((gsize) height * block * stride);
  gsize source_size;
  const guint8 *source = g_bytes_get_data (picture->bytes, &source_size);
  g_autoptr (GBytes) bytes = NULL;

  for (int y = 0; y < height; y++)
    {
      const guint8 *from = source + (gsize) (y0 + y) * picture->stride + (gsize) x0 * 4;
      guint8 *first = enlarged + (gsize) y * block * stride;
      guint32 *to = (guint32 *) (gpointer) first;

      for (int x = 0; x < width; x++)
        {
          guint32 pixel;

          memcpy (&pixel, from + (gsize) x * 4, 4);
          for (int i = 0; i < block; i++)
            *to++ = pixel;
        }
      for (int i = 1; i < block; i++)
        memcpy (first + i * stride, first, stride);
    }
  bytes = g_bytes_new_take (enlarged, (gsize) height * block * stride);
  return gdk_memory_texture_new (width * block, height * block, GDK_MEMORY_B8G8R8A8_PREMULTIPLIED, bytes, stride);
}

/* A tile of a level; with a block above 1, of that level with its pixels enlarged. */
static GdkTexture *
tile_at (ShimTileSet *self, const Level *level, int column, int row, int block)
{
  const ShimPicture *picture = level->picture;
  int side = TILE_PX / block;
  gint64 key = ((gint64) (level - self->levels) << 56) | ((gint64) block << 48) | ((gint64) row << 24) | column;
  Tile *found = g_hash_table_lookup (self->tiles, &key);

  if (found == NULL)
    {
      found = g_new0 (Tile, 1);
      if (block == 1)
        found->texture = slice (picture, column, row);
      else
        found->texture = magnify (picture, column * side, row * side, MIN (side, picture->width - column * side),
                                  MIN (side, picture->height - row * side), block);
      g_hash_table_insert (self->tiles, g_memdup2 (&key, sizeof key), found);
    }
  found->used_at = self->drawing;
  return found->texture;
}

static gboolean
is_stale_cb (gpointer key, gpointer value, gpointer user_data)
{
  const Tile *tile = value;
  const ShimTileSet *self = user_data;

  /* The loupe draws right after the view: what either needed last stays. No more: a renderer keeps a copy of each. */
  return self->drawing - tile->used_at > 1;
}

/* Whole device pixels: an edge in between would let the background shine through. */
static double
whole_pixel (double at, int scale_factor)
{
  return round (at * scale_factor) / scale_factor;
}

typedef struct
{
  double side_x; /* of a tile, in pixels of the photograph */
  double side_y;
  int first_column;
  int last_column;
  int first_row;
  int last_row;
} Span;

static int
index_of (double photo_px, double side, int count)
{
  return (int) CLAMP (floor (photo_px / side), 0.0, count - 1.0);
}

static void
span_find (Span *span, double side_x, double side_y, int n_columns, int n_rows, const ShimViewTransform *transform,
           const graphene_rect_t *area)
{
  ShimPoint from = shim_view_transform_to_photo (transform, (ShimPoint){ area->origin.x, area->origin.y });
  ShimPoint to = shim_view_transform_to_photo (transform, (ShimPoint){ area->origin.x + area->size.width,
                                                                       area->origin.y + area->size.height });

  *span = (Span){
    .side_x = side_x,
    .side_y = side_y,
    .first_column = index_of (from.x, side_x, n_columns),
    .last_column = index_of (to.x, side_x, n_columns),
    .first_row = index_of (from.y, side_y, n_rows),
    .last_row = index_of (to.y, side_y, n_rows),
  };
}

static void
append_tile (GtkSnapshot *snapshot, GdkTexture *texture, const ShimViewTransform *transform, ShimPoint from,
             ShimPoint to, int scale_factor)
{
  ShimPoint a = shim_view_transform_to_view (transform, from);
  ShimPoint b = shim_view_transform_to_view (transform, to);
  double x = whole_pixel (a.x, scale_factor), y = whole_pixel (a.y, scale_factor);
  double width = whole_pixel (b.x, scale_factor) - x, height = whole_pixel (b.y, scale_factor) - y;

  if (width > 0.0 && height > 0.0)
    gtk_snapshot_append_texture (snapshot, texture, &GRAPHENE_RECT_INIT (x, y, width, height));
}

/* The far edge of a tile: of the photograph itself at the last one, whose texture may be a partial pixel longer. */
static double
far_edge (int index, double side, int count, double length)
{
  return index == count - 1 ? length : (index + 1) * side;
}

static guint
snapshot_hard (ShimTileSet *self, GtkSnapshot *snapshot, const ShimViewTransform *transform,
               const graphene_rect_t *area, int scale_factor)
{
  const ShimPicture *picture = self->levels[0].picture;
  /* The next whole number down: what is left is enlarged by the renderer, which widens edges to one pixel and a half at
   * most. The next one up would be no sharper and take up to twice the memory. */
  int block = (int) CLAMP (floor (transform->zoom * scale_factor + 1e-6), 2.0, LARGEST_BLOCK);
  int side = TILE_PX / block, n_columns, n_rows;
  guint n_drawn = 0;
  Span span;

  n_columns = (picture->width + side - 1) / side;
  n_rows = (picture->height + side - 1) / side;
  span_find (&span, side, side, n_columns, n_rows, transform, area);

  for (int row = span.first_row; row <= span.last_row; row++)
    for (int column = span.first_column; column <= span.last_column; column++, n_drawn++)
      append_tile (snapshot, tile_at (self, &self->levels[0], column, row, block), transform,
                   (ShimPoint){ (double) column * side, (double) row * side },
                   (ShimPoint){ far_edge (column, side, n_columns, picture->width),
                                far_edge (row, side, n_rows, picture->height) },
                   scale_factor);
  return n_drawn;
}

static guint
snapshot_smooth (ShimTileSet *self, const Level *level, GtkSnapshot *snapshot, const ShimViewTransform *transform,
                 const graphene_rect_t *area, int scale_factor)
{
  double side_x = TILE_PX / level->scale_x, side_y = TILE_PX / level->scale_y;
  guint n_drawn = 0;
  Span span;

  span_find (&span, side_x, side_y, level->n_columns, level->n_rows, transform, area);
  for (int row = span.first_row; row <= span.last_row; row++)
    for (int column = span.first_column; column <= span.last_column; column++, n_drawn++)
      append_tile (snapshot, tile_at (self, level, column, row, 1), transform,
                   (ShimPoint){ column * side_x, row * side_y },
                   (ShimPoint){ far_edge (column, side_x, level->n_columns, level->picture->picture_width),
                                far_edge (row, side_y, level->n_rows, level->picture->picture_height) },
                   scale_factor);
  return n_drawn;
}

/**
 * shim_tile_set_snapshot:
 * @self: a tile set
 * @snapshot: where to draw
 * @transform: how the photograph lies in the view
 * @area: the part of the view that shows it; tiles beyond it are not drawn
 * @scale_factor: device pixels per widget pixel
 *
 * Above two device pixels per pixel, pixels get hard edges (once the full size is there).
 *
 * Returns: how many tiles were drawn
 */
guint
shim_tile_set_snapshot (ShimTileSet *self, GtkSnapshot *snapshot, const ShimViewTransform *transform,
                        const graphene_rect_t *area, int scale_factor)
{
  double device_zoom = transform->zoom * scale_factor;
  Level *level = level_for (self, device_zoom);
  guint n_drawn;

  if (level == NULL)
    return 0;
  self->drawing++;
  if (level == &self->levels[0] && device_zoom >= HARD_ZOOM)
    n_drawn = snapshot_hard (self, snapshot, transform, area, scale_factor);
  else
    n_drawn = snapshot_smooth (self, level, snapshot, transform, area, scale_factor);
  g_hash_table_foreach_remove (self->tiles, is_stale_cb, self);
  return n_drawn;
}

/* Device pixels: bands of this height stay in the processor's cache, and their memory is used again for the next one. */
#define BAND_PX 128

/* The part of a level that lies in @bounds, painted into memory of its own. */
static cairo_surface_t *
paint_band (const ShimTileSet *self, const Level *level, const ShimViewTransform *transform,
            const graphene_rect_t *bounds, int scale_factor)
{
  const ShimPicture *picture = level->picture;
  ShimPoint corner = shim_view_transform_to_view (transform, (ShimPoint){ 0.0, 0.0 });
  cairo_surface_t *band =
      cairo_image_surface_create (CAIRO_FORMAT_RGB24, (int) ceilf (bounds->size.width * scale_factor),
                                  (int) ceilf (bounds->size.height * scale_factor));
  /* Cairo wants memory that can be written to, and writes nothing to a surface that is only a source. */
  cairo_surface_t *whole =
      cairo_image_surface_create_for_data ((guint8 *) g_bytes_get_data (picture->bytes, NULL), CAIRO_FORMAT_RGB24,
                                           picture->width, picture->height, (int) picture->stride);
  gboolean is_hard = level == &self->levels[0] && transform->zoom * scale_factor >= HARD_ZOOM;
  cairo_t *cr;

  cairo_surface_set_device_scale (band, scale_factor, scale_factor);
  cr = cairo_create (band);
  cairo_translate (cr, whole_pixel (corner.x, scale_factor) - bounds->origin.x,
                   whole_pixel (corner.y, scale_factor) - bounds->origin.y);
  cairo_scale (cr, transform->zoom / level->scale_x, transform->zoom / level->scale_y);
  cairo_set_source_surface (cr, whole, 0.0, 0.0);
  /* Padded, or the outermost pixels would fade into nothing. */
  cairo_pattern_set_extend (cairo_get_source (cr), CAIRO_EXTEND_PAD);
  cairo_pattern_set_filter (cairo_get_source (cr), is_hard ? CAIRO_FILTER_NEAREST : CAIRO_FILTER_BILINEAR);
  cairo_paint (cr);
  cairo_destroy (cr);
  cairo_surface_destroy (whole);
  return band;
}

static GskRenderNode *
band_node (const ShimTileSet *self, const Level *level, const ShimViewTransform *transform,
           const graphene_rect_t *bounds, int scale_factor)
{
  GskRenderNode *node = gsk_cairo_node_new (bounds);
  cairo_t *cr = gsk_cairo_node_get_draw_context (node);
  cairo_surface_t *band = paint_band (self, level, transform, bounds, scale_factor);

  cairo_set_source_surface (cr, band, bounds->origin.x, bounds->origin.y);
  cairo_pattern_set_filter (cairo_get_source (cr), CAIRO_FILTER_NEAREST);
  cairo_paint (cr);
  cairo_destroy (cr);
  cairo_surface_destroy (band);
  return node;
}

/**
 * shim_tile_set_node:
 * @self: a tile set
 * @transform: how the photograph lies in the view
 * @area: the part of the view that shows it
 * @scale_factor: device pixels per widget pixel
 *
 * The same picture as shim_tile_set_snapshot() draws, for the renderer that paints with cairo. In GTK 4.8 that
 * renderer copies every texture in every frame by way of floating-point numbers, which takes it several times as long
 * as painting from the memory of the decoded level. The nodes must not refer to that memory themselves: cairo would
 * copy all of a level when it goes, and what they refer to is what they paint.
 * Keep the node as long as nothing changes: then nothing is painted.
 *
 * Returns: (transfer full) (nullable): what to append
 */
GskRenderNode *
shim_tile_set_node (ShimTileSet *self, const ShimViewTransform *transform, const graphene_rect_t *area,
                    int scale_factor)
{
  Level *level = level_for (self, transform->zoom * scale_factor);
  float band_height = (float) BAND_PX / scale_factor, end = area->origin.y + area->size.height;
  g_autoptr (GPtrArray) bands = g_ptr_array_new_with_free_func ((GDestroyNotify) gsk_render_node_unref);

  if (level == NULL)
    return NULL;
  for (float y = area->origin.y; y < end; y += band_height)
    {
      graphene_rect_t bounds =
          GRAPHENE_RECT_INIT (area->origin.x, y, area->size.width, MIN (band_height, end - y));

      g_ptr_array_add (bands, band_node (self, level, transform, &bounds, scale_factor));
    }
  return gsk_container_node_new ((GskRenderNode **) bands->pdata, bands->len);
}
