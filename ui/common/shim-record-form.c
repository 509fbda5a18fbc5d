/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-file-row.h"
#include "shim-record-form.h"

struct _ShimRecordForm
{
  GtkBox parent_instance;

  ShimRecord *record;
  GHashTable *choices; /* field name → char ** of values a reference may have */
  char *choices_hint;  /* where other values come from */
  GHashTable *errors;  /* field name → sentence */
  char *problem;
  gboolean valid;
};

enum
{
  PROP_VALID = 1,
  PROP_PROBLEM,
  N_PROPS,
};

static GParamSpec *props[N_PROPS];

G_DEFINE_FINAL_TYPE (ShimRecordForm, shim_record_form, GTK_TYPE_BOX)

/* One row of the form: what its handlers need. */
typedef struct
{
  ShimRecordForm *form;
  const ShimField *field;
  GtkLabel *error_label;
  GtkWidget *error_row;
} Row;

/* What stands in the way: a mistake that a row shows already, else the first thing that is missing. */
static char *
find_problem (ShimRecordForm *self)
{
  g_autoptr (GError) error = NULL;

  if (g_hash_table_size (self->errors) > 0)
    return g_strdup (_ ("Mend what is marked first"));
  return shim_record_check (self->record, &error) ? NULL : g_strdup (error->message);
}

static void
update_valid (ShimRecordForm *self)
{
  g_autofree char *problem = find_problem (self);
  gboolean valid = problem == NULL;

  if (g_strcmp0 (problem, self->problem) != 0)
    {
      g_free (self->problem);
      self->problem = g_steal_pointer (&problem);
      g_object_notify_by_pspec (G_OBJECT (self), props[PROP_PROBLEM]);
    }
  if (valid == self->valid)
    return;
  self->valid = valid;
  g_object_notify_by_pspec (G_OBJECT (self), props[PROP_VALID]);
}

static void
set_error (Row *row, GtkWidget *widget, const GError *error)
{
  if (error != NULL)
    {
      g_hash_table_insert (row->form->errors, (gpointer) row->field->name, g_strdup (error->message));
      gtk_widget_add_css_class (widget, "error");
    }
  else
    {
      g_hash_table_remove (row->form->errors, row->field->name);
      gtk_widget_remove_css_class (widget, "error");
    }
  gtk_accessible_update_state (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_STATE_INVALID,
                               error != NULL ? GTK_ACCESSIBLE_INVALID_TRUE : GTK_ACCESSIBLE_INVALID_FALSE, -1);
  gtk_accessible_update_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  error != NULL ? error->message : row->field->hint != NULL ? _ (row->field->hint) : "", -1);
  gtk_label_set_label (row->error_label, error != NULL ? error->message : "");
  gtk_widget_set_visible (row->error_row, error != NULL);
  update_valid (row->form);
}

static void
entry_changed_cb (GtkEditable *editable, Row *row)
{
  g_autoptr (GError) error = NULL;

  shim_record_parse (row->form->record, row->field, gtk_editable_get_text (editable), &error);
  /* A required field that is left empty is not a mistake yet: the Save button waits for it. */
  set_error (row, GTK_WIDGET (editable), error);
}

static void
choice_changed_cb (AdwComboRow *combo, GParamSpec *pspec, Row *row)
{
  GtkStringObject *item = adw_combo_row_get_selected_item (combo);
  const char *label = item != NULL ? gtk_string_object_get_string (item) : NULL;
  g_autoptr (GError) error = NULL;

  if (adw_combo_row_get_selected (combo) == 0)
    label = NULL;
  shim_record_parse (row->form->record, row->field, label, &error);
  set_error (row, GTK_WIDGET (combo), error);
}

static void
switch_changed_cb (GtkSwitch *toggle, GParamSpec *pspec, Row *row)
{
  shim_record_set_int (row->form->record, row->field, gtk_switch_get_active (toggle));
}

