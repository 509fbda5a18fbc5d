/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "shim-record.h"

G_DEFINE_ABSTRACT_TYPE (ShimRecord, shim_record, G_TYPE_OBJECT)

enum
{
  PROP_0,
  PROP_ID,
  FIRST_FIELD_PROP,
};

static gboolean
field_is_text (const ShimField *field)
{
  switch (field->type)
    {
    case SHIM_FIELD_TEXT:
    case SHIM_FIELD_CHOICE:
    case SHIM_FIELD_DATE:
    case SHIM_FIELD_TIME:
    case SHIM_FIELD_REF:
      return TRUE;
    case SHIM_FIELD_INT:
    case SHIM_FIELD_REAL:
    case SHIM_FIELD_BOOL:
    case SHIM_FIELD_BLOB:
    default:
      return FALSE;
    }
}

static gboolean
field_is_int (const ShimField *field)
{
  return field->type == SHIM_FIELD_INT || field->type == SHIM_FIELD_BOOL;
}

#define MEMBER(self, field, type) (*(type *) G_STRUCT_MEMBER_P ((self), (field)->offset))

static void
notify_field (ShimRecord *self, const ShimField *field)
{
  const ShimKind *kind = SHIM_RECORD_GET_CLASS (self)->kind;
  GParamSpec *pspec = g_object_class_find_property (G_OBJECT_GET_CLASS (self), field->name);

  g_assert (field >= kind->fields && field < kind->fields + kind->n_fields);
  g_object_notify_by_pspec (G_OBJECT (self), pspec);
}

/**
 * shim_record_get_text:
 * @self: a record
 * @field: one of its fields that is kept as text
 *
 * Returns: (nullable) (transfer none): the value
 */
const char *
shim_record_get_text (ShimRecord *self, const ShimField *field)
{
  g_return_val_if_fail (SHIM_IS_RECORD (self), NULL);
  g_return_val_if_fail (field_is_text (field), NULL);

  return MEMBER (self, field, char *);
}

/**
 * shim_record_get_int:
 * @self: a record
 * @field: one of its whole-number or yes/no fields
 *
 * Returns: the value, %SHIM_NO_INT when not known
 */
gint64
shim_record_get_int (ShimRecord *self, const ShimField *field)
{
  g_return_val_if_fail (SHIM_IS_RECORD (self), SHIM_NO_INT);
  g_return_val_if_fail (field_is_int (field), SHIM_NO_INT);

  return MEMBER (self, field, gint64);
}

/**
 * shim_record_get_real:
 * @self: a record
 * @field: one of its real-number fields
 *
 * Returns: the value, NAN when not known
 */
double
shim_record_get_real (ShimRecord *self, const ShimField *field)
{
  g_return_val_if_fail (SHIM_IS_RECORD (self), NAN);
  g_return_val_if_fail (field->type == SHIM_FIELD_REAL, NAN);

  return MEMBER (self, field, double);
}

/**
 * shim_record_get_blob:
 * @self: a record
 * @field: one of its blob fields
 *
 * Returns: (nullable) (transfer none): the bytes
 */
GBytes *
shim_record_get_blob (ShimRecord *self, const ShimField *field)
{
  g_return_val_if_fail (SHIM_IS_RECORD (self), NULL);
  g_return_val_if_fail (field->type == SHIM_FIELD_BLOB, NULL);

  return MEMBER (self, field, GBytes *);
}

/**
 * shim_record_is_known:
 * @self: a record
 * @field: one of its fields
 *
 * Returns: whether there is a value
 */
gboolean
shim_record_is_known (ShimRecord *self, const ShimField *field)
{
  g_return_val_if_fail (SHIM_IS_RECORD (self), FALSE);

  if (field_is_text (field))
    return MEMBER (self, field, char *) != NULL;
  if (field_is_int (field))
    return MEMBER (self, field, gint64) != SHIM_NO_INT;
  if (field->type == SHIM_FIELD_REAL)
    return !isnan (MEMBER (self, field, double));
  return MEMBER (self, field, GBytes *) != NULL;
}

/**
 * shim_record_set_text:
 * @self: a record
 * @field: one of its fields that is kept as text
 * @value: (nullable): the new value; an empty text counts as not known
 */
