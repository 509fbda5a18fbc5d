/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_PAIR (shim_pair_get_type ())
G_DECLARE_FINAL_TYPE (ShimPair, shim_pair, SHIM, PAIR, ShimRecord)

/**
 * ShimPair:
 * @body: id
 * @lens: id
 * @converter: (nullable): id
 * @adapter: (nullable): id
 * @not_needed: nobody uses this pair; never due
 * @note: (nullable): anything else
 *
 * One lens on one body, with or without a converter.
 */
struct _ShimPair
{
  ShimRecord parent_instance;

  char *body;
  char *lens;
  char *converter;
  char *adapter;
  gint64 not_needed;
  char *note;
};

ShimPair *shim_pair_new (void);

G_END_DECLS