static char *
title_for (const ShimField *field)
{
  if (field->unit == NULL)
    return g_strdup (_ (field->label));
  return g_strdup_printf ("%s (%s)", _ (field->label), field->unit);
}

/* A hint is read before anything is typed: it stands in the row. */
static GtkWidget *
hint_label_new (const ShimField *field)
{
  GtkWidget *label = gtk_label_new (_ (field->hint));

  gtk_widget_add_css_class (label, "caption");
  gtk_widget_add_css_class (label, "dim-label");
  return label;
}

/* Numbers stand in forms with the sign they have everywhere else. */
static char *
text_for (Row *row)
{
  g_autofree char *text = shim_record_to_string (row->form->record, row->field);
  gboolean is_number = row->field->type == SHIM_FIELD_INT || row->field->type == SHIM_FIELD_REAL;

  return is_number && *text == '-' ? g_strconcat ("\u2212", text + 1, NULL) : g_steal_pointer (&text);
}

static GtkWidget *
entry_row_new (Row *row)
{
  GtkWidget *entry = adw_entry_row_new ();
  g_autofree char *text = text_for (row);

  gtk_editable_set_text (GTK_EDITABLE (entry), text);
  if (row->field->hint != NULL)
    adw_entry_row_add_suffix (ADW_ENTRY_ROW (entry), hint_label_new (row->field));
  adw_entry_row_set_activates_default (ADW_ENTRY_ROW (entry), TRUE);
  g_signal_connect (entry, "changed", G_CALLBACK (entry_changed_cb), row);
  return entry;
}

static void
path_changed_cb (ShimFileRow *file_row, GParamSpec *pspec, Row *row)
{
  shim_record_set_text (row->form->record, row->field, shim_file_row_get_path (file_row));
  set_error (row, GTK_WIDGET (file_row), NULL);
}

static GtkWidget *
path_row_new (Row *row)
{
  GtkWidget *file_row = shim_file_row_new (shim_record_get_text (row->form->record, row->field));

  g_signal_connect (file_row, "notify::path", G_CALLBACK (path_changed_cb), row);
  return file_row;
}

static GtkWidget *
combo_row_new (Row *row, const char *const *labels, guint selected)
{
  GtkWidget *combo = adw_combo_row_new ();
  g_autoptr (GtkStringList) model = gtk_string_list_new (labels);

  adw_combo_row_set_model (ADW_COMBO_ROW (combo), G_LIST_MODEL (model));
  adw_combo_row_set_selected (ADW_COMBO_ROW (combo), selected);
  g_signal_connect (combo, "notify::selected", G_CALLBACK (choice_changed_cb), row);
  return combo;
}

static GtkWidget *
choice_row_new (Row *row)
{
  g_autoptr (GStrvBuilder) builder = g_strv_builder_new ();
  g_auto (GStrv) labels = NULL;
  guint selected = 0, n = 1;

  g_strv_builder_add (builder, row->field->flags & SHIM_FIELD_REQUIRED ? _ ("Choose…") : _ ("Not known"));
  for (const ShimChoice *choice = row->field->choices; choice->value != NULL; choice++, n++)
    {
      g_strv_builder_add (builder, _ (choice->label));
      if (g_strcmp0 (choice->value, shim_record_get_text (row->form->record, row->field)) == 0)
        selected = n;
    }
  labels = g_strv_builder_end (builder);
  return combo_row_new (row, (const char *const *) labels, selected);
}

static GtkWidget *
reference_row_new (Row *row, const char *const *values)
{
  g_autoptr (GStrvBuilder) builder = g_strv_builder_new ();
  g_auto (GStrv) labels = NULL;
  const char *now = shim_record_get_text (row->form->record, row->field);
  guint selected = 0;
  GtkWidget *combo;

  g_strv_builder_add (builder, _ ("Choose…"));
  for (guint i = 0; values[i] != NULL; i++)
    {
      g_strv_builder_add (builder, values[i]);
      if (g_strcmp0 (values[i], now) == 0)
        selected = i + 1;
    }
  labels = g_strv_builder_end (builder);
  combo = combo_row_new (row, (const char *const *) labels, selected);
  adw_combo_row_set_expression (ADW_COMBO_ROW (combo),
                                gtk_property_expression_new (GTK_TYPE_STRING_OBJECT, NULL, "string"));
  if (row->form->choices_hint != NULL)
    adw_action_row_set_subtitle (ADW_ACTION_ROW (combo), row->form->choices_hint);
  return combo;
}