void
shim_record_set_text (ShimRecord *self, const ShimField *field, const char *value)
{
  char **member;

  g_return_if_fail (SHIM_IS_RECORD (self));
  g_return_if_fail (field_is_text (field));

  if (value != NULL && *value == '\0')
    value = NULL;
  member = &MEMBER (self, field, char *);
  if (g_strcmp0 (*member, value) == 0)
    return;
  g_free (*member);
  *member = g_strdup (value);
  notify_field (self, field);
}

/**
 * shim_record_set_int:
 * @self: a record
 * @field: one of its whole-number or yes/no fields
 * @value: the new value
 */
void
shim_record_set_int (ShimRecord *self, const ShimField *field, gint64 value)
{
  g_return_if_fail (SHIM_IS_RECORD (self));
  g_return_if_fail (field_is_int (field));

  if (MEMBER (self, field, gint64) == value)
    return;
  MEMBER (self, field, gint64) = value;
  notify_field (self, field);
}

static gboolean
same_real (double a, double b)
{
  return a == b || (isnan (a) && isnan (b));
}

/**
 * shim_record_set_real:
 * @self: a record
 * @field: one of its real-number fields
 * @value: the new value, NAN = not known
 */
void
shim_record_set_real (ShimRecord *self, const ShimField *field, double value)
{
  g_return_if_fail (SHIM_IS_RECORD (self));
  g_return_if_fail (field->type == SHIM_FIELD_REAL);

  if (same_real (MEMBER (self, field, double), value))
    return;
  MEMBER (self, field, double) = value;
  notify_field (self, field);
}

/**
 * shim_record_set_blob:
 * @self: a record
 * @field: one of its blob fields
 * @value: (nullable) (transfer none): the new bytes
 */
void
shim_record_set_blob (ShimRecord *self, const ShimField *field, GBytes *value)
{
  GBytes **member;

  g_return_if_fail (SHIM_IS_RECORD (self));
  g_return_if_fail (field->type == SHIM_FIELD_BLOB);

  member = &MEMBER (self, field, GBytes *);
  if (*member == value)
    return;
  g_clear_pointer (member, g_bytes_unref);
  *member = value != NULL ? g_bytes_ref (value) : NULL;
  notify_field (self, field);
}

/**
 * shim_record_clear:
 * @self: a record
 * @kind: its kind
 *
 * Sets every field to "not known" (and yes/no fields to no); for the use of record types only.
 */
void
shim_record_clear (ShimRecord *self, const ShimKind *kind)
{
  g_return_if_fail (SHIM_IS_RECORD (self));

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];

      if (field->type == SHIM_FIELD_INT)
        MEMBER (self, field, gint64) = SHIM_NO_INT;
      else if (field->type == SHIM_FIELD_REAL)
        MEMBER (self, field, double) = NAN;
    }
}

static void
shim_record_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  ShimRecord *self = SHIM_RECORD (object);
  const ShimKind *kind = SHIM_RECORD_GET_CLASS (self)->kind;
  const ShimField *field;

  if (id == PROP_ID)
    {
      g_value_set_string (value, self->id);
      return;
    }
  field = &kind->fields[id - FIRST_FIELD_PROP];
  if (field_is_text (field))
    g_value_set_string (value, MEMBER (self, field, char *));
  else if (field->type == SHIM_FIELD_BOOL)
    g_value_set_boolean (value, MEMBER (self, field, gint64) != 0);
  else if (field->type == SHIM_FIELD_INT)
    g_value_set_int64 (value, MEMBER (self, field, gint64));
  else if (field->type == SHIM_FIELD_REAL)
    g_value_set_double (value, MEMBER (self, field, double));
  else
    g_value_set_boxed (value, MEMBER (self, field, GBytes *));
}

static void
shim_record_set_property (GObject *object, guint id, const GValue *value, GParamSpec *pspec)
{
  ShimRecord *self = SHIM_RECORD (object);
  const ShimKind *kind = SHIM_RECORD_GET_CLASS (self)->kind;
  const ShimField *field;

  if (id == PROP_ID)
    {
      shim_record_set_id (self, g_value_get_string (value));
      return;
    }
  field = &kind->fields[id - FIRST_FIELD_PROP];
  if (field_is_text (field))
    shim_record_set_text (self, field, g_value_get_string (value));
  else if (field->type == SHIM_FIELD_BOOL)
    shim_record_set_int (self, field, g_value_get_boolean (value));
  else if (field->type == SHIM_FIELD_INT)
    shim_record_set_int (self, field, g_value_get_int64 (value));
  else if (field->type == SHIM_FIELD_REAL)
    shim_record_set_real (self, field, g_value_get_double (value));
  else
    shim_record_set_blob (self, field, g_value_get_boxed (value));
}

