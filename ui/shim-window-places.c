/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gi18n.h>

#include "shim-bench-place.h"
#include "shim-jobs-place.h"
#include "shim-kit-place.h"
#include "shim-pairs-place.h"
#include "shim-slots-place.h"
#include "shim-window-places.h"

static void
search_kit (GtkWidget *place)
{
  shim_kit_place_search (SHIM_KIT_PLACE (place));
}

static void
search_pairs (GtkWidget *place)
{
  shim_pairs_place_search (SHIM_PAIRS_PLACE (place));
}

static void
search_slots (GtkWidget *place)
{
  shim_slots_place_search (SHIM_SLOTS_PLACE (place));
}

static void
search_jobs (GtkWidget *place)
{
  shim_jobs_place_search (SHIM_JOBS_PLACE (place));
}

const ShimPlace shim_places[] = {
  { "kit", N_ ("Kit"), "shim-kit-symbolic", shim_kit_place_new, search_kit },
  { "pairs", N_ ("Pairs"), "shim-pairs-symbolic", shim_pairs_place_new, search_pairs },
  { "bench", N_ ("Bench"), "shim-bench-symbolic", shim_bench_place_new, NULL },
  { "slots", N_ ("Slots"), "shim-slots-symbolic", shim_slots_place_new, search_slots },
  { "jobs", N_ ("Jobs"), "shim-jobs-symbolic", shim_jobs_place_new, search_jobs },
};

const guint shim_n_places = G_N_ELEMENTS (shim_places);

/**
 * shim_places_open_item:
 * @kit_place: the place Kit
 * @kind: "body", "lens" or "converter"
 * @id: of the item
 */
void
shim_places_open_item (GtkWidget *kit_place, const char *kind, const char *id)
{
  shim_kit_place_open_item (SHIM_KIT_PLACE (kit_place), kind, id);
}

/**
 * shim_places_open_pair:
 * @pairs_place: the place Pairs
 * @pair: id of the pair whose page is to be shown
 */
void
shim_places_open_pair (GtkWidget *pairs_place, const char *pair)
{
  shim_pairs_place_open (SHIM_PAIRS_PLACE (pairs_place), pair);
}

/**
 * shim_places_bench_pair:
 * @bench_place: the place Bench
 * @pair: id of the pair to set up a test for
 */
void
shim_places_bench_pair (GtkWidget *bench_place, const char *pair)
{
  shim_bench_place_show_pair (SHIM_BENCH_PLACE (bench_place), pair);
}

/**
 * shim_places_bench_test:
 * @bench_place: the place Bench
 * @test: id of the test to go on with
 */
void
shim_places_bench_test (GtkWidget *bench_place, const char *test)
{
  shim_bench_place_show_test (SHIM_BENCH_PLACE (bench_place), test);
}

/**
 * shim_places_open_slots:
 * @slots_place: the place Slots
 * @body: id of the body whose slots are to be shown
 */
void
shim_places_open_slots (GtkWidget *slots_place, const char *body)
{
  shim_slots_place_open_body (SHIM_SLOTS_PLACE (slots_place), body);
}

/**
 * shim_places_open_job:
 * @jobs_place: the place Jobs
 * @job: id of the job to be shown
 */
void
shim_places_open_job (GtkWidget *jobs_place, const char *job)
{
  shim_jobs_place_open (SHIM_JOBS_PLACE (jobs_place), job);
}
