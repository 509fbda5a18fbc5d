/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-bench-test.h"
#include "shim-blur-curve.h"
#include "shim-busy-bar.h"
#include "shim-folder-watch.h"
#include "shim-large-view.h"
#include "shim-photo-view.h"
#include "shim-response-chart.h"
#include "shim-round-list.h"
#include "shim-set-up-page.h"
#include "shim-test-panel.h"
#include "shim-workspace-ops.h"

G_BEGIN_DECLS

struct _ShimBenchTest
{
  GtkWidget parent_instance;

  ShimWorkspace *workspace;
  gulong changed_handler;
  GCancellable *cancellable;    /* of this test: cancelled when it is left */
  char *test;                   /* id */
  ShimTestSummary *summary;
  char *frame;                  /* id of the frame shown */
  char *other_frame;            /* id of the frame shown before */
  char *frame_to_select;        /* id of a frame that just came in */

  /* frames on their way */
  GQueue waiting;
  GPtrArray *refused;           /* paths of frames that contradict the test */
  char *refused_reason;
  gboolean adding;
  GCancellable *adding_cancellable; /* of the frame being added, for the person to end it */
  char *round_in_hand;          /* id of the round begun last from here */
  gboolean round_is_reference;
  gint64 round_setting;
  guint n_wanted;
  guint n_added;
  gboolean turn_is_far;         /* the next frame is focused from far, where they go by turns */
  ShimFolderWatch *watch;

  /* marks on their way */
  ShimPhotoMarks settled;       /* as last stored */
  guint measure_source;
  guint n_measuring;            /* frames being measured again */
  GCancellable *measuring_cancellable;
  gboolean is_damaged;          /* parts of the photograph shown are missing */
  gboolean on_evidence;         /* the photograph is gone: what was kept of it is shown */
  gboolean following;           /* one view follows the other just now */

  /* template widgets */
  GtkWidget *add_button;
  ShimBusyBar *busy_bar;
  GtkLabel *caption_label;
  ShimResponseChart *chart;
  GtkToggleButton *compare_button;
  ShimBlurCurve *curve;
  GtkWidget *header;
  ShimLargeView *large_view;
  GtkWidget *other_box;
  GtkLabel *other_caption_label;
  GtkDropDown *other_drop_down;
  ShimPhotoView *other_view;
  GtkWidget *overlay;
  GtkWidget *paned;
  ShimTestPanel *panel;
  ShimPhotoView *photo_view;
  GtkWidget *remark_box;
  GtkLabel *remark_label;
  ShimRoundList *round_list;
  ShimSetUpPage *set_up_page;
  GtkSpinner *spinner;
  GtkStack *stack;
  AdwWindowTitle *title;
  GtkWidget *tool_box;
  GtkToggleButton *watch_button;
  GtkLabel *zoom_label;
};

void _shim_bench_test_refresh       (ShimBenchTest *self);
void _shim_bench_test_show_frame    (ShimBenchTest *self);
void _shim_bench_test_show_remark   (ShimBenchTest *self, const char *remark);
void _shim_bench_test_show_summary  (ShimBenchTest *self);
void _shim_bench_test_init_frames   (ShimBenchTest *self);
void _shim_bench_test_stop_frames   (ShimBenchTest *self);
void _shim_bench_test_show_busy     (ShimBenchTest *self);
void _shim_bench_test_cancel_frames (ShimBenchTest *self);
void _shim_bench_test_cancel_marks  (ShimBenchTest *self);
void _shim_bench_test_choose_frames (ShimBenchTest *self);
void _shim_bench_test_watch_toggled (ShimBenchTest *self);
void _shim_bench_test_init_marks    (ShimBenchTest *self);
void _shim_bench_test_stop_marks    (ShimBenchTest *self);
void _shim_bench_test_init_compare  (ShimBenchTest *self);
void _shim_bench_test_show_other    (ShimBenchTest *self);
void _shim_bench_test_show_colours  (ShimBenchTest *self);
void _shim_bench_test_show_evidence (ShimBenchTest *self);

G_END_DECLS