static void
shim_record_finalize (GObject *object)
{
  ShimRecord *self = SHIM_RECORD (object);
  const ShimKind *kind = SHIM_RECORD_GET_CLASS (self)->kind;

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];

      if (field_is_text (field))
        g_free (MEMBER (self, field, char *));
      else if (field->type == SHIM_FIELD_BLOB)
        g_clear_pointer (&MEMBER (self, field, GBytes *), g_bytes_unref);
    }
  g_free (self->id);
  G_OBJECT_CLASS (shim_record_parent_class)->finalize (object);
}

static void
shim_record_class_init (ShimRecordClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->finalize = shim_record_finalize;
  object_class->get_property = shim_record_get_property;
  object_class->set_property = shim_record_set_property;
  g_object_class_install_property (object_class, PROP_ID,
                                   g_param_spec_string ("id", NULL, NULL, NULL,
                                                        G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS
                                                            | G_PARAM_EXPLICIT_NOTIFY));
}

static void
shim_record_init (ShimRecord *self)
{
}

static GParamSpec *
param_spec_for (const ShimField *field)
{
  const GParamFlags flags = G_PARAM_READWRITE | G_PARAM_EXPLICIT_NOTIFY | G_PARAM_STATIC_NICK | G_PARAM_STATIC_BLURB;
  g_autofree char *name = g_strdelimit (g_strdup (field->name), "_", '-');

  if (field_is_text (field))
    return g_param_spec_string (name, NULL, NULL, NULL, flags);
  if (field->type == SHIM_FIELD_BOOL)
    return g_param_spec_boolean (name, NULL, NULL, FALSE, flags);
  if (field->type == SHIM_FIELD_INT)
    return g_param_spec_int64 (name, NULL, NULL, G_MININT64, G_MAXINT64, SHIM_NO_INT, flags);
  if (field->type == SHIM_FIELD_REAL)
    return g_param_spec_double (name, NULL, NULL, -G_MAXDOUBLE, G_MAXDOUBLE, 0.0, flags);
  return g_param_spec_boxed (name, NULL, NULL, G_TYPE_BYTES, flags);
}

/**
 * shim_record_class_install:
 * @klass: the class of a record type
 * @kind: (transfer none): its description, static
 *
 * Makes a property of every field. Called in class_init (SHIM_DEFINE_RECORD() does).
 */
void
shim_record_class_install (ShimRecordClass *klass, const ShimKind *kind)
{
  g_return_if_fail (SHIM_IS_RECORD_CLASS (klass));
  g_return_if_fail (kind != NULL);

  klass->kind = kind;
  /* GObject gives every subclass empty accessors before its class_init; ours serve all of them. */
  G_OBJECT_CLASS (klass)->get_property = shim_record_get_property;
  G_OBJECT_CLASS (klass)->set_property = shim_record_set_property;
  for (guint i = 0; i < kind->n_fields; i++)
    g_object_class_install_property (G_OBJECT_CLASS (klass), FIRST_FIELD_PROP + i, param_spec_for (&kind->fields[i]));
}

/**
 * shim_record_get_kind:
 * @self: a record
 *
 * Returns: (transfer none): its description
 */
const ShimKind *
shim_record_get_kind (ShimRecord *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD (self), NULL);

  return SHIM_RECORD_GET_CLASS (self)->kind;
}

/**
 * shim_kind_for_type:
 * @type: a record type
 *
 * Returns: (transfer none): its description
 */
const ShimKind *
shim_kind_for_type (GType type)
{
  ShimRecordClass *klass;
  const ShimKind *kind;

  g_return_val_if_fail (g_type_is_a (type, SHIM_TYPE_RECORD), NULL);

  klass = g_type_class_ref (type);
  kind = klass->kind;
  g_type_class_unref (klass);
  return kind;
}

/**
 * shim_record_get_id:
 * @self: a record
 *
 * Returns: (nullable) (transfer none): its id in the register
 */
const char *
shim_record_get_id (ShimRecord *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD (self), NULL);

  return self->id;
}

/**
 * shim_record_set_id:
 * @self: a record
 * @id: (nullable): its id in the register
 */
