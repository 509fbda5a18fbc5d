/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib-object.h>

G_BEGIN_DECLS

/**
 * SHIM_NO_INT:
 *
 * A whole number that is not known. (A real number that is not known is NAN, a text %NULL.)
 */
#define SHIM_NO_INT G_MININT64

/**
 * ShimFieldType:
 * @SHIM_FIELD_TEXT: char *, UTF-8, %NULL when not known
 * @SHIM_FIELD_INT: gint64, %SHIM_NO_INT when not known
 * @SHIM_FIELD_REAL: double, NAN when not known
 * @SHIM_FIELD_BOOL: gint64, 0 or 1
 * @SHIM_FIELD_CHOICE: char *, one of the field's choices
 * @SHIM_FIELD_DATE: char *, "YYYY-MM-DD"
 * @SHIM_FIELD_TIME: char *, UTC, "YYYY-MM-DDTHH:MM:SSZ"
 * @SHIM_FIELD_REF: char *, the id of another record
 * @SHIM_FIELD_BLOB: GBytes *
 */
typedef enum
{
  SHIM_FIELD_TEXT,
  SHIM_FIELD_INT,
  SHIM_FIELD_REAL,
  SHIM_FIELD_BOOL,
  SHIM_FIELD_CHOICE,
  SHIM_FIELD_DATE,
  SHIM_FIELD_TIME,
  SHIM_FIELD_REF,
  SHIM_FIELD_BLOB,
} ShimFieldType;

/**
 * ShimFieldFlags:
 * @SHIM_FIELD_REQUIRED: must be known
 * @SHIM_FIELD_SEARCHED: found by the search over everything
 * @SHIM_FIELD_DERIVED: worked out when read, never stored and never imported
 * @SHIM_FIELD_INTERNAL: stored, but not for people's eyes (forms, CSV)
 * @SHIM_FIELD_SETTING: a setting: shown with its sign
 * @SHIM_FIELD_PATH: a text that names a file
 * @SHIM_FIELD_GROUPED: a number so large that 1,450 and 1.450 in it are above a thousand
 * @SHIM_FIELD_ROUGH_DAY: a date of which perhaps only the year or the month is known
 */
typedef enum
{
  SHIM_FIELD_NONE = 0,
  SHIM_FIELD_REQUIRED = 1 << 0,
  SHIM_FIELD_SEARCHED = 1 << 1,
  SHIM_FIELD_DERIVED = 1 << 2,
  SHIM_FIELD_INTERNAL = 1 << 3,
  SHIM_FIELD_SETTING = 1 << 4,
  SHIM_FIELD_PATH = 1 << 5,
  SHIM_FIELD_GROUPED = 1 << 6,
  SHIM_FIELD_ROUGH_DAY = 1 << 7,
} ShimFieldFlags;

/**
 * ShimChoice:
 * @value: as stored, as in CSV and JSON
 * @label: for people, translatable
 */
typedef struct
{
  const char *value;
  const char *label;
} ShimChoice;

/**
 * ShimField:
 * @name: column of the register, column of a CSV file, key in JSON, property name (with '-' for '_'); unit included
 * @label: for people, translatable
 * @unit: (nullable): for people
 * @hint: (nullable): one line of help, translatable
 * @also: (nullable): other headings that people give such a column in a spreadsheet, separated by semicolons, translatable
 * @type: how it is kept
 * @offset: where in the record's struct
 * @flags: #ShimFieldFlags
 * @min: smallest number allowed
 * @max: greatest number allowed; @min = @max = 0 allows all
 * @choices: (nullable): ends with a %NULL value
 * @ref: (nullable): name of the kind it points at
 * @upper: (nullable): name of the field that holds the other end where a cell says "24–70"
 * @beside: (nullable): name of the field that takes what stands beside the number where a cell says "1299 €"
 */
typedef struct
{
  const char *name;
  const char *label;
  const char *unit;
  const char *hint;
  const char *also;
  ShimFieldType type;
  gsize offset;
  guint flags;
  double min;
  double max;
  const ShimChoice *choices;
  const char *ref;
  const char *upper;
  const char *beside;
} ShimField;

/**
 * ShimKind:
 * @name: table of the register, word in CSV, JSON and commands: "body"
 * @label: for people, translatable
 * @fields: (array length=n_fields): in the order of a form
 * @n_fields: their number
 * @is_evidence: whether rows of it are never changed, only followed by newer ones
 *
 * A kind of record: one description that the register, CSV, JSON, forms and the history share.
 */
typedef struct
{
  const char *name;
  const char *label;
  const ShimField *fields;
  guint n_fields;
  gboolean is_evidence;
} ShimKind;

const ShimField *shim_kind_find_field      (const ShimKind *kind, const char *name);
const ShimField *shim_kind_guess_field     (const ShimKind *kind, const char *heading);
gboolean         shim_field_words_hold     (const char *words, const char *text);
gboolean         shim_field_is_headed      (const ShimField *field, const char *heading);
gboolean         shim_kind_is_searched     (const ShimKind *kind);
const char      *shim_field_choice_label   (const ShimField *field, const char *value);

G_END_DECLS