static GtkWidget *
switch_row_new (Row *row)
{
  GtkWidget *action_row = adw_action_row_new ();
  GtkWidget *toggle = gtk_switch_new ();
  g_autofree char *title = title_for (row->field);

  gtk_widget_set_valign (toggle, GTK_ALIGN_CENTER);
  gtk_switch_set_active (GTK_SWITCH (toggle), shim_record_get_int (row->form->record, row->field) != 0);
  gtk_accessible_update_property (GTK_ACCESSIBLE (toggle), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
  g_signal_connect (toggle, "notify::active", G_CALLBACK (switch_changed_cb), row);
  adw_action_row_add_suffix (ADW_ACTION_ROW (action_row), toggle);
  adw_action_row_set_activatable_widget (ADW_ACTION_ROW (action_row), toggle);
  return action_row;
}

static GtkWidget *
row_widget_new (Row *row)
{
  const char *const *values = g_hash_table_lookup (row->form->choices, row->field->name);

  if (row->field->type == SHIM_FIELD_CHOICE)
    return choice_row_new (row);
  if (row->field->type == SHIM_FIELD_BOOL)
    return switch_row_new (row);
  if ((row->field->flags & SHIM_FIELD_PATH) != 0)
    return path_row_new (row);
  if (values != NULL)
    return reference_row_new (row, values);
  return entry_row_new (row);
}

/* Stands directly below its row and is seen only while there is something wrong. */
static void
make_error_row (Row *row)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_label_set_xalign (GTK_LABEL (label), 0.0);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_widget_add_css_class (label, "error");
  gtk_widget_add_css_class (label, "caption");
  gtk_widget_set_margin_start (label, 12);
  gtk_widget_set_margin_end (label, 12);
  gtk_widget_set_margin_top (label, 3);
  gtk_widget_set_margin_bottom (label, 6);
  row->error_label = GTK_LABEL (label);
  row->error_row = g_object_new (ADW_TYPE_PREFERENCES_ROW, "child", label, "activatable", FALSE, "focusable", FALSE, "visible", FALSE,
                                 NULL);
}

static void
add_row (ShimRecordForm *self, AdwPreferencesGroup *group, const ShimField *field)
{
  Row *row = g_new0 (Row, 1);
  g_autofree char *title = title_for (field);
  GtkWidget *widget;

  row->form = self;
  row->field = field;
  make_error_row (row);
  widget = row_widget_new (row);
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (widget), title);
  gtk_accessible_update_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
  if (field->hint != NULL)
    gtk_accessible_update_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, _ (field->hint), -1);
  g_object_set_data_full (G_OBJECT (widget), "shim-row", row, g_free);
  adw_preferences_group_add (group, widget);
  adw_preferences_group_add (group, row->error_row);
}

/**
 * shim_record_form_add_group:
 * @self: a form
 * @title: over the rows
 * @field_names: (array zero-terminated=1): fields in order
 */
void
shim_record_form_add_group (ShimRecordForm *self, const char *title, const char *const *field_names)
{
  GtkWidget *group;

  g_return_if_fail (SHIM_IS_RECORD_FORM (self));
  g_return_if_fail (field_names != NULL);

  group = adw_preferences_group_new ();
  adw_preferences_group_set_title (ADW_PREFERENCES_GROUP (group), title);
  for (guint i = 0; field_names[i] != NULL; i++)
    {
      const ShimField *field = shim_kind_find_field (shim_record_get_kind (self->record), field_names[i]);

      g_return_if_fail (field != NULL);
      add_row (self, ADW_PREFERENCES_GROUP (group), field);
    }
  gtk_box_append (GTK_BOX (self), group);
}

