/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-format.h"
#include "shim-measurement-json.h"
#include "shim-ops-record.h"
#include "shim-frame-measure.h"

/* A test as a document: what the summary says, put into the plain data that the report layer prints. */

static char *
item_text (const char *label, const char *maker, const char *model, const char *serial)
{
  g_autofree char *product = shim_format_product (maker, model);
  g_autoptr (GString) text = g_string_new (label);

  if (product != NULL && *product != '\0' && g_strcmp0 (product, label) != 0)
    g_string_append_printf (text, " (%s)", product);
  if (serial != NULL && *serial != '\0')
    g_string_append_printf (text, _ (", serial number %s"), serial);
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static void
add_items (ShimTestRecord *self, const ShimTestSummary *summary)
{
  const ShimBody *body = summary->body;
  const ShimLens *lens = summary->lens;
  const ShimConverter *converter = summary->converter;

  shim_test_record_add_line (self->items, _ ("Body"), item_text (body->label, body->maker, body->model, body->serial));
  shim_test_record_add_line (self->items, _ ("Firmware"), g_strdup (body->firmware));
  shim_test_record_add_line (self->items, _ ("Lens"), item_text (lens->label, lens->maker, lens->model, lens->serial));
  if (converter != NULL)
    shim_test_record_add_line (self->items, _ ("Converter"),
                               item_text (converter->label, converter->maker, converter->model, converter->serial));
}

static char *
with_unit (double value, int decimals, const char *format)
{
  g_autofree char *number = isnan (value) ? NULL : shim_format_number (value, decimals);

  return number != NULL ? g_strdup_printf (format, number) : NULL;
}

static char *
depth_text (const ShimTestSummary *summary)
{
  g_autofree char *depth = shim_format_number (summary->depth_of_field_mm, 0);
  g_autofree char *near = shim_format_distance (summary->near_mm);
  g_autofree char *far = isfinite (summary->far_mm) ? shim_format_distance (summary->far_mm) : g_strdup ("∞");
  g_autofree char *coc = shim_format_number (summary->coc_mm, 3);

  if (isnan (summary->depth_of_field_mm))
    return NULL;
  return g_strdup_printf (_ ("%s mm, from %s to %s, for a circle of confusion of %s mm"), depth, near, far, coc);
}

static void
add_set_up (ShimTestRecord *self, const ShimTestSummary *summary)
{
  const ShimTest *test = summary->test;
  GPtrArray *list = self->set_up;

  shim_test_record_add_line (list, _ ("Focal length"), shim_format_focal (test->focal_mm, NAN));
  shim_test_record_add_line (list, _ ("Aperture"), shim_format_f_number (test->f_number));
  shim_test_record_add_line (list, _ ("Distance to target"), shim_format_distance (test->distance_mm));
  shim_test_record_add_line (list, _ ("Ruler to optical axis"), with_unit (test->angle_deg, 0, "%s°"));
  shim_test_record_add_line (list, _ ("Finest ticks"), with_unit (test->tick_mm, 2, "%s mm"));
  shim_test_record_add_line (list, _ ("Light"), with_unit (test->light_lx, 0, "%s lx"));
  shim_test_record_add_line (list, _ ("Depth of field"), depth_text (summary));
  shim_test_record_add_line (list, _ ("Tolerance"), with_unit (summary->tolerance_mm, 1, "± %s mm"));
  if (!isnan (summary->response.step_mm))
    shim_test_record_add_line (list, _ ("One step"),
                               shim_format_signed_error (summary->response.step_mm, summary->response.step_se_mm, "mm"));
  shim_test_record_add_line (list, _ ("Note"), g_strdup (test->note));
}

static ShimPoint
less (ShimPoint at, const ShimRect *corner)
{
  return (ShimPoint) { at.x - corner->x, at.y - corner->y };
}

/* The picture that is kept of the frame, and the marks on it. */
static void
add_evidence (ShimRegister *reg, ShimRecordFrame *into, const ShimFrameSummary *frame)
{
  const ShimReading *reading = frame->counted != NULL ? frame->counted : frame->program;
  g_autoptr (ShimRecord) whole = shim_register_get (reg, SHIM_TYPE_FRAME, SHIM_RECORD (frame->frame)->id, NULL);
  g_autoptr (ShimMeasurement) measurement = NULL;
  ShimRect rect;

  if (whole == NULL || SHIM_FRAME (whole)->evidence == NULL
      || !shim_frame_evidence_rect (SHIM_FRAME (whole)->evidence, &rect, NULL, NULL))
    return;
  into->evidence = g_bytes_ref (SHIM_FRAME (whole)->evidence);
  into->width_px = rect.width;
  into->height_px = rect.height;
  if (reading != NULL && reading->details != NULL)
    measurement = shim_measurement_from_details (reading->details, NULL);
  if (measurement == NULL)
    return;
  into->target_px = less (measurement->target_px, &rect);
  into->sharp_px = less (measurement->sharp_px, &rect);
  into->along_px = (ShimPoint) { measurement->strip_b_px.x - measurement->strip_a_px.x,
                                 measurement->strip_b_px.y - measurement->strip_a_px.y };
}

static void
add_frame (ShimRegister *reg, ShimRecordRound *round, const ShimFrameSummary *frame)
{
  ShimRecordFrame *into = shim_record_round_add (round);

  into->name = g_path_get_basename (frame->frame->path);
  into->taken = g_strdup (frame->frame->taken != NULL ? frame->frame->taken : "");
  into->remark = g_strdup (frame->sentence != NULL ? frame->sentence : "");
  if (frame->counted != NULL)
    {
      into->offset_mm = frame->counted->offset_mm;
      into->offset_se_mm = frame->counted->offset_se_mm;
      into->by_eye = g_strcmp0 (frame->counted->method, "eye") == 0;
    }
  add_evidence (reg, into, frame);
}

static void
add_rounds (ShimRegister *reg, ShimTestRecord *self, const ShimTestSummary *summary)
{
  for (guint r = 0; r < summary->rounds->len; r++)
    {
      const ShimRoundSummary *round = summary->rounds->pdata[r];
      ShimRecordRound *into = shim_test_record_add_round (self);

      into->is_reference = round->is_reference;
      into->setting = round->is_reference ? SHIM_NO_INT : round->round->setting;
      into->stats = round->stats;
      for (guint i = 0; i < round->frames->len; i++)
        add_frame (reg, into, round->frames->pdata[i]);
    }
}

static char *
decision_text (const ShimDecision *decision)
{
  g_autofree char *value = shim_format_setting (decision->value);
  g_autofree char *residual = shim_format_signed_error (decision->residual_mm, decision->residual_se_mm, "mm");
  g_autoptr (GString) text = g_string_new (NULL);

  if (decision->value == SHIM_NO_INT)
    return g_strdup (decision->note != NULL ? decision->note : _ ("withdrawn"));
  g_string_append_printf (text, _ ("setting %s"), value);
  if (!isnan (decision->residual_mm))
    g_string_append_printf (text, _ (", residual %s"), residual);
  if (decision->out_of_reach)
    g_string_append (text, _ (", the best one lies beyond the range of the body"));
  if (decision->note != NULL)
    g_string_append_printf (text, " · %s", decision->note);
  return g_string_free (g_steal_pointer (&text), FALSE);
}

/* Only what was decided from this very test belongs into its record. */
static void
add_decisions (ShimTestRecord *self, const ShimTestSummary *summary)
{
  for (guint i = 0; i < summary->decisions->len; i++)
    {
      const ShimDecision *decision = summary->decisions->pdata[i];
      g_autofree char *day = NULL;

      if (g_strcmp0 (decision->test, SHIM_RECORD (summary->test)->id) != 0)
        continue;
      day = g_strndup (decision->decided_at, 10);
      shim_test_record_add_line (self->decisions, day, decision_text (decision));
      if (self->decided == SHIM_NO_INT)
        self->decided = decision->value;
    }
}

static void
add_cautions (ShimTestRecord *self, const ShimTestSummary *summary)
{
  GPtrArray *list = g_ptr_array_new ();

  if (summary->reference == NULL)
    g_ptr_array_add (list, g_strdup (_ ("There is no reference round: an error of the set-up itself would stay in the result.")));
  if (summary->response.bends)
    g_ptr_array_add (list, g_strdup (_ ("The response bends: the step found holds only near the settings that were tried.")));
  if (summary->response.state == SHIM_RESPONSE_WRONG_WAY)
    g_ptr_array_add (list, g_strdup (_ ("Focus moved against the way this body is recorded to count.")));
  g_ptr_array_add (list, g_strdup (_ ("Adjusting is not repairing. A body or lens that is off by itself belongs into the hands of a "
                                      "qualified technician; the maker's manual goes first.")));
  g_ptr_array_add (list, NULL);
  g_strfreev (self->cautions);
  self->cautions = (char **) g_ptr_array_free (list, FALSE);
}

/**
 * shim_ops_test_record:
 * @reg: a register
 * @test: id of a test
 * @made_at: when the record is made
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): the record, ready for shim_test_record_write_pdf()
 */
ShimTestRecord *
shim_ops_test_record (ShimRegister *reg, const char *test, GDateTime *made_at, GError **error)
{
  g_autoptr (ShimTestSummary) summary = NULL;
  ShimTestRecord *self;

  g_return_val_if_fail (reg != NULL && test != NULL && made_at != NULL, NULL);

  summary = shim_ops_test_summary (reg, NULL, test, error);
  if (summary == NULL)
    return NULL;
  self = shim_test_record_new ();
  self->title = summary->converter != NULL
                    ? g_strdup_printf (_ ("%s + %s on %s"), summary->lens->label, summary->converter->label, summary->body->label)
                    : g_strdup_printf (_ ("%s on %s"), summary->lens->label, summary->body->label);
  self->started_at = g_strndup (summary->test->started_at, 10);
  self->made_at = g_date_time_ref (made_at);
  self->response = summary->response;
  self->tolerance_mm = summary->tolerance_mm;
  self->advice = g_strdup (summary->advice_sentence);
  add_items (self, summary);
  add_set_up (self, summary);
  add_rounds (reg, self, summary);
  add_decisions (self, summary);
  add_cautions (self, summary);
  return self;
}
