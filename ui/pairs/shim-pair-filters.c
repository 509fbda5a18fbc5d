/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-drop-down.h"
#include "shim-pair-choices.h"
#include "shim-pair-filters.h"
#include "shim-search-escape.h"

struct _ShimPairFilters
{
  GtkBox parent_instance;

  /* Template widgets */
  GtkSearchEntry *body_entry;
  GtkDropDown *job_drop_down;
  GtkSearchEntry *lens_entry;
  GtkDropDown *mount_drop_down;
  GtkDropDown *order_drop_down;
  GtkDropDown *state_drop_down;

  /* Owned */
  ShimWorkspace *workspace;
  GCancellable *cancellable;
  ShimPairChoices *choices;

  gboolean is_quiet; /* several things change, and are told of once */
};

enum
{
  PROP_SORTS = 1,
};

enum
{
  CHANGED,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (ShimPairFilters, shim_pair_filters, GTK_TYPE_BOX)

/* In the order of the template. */
static const struct
{
  guint states;
  ShimDueReasons reasons;
  gboolean conflict;
} state_choices[] = {
  { 0, SHIM_DUE_NONE },
  { 1u << SHIM_PAIR_UNTESTED, SHIM_DUE_NONE },
  { 1u << SHIM_PAIR_IN_TEST, SHIM_DUE_NONE },
  { 1u << SHIM_PAIR_TUNED, SHIM_DUE_NONE },
  { 1u << SHIM_PAIR_DUE, SHIM_DUE_NONE },
  { 1u << SHIM_PAIR_DUE, SHIM_DUE_CONTRADICTED },
  { 0, SHIM_DUE_NONE, TRUE },
  { 1u << SHIM_PAIR_OUT_OF_REACH, SHIM_DUE_NONE },
  { 1u << SHIM_PAIR_NOT_NEEDED, SHIM_DUE_NONE },
};

static const ShimPairOrder order_choices[] = {
  SHIM_PAIR_ORDER_WORST, SHIM_PAIR_ORDER_OLDEST, SHIM_PAIR_ORDER_NEWEST, SHIM_PAIR_ORDER_LENS, SHIM_PAIR_ORDER_BODY,
};

static void
changed_cb (ShimPairFilters *self)
{
  if (!self->is_quiet)
    g_signal_emit (self, signals[CHANGED], 0);
}

/* The first line of either list is all of it. */
static const char *
chosen (GtkDropDown *drop_down, char **values)
{
  guint selected = gtk_drop_down_get_selected (drop_down);

  if (values == NULL || selected == 0 || selected == GTK_INVALID_LIST_POSITION || selected > g_strv_length (values))
    return NULL;
  return values[selected - 1];
}

static const char *
chosen_job (ShimPairFilters *self)
{
  return self->choices != NULL ? chosen (self->job_drop_down, self->choices->job_ids) : NULL;
}

static const char *
chosen_mount (ShimPairFilters *self)
{
  return self->choices != NULL ? chosen (self->mount_drop_down, self->choices->mounts) : NULL;
}

static const char *
typed (GtkSearchEntry *entry)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (entry));

  return *text != '\0' ? text : NULL;
}

/**
 * shim_pair_filters_get:
 * @self: the filters
 * @filter: (out): what is chosen; its texts are good until the next change
 */
void
shim_pair_filters_get (ShimPairFilters *self, ShimPairFilter *filter)
{
  guint order, state;

  g_return_if_fail (SHIM_IS_PAIR_FILTERS (self) && filter != NULL);

  order = gtk_drop_down_get_selected (self->order_drop_down);
  state = gtk_drop_down_get_selected (self->state_drop_down);
  *filter = (ShimPairFilter) {
    .job = chosen_job (self),
    .body_mount = chosen_mount (self),
    .lens_words = typed (self->lens_entry),
    .body_words = typed (self->body_entry),
    .order = order < G_N_ELEMENTS (order_choices) ? order_choices[order] : SHIM_PAIR_ORDER_WORST,
  };
  if (state >= G_N_ELEMENTS (state_choices))
    return;
  filter->states = state_choices[state].states;
  filter->reasons = state_choices[state].reasons;
  filter->conflict = state_choices[state].conflict;
}

/**
 * shim_pair_filters_is_any:
 * @self: the filters
 *
 * Returns: whether anything is left out
 */
gboolean
shim_pair_filters_is_any (ShimPairFilters *self)
{
  ShimPairFilter filter;

  g_return_val_if_fail (SHIM_IS_PAIR_FILTERS (self), FALSE);

  shim_pair_filters_get (self, &filter);
  return filter.job != NULL || filter.body_mount != NULL || filter.lens_words != NULL || filter.body_words != NULL || filter.states != 0
         || filter.conflict;
}

/**
 * shim_pair_filters_clear:
 * @self: the filters
 *
 * Leaves nothing out any more.
 */
void
shim_pair_filters_clear (ShimPairFilters *self)
{
  g_return_if_fail (SHIM_IS_PAIR_FILTERS (self));

  self->is_quiet = TRUE;
  gtk_editable_set_text (GTK_EDITABLE (self->lens_entry), "");
  gtk_editable_set_text (GTK_EDITABLE (self->body_entry), "");
  gtk_drop_down_set_selected (self->state_drop_down, 0);
  gtk_drop_down_set_selected (self->mount_drop_down, 0);
  gtk_drop_down_set_selected (self->job_drop_down, 0);
  self->is_quiet = FALSE;
  changed_cb (self);
}

/**
 * shim_pair_filters_search:
 * @self: the filters
 *
 * Puts the cursor into the search of lenses.
 */
