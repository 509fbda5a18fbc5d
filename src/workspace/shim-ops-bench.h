/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-kinds.h"
#include "shim-register.h"

G_BEGIN_DECLS

/**
 * ShimTestItems:
 * @test: the test
 * @pair: its pair
 * @body: its body
 * @lens: its lens
 * @converter: (nullable): its converter
 *
 * A test with what was tested.
 */
typedef struct
{
  ShimTest *test;
  ShimPair *pair;
  ShimBody *body;
  ShimLens *lens;
  ShimConverter *converter;
} ShimTestItems;

/**
 * ShimBenchChoices:
 * @bodies: (element-type ShimBody): by label
 * @lenses: (element-type ShimLens): by label
 * @converters: (element-type ShimConverter): by label
 * @adapters: (element-type ShimAdapter): all of the kit
 * @tests: (element-type ShimTestItems): newest first, so many as were asked for
 *
 * What a test can be begun with, and which can be gone on with.
 */
typedef struct
{
  GPtrArray *bodies;
  GPtrArray *lenses;
  GPtrArray *converters;
  GPtrArray *adapters;
  GPtrArray *tests;
} ShimBenchChoices;

ShimBenchChoices *shim_ops_bench_choices   (ShimRegister *reg, const char *pair, guint n_tests, GError **error);
gpointer          shim_ops_bench_choices_func (ShimRegister *reg, gpointer pair, GCancellable *cancellable, GError **error);
void              shim_bench_choices_free  (ShimBenchChoices *self);
void              shim_test_items_free     (ShimTestItems *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimBenchChoices, shim_bench_choices_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimTestItems, shim_test_items_free)

G_END_DECLS
