/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-record-picker.h"
#include "shim-slots-page.h"
#include "shim-slots-place.h"

struct _ShimSlotsPlace
{
  GtkBox parent_instance;

  /* Template widgets */
  ShimRecordPicker *picker;
  GtkStack *stack;

  /* Borrowed */
  ShimSlotsPage *page;
};

G_DEFINE_FINAL_TYPE (ShimSlotsPlace, shim_slots_place, GTK_TYPE_BOX)

static void
selected_cb (ShimSlotsPlace *self)
{
  const char *id = shim_record_picker_get_selected_id (self->picker);

  if (self->page == NULL)
    return;
  if (id == NULL)
    {
      gtk_stack_set_visible_child_name (self->stack, shim_record_picker_is_empty (self->picker) ? "none" : "choose");
      return;
    }
  shim_slots_page_set_body (self->page, id);
  gtk_stack_set_visible_child (self->stack, GTK_WIDGET (self->page));
}

/**
 * shim_slots_place_search:
 * @self: the place
 */
void
shim_slots_place_search (ShimSlotsPlace *self)
{
  g_return_if_fail (SHIM_IS_SLOTS_PLACE (self));

  shim_record_picker_search (self->picker);
}

/**
 * shim_slots_place_open_body:
 * @self: the place
 * @body: id of the body whose slots are wanted
 */
void
shim_slots_place_open_body (ShimSlotsPlace *self, const char *body)
{
  g_return_if_fail (SHIM_IS_SLOTS_PLACE (self));

  shim_record_picker_select (self->picker, body);
}

/* Where one goes on by key: the list, or the first step while there is nothing at all. */
static gboolean
shim_slots_place_grab_focus (GtkWidget *widget)
{
  ShimSlotsPlace *self = SHIM_SLOTS_PLACE (widget);

  if (g_str_equal (gtk_stack_get_visible_child_name (self->stack), "none"))
    return gtk_widget_child_focus (GTK_WIDGET (self->stack), GTK_DIR_TAB_FORWARD);
  return gtk_widget_grab_focus (GTK_WIDGET (self->picker));
}

static void
shim_slots_place_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_SLOTS_PLACE);
  G_OBJECT_CLASS (shim_slots_place_parent_class)->dispose (object);
}

static void
shim_slots_place_class_init (ShimSlotsPlaceClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_slots_place_dispose;
  widget_class->grab_focus = shim_slots_place_grab_focus;
  g_type_ensure (SHIM_TYPE_RECORD_PICKER);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/slots/shim-slots-place.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimSlotsPlace, picker);
  gtk_widget_class_bind_template_child (widget_class, ShimSlotsPlace, stack);
  gtk_widget_class_bind_template_callback (widget_class, selected_cb);
}

static void
shim_slots_place_init (ShimSlotsPlace *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * shim_slots_place_new:
 * @workspace: the register to show
 *
 * Returns: (transfer floating): the place Slots
 */
GtkWidget *
shim_slots_place_new (ShimWorkspace *workspace)
{
  ShimSlotsPlace *self = g_object_new (SHIM_TYPE_SLOTS_PLACE, NULL);

  self->page = SHIM_SLOTS_PAGE (shim_slots_page_new (workspace));
  gtk_stack_add_child (self->stack, GTK_WIDGET (self->page));
  shim_record_picker_set_kind (self->picker, workspace, "body", "label", FALSE);
  return GTK_WIDGET (self);
}