/**
 * shim_record_form_set_choices:
 * @self: a form, before the field's group is added
 * @field_name: a field that points at something
 * @values: (array zero-terminated=1): what it may be
 * @hint: where other values come from
 */
void
shim_record_form_set_choices (ShimRecordForm *self, const char *field_name, const char *const *values, const char *hint)
{
  const ShimField *field;

  g_return_if_fail (SHIM_IS_RECORD_FORM (self));

  field = shim_kind_find_field (shim_record_get_kind (self->record), field_name);
  g_return_if_fail (field != NULL);
  g_hash_table_insert (self->choices, (gpointer) field->name, g_strdupv ((char **) values));
  g_free (self->choices_hint);
  self->choices_hint = g_strdup (hint);
}

/**
 * shim_record_form_get_record:
 * @self: a form
 *
 * Returns: (transfer none): the record as filled in so far
 */
ShimRecord *
shim_record_form_get_record (ShimRecordForm *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD_FORM (self), NULL);

  return self->record;
}

/**
 * shim_record_form_get_valid:
 * @self: a form
 *
 * Returns: whether the record can be stored
 */
gboolean
shim_record_form_get_valid (ShimRecordForm *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD_FORM (self), FALSE);

  return self->valid;
}

/**
 * shim_record_form_get_problem:
 * @self: a form
 *
 * Returns: (nullable) (transfer none): what stands in the way of storing the record
 */
const char *
shim_record_form_get_problem (ShimRecordForm *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD_FORM (self), NULL);

  return self->problem;
}

/**
 * shim_record_form_has_mistakes:
 * @self: a form
 *
 * Returns: whether something was typed that the record could not take over
 */
gboolean
shim_record_form_has_mistakes (ShimRecordForm *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD_FORM (self), FALSE);

  return g_hash_table_size (self->errors) > 0;
}

static void
shim_record_form_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  if (id == PROP_PROBLEM)
    g_value_set_string (value, SHIM_RECORD_FORM (object)->problem);
  else
    g_value_set_boolean (value, SHIM_RECORD_FORM (object)->valid);
}

static void
shim_record_form_finalize (GObject *object)
{
  ShimRecordForm *self = SHIM_RECORD_FORM (object);

  g_clear_object (&self->record);
  g_hash_table_unref (self->choices);
  g_free (self->choices_hint);
  g_hash_table_unref (self->errors);
  g_free (self->problem);
  G_OBJECT_CLASS (shim_record_form_parent_class)->finalize (object);
}

static void
shim_record_form_class_init (ShimRecordFormClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->finalize = shim_record_form_finalize;
  object_class->get_property = shim_record_form_get_property;
  props[PROP_VALID] = g_param_spec_boolean ("valid", NULL, NULL, FALSE, G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  props[PROP_PROBLEM] = g_param_spec_string ("problem", NULL, NULL, NULL, G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, props);
}

static void
shim_record_form_init (ShimRecordForm *self)
{
  self->choices = g_hash_table_new_full (g_str_hash, g_str_equal, NULL, (GDestroyNotify) g_strfreev);
  self->errors = g_hash_table_new_full (g_str_hash, g_str_equal, NULL, g_free);
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing (GTK_BOX (self), 24);
}

/**
 * shim_record_form_new:
 * @record: what to fill in; the form works on a copy
 *
 * Returns: (transfer floating): a form without rows yet
 */
GtkWidget *
shim_record_form_new (ShimRecord *record)
{
  ShimRecordForm *self = g_object_new (SHIM_TYPE_RECORD_FORM, NULL);

  self->record = shim_record_copy (record);
  g_signal_connect_object (self->record, "notify", G_CALLBACK (update_valid), self, G_CONNECT_SWAPPED);
  update_valid (self);
  return GTK_WIDGET (self);
}