void
shim_record_set_id (ShimRecord *self, const char *id)
{
  g_return_if_fail (SHIM_IS_RECORD (self));

  if (g_strcmp0 (self->id, id) == 0)
    return;
  g_free (self->id);
  self->id = g_strdup (id);
  g_object_notify (G_OBJECT (self), "id");
}

static void
copy_field (ShimRecord *from, ShimRecord *to, const ShimField *field)
{
  if (field_is_text (field))
    shim_record_set_text (to, field, MEMBER (from, field, char *));
  else if (field_is_int (field))
    shim_record_set_int (to, field, MEMBER (from, field, gint64));
  else if (field->type == SHIM_FIELD_REAL)
    shim_record_set_real (to, field, MEMBER (from, field, double));
  else
    shim_record_set_blob (to, field, MEMBER (from, field, GBytes *));
}

static void
unref_nullable (gpointer record)
{
  if (record != NULL)
    g_object_unref (record);
}

/**
 * shim_record_holes_new:
 * @n_reserved: how many there will probably be
 *
 * Returns: (transfer full) (element-type ShimRecord) (nullable elements): an array of records that may have holes
 */
GPtrArray *
shim_record_holes_new (guint n_reserved)
{
  return g_ptr_array_new_full (n_reserved, unref_nullable);
}

/**
 * shim_record_copy:
 * @self: a record
 *
 * Returns: (transfer full): a copy, id included
 */
ShimRecord *
shim_record_copy (ShimRecord *self)
{
  const ShimKind *kind;
  ShimRecord *copy;

  g_return_val_if_fail (SHIM_IS_RECORD (self), NULL);

  kind = SHIM_RECORD_GET_CLASS (self)->kind;
  copy = g_object_new (G_OBJECT_TYPE (self), NULL);
  copy->id = g_strdup (self->id);
  for (guint i = 0; i < kind->n_fields; i++)
    copy_field (self, copy, &kind->fields[i]);
  return copy;
}

static gboolean
same_field (ShimRecord *a, ShimRecord *b, const ShimField *field)
{
  GBytes *left, *right;

  if (field_is_text (field))
    return g_strcmp0 (MEMBER (a, field, char *), MEMBER (b, field, char *)) == 0;
  if (field_is_int (field))
    return MEMBER (a, field, gint64) == MEMBER (b, field, gint64);
  if (field->type == SHIM_FIELD_REAL)
    return same_real (MEMBER (a, field, double), MEMBER (b, field, double));
  left = MEMBER (a, field, GBytes *);
  right = MEMBER (b, field, GBytes *);
  return left == right || (left != NULL && right != NULL && g_bytes_equal (left, right));
}

/**
 * shim_record_equal:
 * @a: a record
 * @b: another of the same type
 *
 * Returns: whether all fields and the id are alike
 */
gboolean
shim_record_equal (ShimRecord *a, ShimRecord *b)
{
  const ShimKind *kind;

  g_return_val_if_fail (SHIM_IS_RECORD (a) && SHIM_IS_RECORD (b), FALSE);
  g_return_val_if_fail (G_OBJECT_TYPE (a) == G_OBJECT_TYPE (b), FALSE);

  kind = SHIM_RECORD_GET_CLASS (a)->kind;
  for (guint i = 0; i < kind->n_fields; i++)
    if (!same_field (a, b, &kind->fields[i]))
      return FALSE;
  return g_strcmp0 (a->id, b->id) == 0;
}

/**
 * shim_record_take_changes:
 * @self: a record as it is now
 * @before: the same record as somebody began to change it
 * @after: as it was left
 *
 * Sets what was changed between @before and @after, and nothing else: what another one changed meanwhile stays.
 */
void
shim_record_take_changes (ShimRecord *self, ShimRecord *before, ShimRecord *after)
{
  const ShimKind *kind;

  g_return_if_fail (SHIM_IS_RECORD (self));
  g_return_if_fail (G_OBJECT_TYPE (self) == G_OBJECT_TYPE (before) && G_OBJECT_TYPE (self) == G_OBJECT_TYPE (after));

  kind = SHIM_RECORD_GET_CLASS (self)->kind;
  for (guint i = 0; i < kind->n_fields; i++)
    if (!same_field (before, after, &kind->fields[i]))
      copy_field (after, self, &kind->fields[i]);
}
