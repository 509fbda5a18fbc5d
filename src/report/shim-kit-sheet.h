/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-job-kit.h"

G_BEGIN_DECLS

/**
 * ShimSheetItem:
 * @kind: "body", "lens", "converter" or "adapter"
 * @name: what the crew calls it
 * @model: maker and model
 * @serial: serial number, or an empty string
 * @mount: name of its mount
 * @detail: focal lengths and aperture, adjustment range and slots, or factor
 * @holder: who has it
 * @worth: replacement value, NAN when not known
 * @currency: of @worth
 */
typedef struct
{
  char *kind;
  char *name;
  char *model;
  char *serial;
  char *mount;
  char *detail;
  char *holder;
  double worth;
  char *currency;
} ShimSheetItem;

/**
 * ShimSheetPair:
 * @body: what the crew calls the body
 * @body_serial: its serial number, or an empty string
 * @lens: what the crew calls the lens
 * @lens_serial: its serial number, or an empty string
 * @converter: what the crew calls the converter, or an empty string
 * @fits: whether the lens can be used on the body at all
 * @state: its state
 * @value: setting; %SHIM_NO_INT when none
 * @value_long: setting of the long end; %SHIM_NO_INT when there is only one
 * @slot: slot that holds it, 0 = inside the lens; %SHIM_NO_INT when none
 * @slot_note: where the value is kept, for people: "slot 3", "in the lens", "not keyed in"
 * @decided_on: day, or an empty string
 * @residual_mm: offset expected at the setting
 * @residual_se_mm: its standard error
 * @conflict: whether the body takes the lens for another copy that needs another value
 */
typedef struct
{
  char *body;
  char *body_serial;
  char *lens;
  char *lens_serial;
  char *converter;
  gboolean fits;
  ShimPairState state;
  gint64 value;
  gint64 value_long;
  gint64 slot;
  char *slot_note;
  char *decided_on;
  double residual_mm;
  double residual_se_mm;
  gboolean conflict;
} ShimSheetPair;

/**
 * ShimKitSheet:
 * @title: name of the job, or of the whole kit
 * @date: when the job is; an empty string when not known
 * @place: where; may be empty
 * @holder: who takes it; may be empty
 * @made_at: when the sheet was made, for people
 * @items: (element-type ShimSheetItem): bodies, lenses, converters, adapters
 * @pairs: (element-type ShimSheetPair): body by body; every combination that fits, known pairs with converters after them
 * @n_bodies: bodies in the matrix
 * @n_lenses: lenses in the matrix
 * @matrix: (array length=n_bodies*n_lenses) (nullable elements): pairs without converter, lens by lens
 * @body_names: (array length=n_bodies): headings
 * @lens_names: (array length=n_lenses): headings
 * @not_ready: (array zero-terminated=1): sentences
 *
 * The kit sheet as data; every writer prints just this.
 */
typedef struct
{
  char *title;
  char *date;
  char *place;
  char *holder;
  char *made_at;
  GPtrArray *items;
  GPtrArray *pairs;
  guint n_bodies;
  guint n_lenses;
  const ShimSheetPair **matrix;
  char **body_names;
  char **lens_names;
  char **not_ready;
} ShimKitSheet;

/**
 * ShimPaper:
 *
 * A4 is 210 × 297 mm (ISO 216), Letter 8.5 × 11 in.
 */
typedef enum
{
  SHIM_PAPER_A4,
  SHIM_PAPER_LETTER,
} ShimPaper;

ShimKitSheet *shim_kit_sheet_new       (const ShimJobKit *kit, GDateTime *made_at);
void          shim_kit_sheet_free      (ShimKitSheet *self);
gboolean      shim_kit_sheet_write_pdf (const ShimKitSheet *self, ShimPaper paper, const char *path, GError **error);
GBytes       *shim_kit_sheet_to_csv    (const ShimKitSheet *self);
char         *shim_kit_sheet_to_json   (const ShimKitSheet *self);
gboolean      shim_kit_sheet_write     (const ShimKitSheet *self, ShimPaper paper, const char *path, GError **error);
gboolean      shim_paper_from_name     (const char *name, ShimPaper *paper);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimKitSheet, shim_kit_sheet_free)

G_END_DECLS
