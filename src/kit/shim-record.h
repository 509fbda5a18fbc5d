/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-field.h"

G_BEGIN_DECLS

/* Declared by hand: G_DECLARE_DERIVABLE_TYPE() would hide the id, which every subclass and reader wants at hand. */
#define SHIM_TYPE_RECORD (shim_record_get_type ())
#define SHIM_RECORD(object) (G_TYPE_CHECK_INSTANCE_CAST ((object), SHIM_TYPE_RECORD, ShimRecord))
#define SHIM_RECORD_CLASS(klass) (G_TYPE_CHECK_CLASS_CAST ((klass), SHIM_TYPE_RECORD, ShimRecordClass))
#define SHIM_IS_RECORD(object) (G_TYPE_CHECK_INSTANCE_TYPE ((object), SHIM_TYPE_RECORD))
#define SHIM_IS_RECORD_CLASS(klass) (G_TYPE_CHECK_CLASS_TYPE ((klass), SHIM_TYPE_RECORD))
#define SHIM_RECORD_GET_CLASS(object) (G_TYPE_INSTANCE_GET_CLASS ((object), SHIM_TYPE_RECORD, ShimRecordClass))

typedef struct _ShimRecord ShimRecord;
typedef struct _ShimRecordClass ShimRecordClass;

GType shim_record_get_type (void);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimRecord, g_object_unref)

/**
 * ShimRecord:
 * @id: (nullable): UUID, given by the register when it is first stored
 *
 * One row of the register as an object. Subclasses are plain structs described by a #ShimKind; their members may be read
 * directly. They are written through the setters (or g_object_set()), so that whoever shows them is told.
 */
struct _ShimRecord
{
  GObject parent_instance;
  char *id;
};

struct _ShimRecordClass
{
  GObjectClass parent_class;
  const ShimKind *kind;
};

/**
 * SHIM_DEFINE_RECORD:
 *
 * Defines a final record type from its field table: `SHIM_DEFINE_RECORD (ShimMount, shim_mount, mount_kind)`.
 */
#define SHIM_DEFINE_RECORD(TypeName, type_name, kind_table)                                                        \
  G_DEFINE_FINAL_TYPE (TypeName, type_name, SHIM_TYPE_RECORD)                                                      \
  static void type_name##_class_init (TypeName##Class *klass)                                                      \
  {                                                                                                                \
    shim_record_class_install (SHIM_RECORD_CLASS (klass), &(kind_table));                                          \
  }                                                                                                                \
  static void type_name##_init (TypeName *self)                                                                    \
  {                                                                                                                \
    shim_record_clear (SHIM_RECORD (self), &(kind_table));                                                         \
  }                                                                                                                \
  TypeName *type_name##_new (void)                                                                                 \
  {                                                                                                                \
    return g_object_new (type_name##_get_type (), NULL);                                                           \
  }

void            shim_record_class_install (ShimRecordClass *klass, const ShimKind *kind);
void            shim_record_clear         (ShimRecord *self, const ShimKind *kind);

const ShimKind *shim_record_get_kind      (ShimRecord *self);
const ShimKind *shim_kind_for_type        (GType type);
const char     *shim_record_get_id        (ShimRecord *self);
void            shim_record_set_id        (ShimRecord *self, const char *id);
ShimRecord     *shim_record_copy          (ShimRecord *self);
GPtrArray      *shim_record_holes_new     (guint n_reserved);
gboolean        shim_record_equal         (ShimRecord *a, ShimRecord *b);
void            shim_record_take_changes  (ShimRecord *self, ShimRecord *before, ShimRecord *after);

const char     *shim_record_get_text      (ShimRecord *self, const ShimField *field);
gint64          shim_record_get_int       (ShimRecord *self, const ShimField *field);
double          shim_record_get_real      (ShimRecord *self, const ShimField *field);
GBytes         *shim_record_get_blob      (ShimRecord *self, const ShimField *field);
gboolean        shim_record_is_known      (ShimRecord *self, const ShimField *field);
void            shim_record_set_text      (ShimRecord *self, const ShimField *field, const char *value);
void            shim_record_set_int       (ShimRecord *self, const ShimField *field, gint64 value);
void            shim_record_set_real      (ShimRecord *self, const ShimField *field, double value);
void            shim_record_set_blob      (ShimRecord *self, const ShimField *field, GBytes *value);

char           *shim_record_dup_title     (ShimRecord *self);
char           *shim_record_to_string     (ShimRecord *self, const ShimField *field);
gboolean        shim_record_parse         (ShimRecord *self, const ShimField *field, const char *string, GError **error);
gboolean        shim_record_check         (ShimRecord *self, GError **error);

G_END_DECLS
