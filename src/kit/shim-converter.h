/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_CONVERTER (shim_converter_get_type ())
G_DECLARE_FINAL_TYPE (ShimConverter, shim_converter, SHIM, CONVERTER, ShimRecord)

/**
 * ShimConverter:
 * @label: what the crew calls it
 * @maker: (nullable): who made it
 * @model: (nullable): as engraved
 * @serial: (nullable): as engraved; text, leading zeros count
 * @mount: name of its mount
 * @factor: multiplies the focal length, ×
 * @holder: (nullable): who has it now
 * @place: (nullable): where it lives
 * @worth: replacement value, in @currency
 * @currency: (nullable): three letters, ISO 4217
 * @bought_on: (nullable): day it was bought, or the month or year
 * @weight_g: weight, g
 * @note: (nullable): anything else
 * @picture: (nullable): path of a photograph of the item
 * @archived: no longer in use, kept for its history
 *
 * A teleconverter.
 */
struct _ShimConverter
{
  ShimRecord parent_instance;

  char *label;
  char *maker;
  char *model;
  char *serial;
  char *mount;
  double factor;
  char *holder;
  char *place;
  double worth;
  char *currency;
  char *bought_on;
  double weight_g;
  char *note;
  char *picture;
  gint64 archived;
};

ShimConverter *shim_converter_new (void);

G_END_DECLS
