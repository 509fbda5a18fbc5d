/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-record-form.h"

struct _ShimRecordForm
{
  GtkBox parent_instance;

  ShimRecord *record;
  GHashTable *choices; /* field name → char ** of values a reference may have */
  GHashTable *errors;  /* field name → sentence */
  gboolean valid;
};

enum
{
  PROP_VALID = 1,
};

G_DEFINE_FINAL_TYPE (ShimRecordForm, shim_record_form, GTK_TYPE_BOX)

/* One row of the form: what its handlers need. */
typedef struct
{
  ShimRecordForm *form;
  const ShimField *field;
  GtkLabel *error_label;
} Row;

static void
update_valid (ShimRecordForm *self)
{
  gboolean valid = g_hash_table_size (self->errors) == 0 && shim_record_check (self->record, NULL);

  if (valid == self->valid)
    return;
  self->valid = valid;
  g_object_notify (G_OBJECT (self), "valid");
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
  gtk_label_set_label (row->error_label, error != NULL ? error->message : "");
  gtk_widget_set_visible (GTK_WIDGET (row->error_label), error != NULL);
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

static GtkWidget *
entry_row_new (Row *row)
{
  GtkWidget *entry = adw_entry_row_new ();
  g_autofree char *text = shim_record_to_string (row->form->record, row->field);

  gtk_editable_set_text (GTK_EDITABLE (entry), text);
  g_signal_connect (entry, "changed", G_CALLBACK (entry_changed_cb), row);
  return entry;
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

  g_strv_builder_add (builder, _ ("Not known"));
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
  if (values != NULL)
    return reference_row_new (row, values);
  return entry_row_new (row);
}

static void
add_row (ShimRecordForm *self, AdwPreferencesGroup *group, const ShimField *field)
{
  Row *row = g_new0 (Row, 1);
  g_autofree char *title = title_for (field);
  GtkWidget *widget;

  row->form = self;
  row->field = field;
  row->error_label = GTK_LABEL (gtk_label_new (NULL));
  gtk_label_set_xalign (row->error_label, 0.0);
  gtk_label_set_wrap (row->error_label, TRUE);
  gtk_widget_add_css_class (GTK_WIDGET (row->error_label), "error");
  gtk_widget_add_css_class (GTK_WIDGET (row->error_label), "caption");
  gtk_widget_set_margin_start (GTK_WIDGET (row->error_label), 12);
  gtk_widget_set_margin_top (GTK_WIDGET (row->error_label), 3);
  gtk_widget_set_margin_bottom (GTK_WIDGET (row->error_label), 6);
  gtk_widget_set_visible (GTK_WIDGET (row->error_label), FALSE);

  widget = row_widget_new (row);
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (widget), title);
  gtk_accessible_update_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
  if (field->hint != NULL)
    gtk_widget_set_tooltip_text (widget, _ (field->hint));
  g_object_set_data_full (G_OBJECT (widget), "shim-row", row, g_free);
  adw_preferences_group_add (group, widget);
  adw_preferences_group_add (group, GTK_WIDGET (row->error_label));
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
 */
void
shim_record_form_set_choices (ShimRecordForm *self, const char *field_name, const char *const *values)
{
  const ShimField *field;

  g_return_if_fail (SHIM_IS_RECORD_FORM (self));

  field = shim_kind_find_field (shim_record_get_kind (self->record), field_name);
  g_return_if_fail (field != NULL);
  g_hash_table_insert (self->choices, (gpointer) field->name, g_strdupv ((char **) values));
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

static void
shim_record_form_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  g_value_set_boolean (value, SHIM_RECORD_FORM (object)->valid);
}

static void
shim_record_form_finalize (GObject *object)
{
  ShimRecordForm *self = SHIM_RECORD_FORM (object);

  g_clear_object (&self->record);
  g_hash_table_unref (self->choices);
  g_hash_table_unref (self->errors);
  G_OBJECT_CLASS (shim_record_form_parent_class)->finalize (object);
}

static void
shim_record_form_class_init (ShimRecordFormClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->finalize = shim_record_form_finalize;
  object_class->get_property = shim_record_form_get_property;
  g_object_class_install_property (object_class, PROP_VALID,
                                   g_param_spec_boolean ("valid", NULL, NULL, FALSE, G_PARAM_READABLE | G_PARAM_STATIC_STRINGS));
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
