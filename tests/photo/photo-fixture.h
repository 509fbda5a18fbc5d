/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Small files for the tests of the photo layer, made on the spot. */

/**
 * FixtureJpeg:
 * @width: columns
 * @height: rows
 * @components: 1 grey, 3 colour, 4 printing colours
 * @sampling: 1 = 4:4:4, 2 = 4:2:0
 * @progressive: whether in several passes
 * @quality: 1 … 100; 0 = 92
 * @app1: (nullable): contents of an APP1 segment to put first, without its length
 */
typedef struct
{
  int width;
  int height;
  int components;
  int sampling;
  gboolean progressive;
  int quality;
  GBytes *app1;
} FixtureJpeg;

/**
 * FixtureTag:
 * @in_exif: whether in the Exif directory, else in the first
 * @tag: its number
 * @type: 1 BYTE, 2 ASCII, 3 SHORT, 4 LONG, 5 RATIONAL, 7 UNDEFINED
 * @values: of a number, two each for a rational
 * @n_values: how many of them; of BYTE and UNDEFINED, bytes in @text
 * @text: of an ASCII tag, ended by a zero; of BYTE and UNDEFINED, its bytes
 */
typedef struct
{
  gboolean in_exif;
  guint16 tag;
  guint16 type;
  guint32 values[8];
  guint n_values;
  const char *text;
} FixtureTag;

guint8  fixture_pixel       (int x, int y, int component);
GBytes *fixture_jpeg        (const FixtureJpeg *spec);
GBytes *fixture_plain_jpeg  (int width, int height);
GBytes *fixture_exif        (const FixtureTag *tags, guint n_tags);
GBytes *fixture_tagged_jpeg (int width, int height, const FixtureTag *tags, guint n_tags);
GBytes *fixture_dng         (int raw_width, int raw_height, GBytes *preview, int preview_width, int preview_height,
                             guint orientation);
char   *fixture_dir         (void);
char   *fixture_write       (const char *dir, const char *name, GBytes *bytes);
char   *fixture_jpeg_file   (const char *dir, const char *name, const FixtureJpeg *spec);
void    fixture_set_tag     (const char *path, const char *tag, const char *value);
void    fixture_remove_dir  (char *dir);

G_END_DECLS