void
shim_pair_filters_search (ShimPairFilters *self)
{
  g_return_if_fail (SHIM_IS_PAIR_FILTERS (self));

  gtk_widget_grab_focus (GTK_WIDGET (self->lens_entry));
}

/* --- Jobs and mounts --- */

static void
fill (GtkDropDown *drop_down, const char *all, char **names, char **values, const char *selected)
{
  g_autoptr (GtkStringList) model = gtk_string_list_new (NULL);
  guint position = 0;

  gtk_string_list_append (model, all);
  for (guint i = 0; names[i] != NULL; i++)
    {
      gtk_string_list_append (model, names[i]);
      if (g_strcmp0 (values[i], selected) == 0)
        position = i + 1;
    }
  gtk_drop_down_set_model (drop_down, G_LIST_MODEL (model));
  gtk_drop_down_set_selected (drop_down, position);
}

static void
show_choices (ShimPairFilters *self, ShimPairChoices *choices)
{
  g_autofree char *job = g_strdup (chosen_job (self)), *mount = g_strdup (chosen_mount (self));

  g_clear_pointer (&self->choices, shim_pair_choices_free);
  self->is_quiet = TRUE;
  fill (self->job_drop_down, _ ("Whole kit"), choices->job_names, choices->job_ids, job);
  fill (self->mount_drop_down, _ ("All mounts"), choices->mounts, choices->mounts, mount);
  self->is_quiet = FALSE;
  self->choices = choices;
  gtk_widget_set_visible (GTK_WIDGET (self->job_drop_down), g_strv_length (choices->job_ids) > 0);
  gtk_widget_set_visible (GTK_WIDGET (self->mount_drop_down), g_strv_length (choices->mounts) > 1);
  if (g_strcmp0 (job, chosen_job (self)) != 0 || g_strcmp0 (mount, chosen_mount (self)) != 0)
    changed_cb (self);
}

static void
choices_read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimPairFilters) self = SHIM_PAIR_FILTERS (user_data);
  g_autoptr (GError) error = NULL;
  ShimPairChoices *choices = shim_pair_choices_read_finish (SHIM_WORKSPACE (source), result, &error);

  if (choices == NULL)
    shim_show_error (GTK_WIDGET (self), _ ("The Jobs and Mounts Could Not Be Read"), error);
  else if (self->workspace == NULL)
    shim_pair_choices_free (choices); /* the window has gone meanwhile */
  else
    show_choices (self, choices);
}

static void
read_choices (ShimPairFilters *self)
{
  shim_pair_choices_read_async (self->workspace, self->cancellable, choices_read_cb, g_object_ref (self));
}

/**
 * shim_pair_filters_set_workspace:
 * @self: the filters
 * @workspace: the register whose jobs and mounts are offered; set once
 */
void
shim_pair_filters_set_workspace (ShimPairFilters *self, ShimWorkspace *workspace)
{
  g_return_if_fail (SHIM_IS_PAIR_FILTERS (self) && self->workspace == NULL);

  self->workspace = g_object_ref (workspace);
  g_signal_connect_object (workspace, "changed", G_CALLBACK (read_choices), self, G_CONNECT_SWAPPED);
  read_choices (self);
}

static void
shim_pair_filters_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  g_value_set_boolean (value, gtk_widget_get_visible (GTK_WIDGET (SHIM_PAIR_FILTERS (object)->order_drop_down)));
}

static void
shim_pair_filters_set_property (GObject *object, guint id, const GValue *value, GParamSpec *pspec)
{
  gtk_widget_set_visible (GTK_WIDGET (SHIM_PAIR_FILTERS (object)->order_drop_down), g_value_get_boolean (value));
}

static void
shim_pair_filters_dispose (GObject *object)
{
  ShimPairFilters *self = SHIM_PAIR_FILTERS (object);

  g_cancellable_cancel (self->cancellable);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_PAIR_FILTERS);
  g_clear_object (&self->cancellable);
  g_clear_pointer (&self->choices, shim_pair_choices_free);
  g_clear_object (&self->workspace);
  G_OBJECT_CLASS (shim_pair_filters_parent_class)->dispose (object);
}

static void
shim_pair_filters_class_init (ShimPairFiltersClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = shim_pair_filters_dispose;
  object_class->get_property = shim_pair_filters_get_property;
  object_class->set_property = shim_pair_filters_set_property;
  g_object_class_install_property (object_class, PROP_SORTS,
                                   g_param_spec_boolean ("sorts", NULL, NULL, TRUE, G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS));
  signals[CHANGED] = g_signal_new ("changed", SHIM_TYPE_PAIR_FILTERS, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/pairs/shim-pair-filters.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimPairFilters, body_entry);
  gtk_widget_class_bind_template_child (widget_class, ShimPairFilters, job_drop_down);
  gtk_widget_class_bind_template_child (widget_class, ShimPairFilters, lens_entry);
  gtk_widget_class_bind_template_child (widget_class, ShimPairFilters, mount_drop_down);
  gtk_widget_class_bind_template_child (widget_class, ShimPairFilters, order_drop_down);
  gtk_widget_class_bind_template_child (widget_class, ShimPairFilters, state_drop_down);
  gtk_widget_class_bind_template_callback (widget_class, changed_cb);
}

static void
shim_pair_filters_init (ShimPairFilters *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  shim_search_escape_add (self->lens_entry);
  shim_search_escape_add (self->body_entry);
  shim_drop_down_shorten (self->job_drop_down);
  shim_drop_down_shorten (self->mount_drop_down);
  self->cancellable = g_cancellable_new ();
}
