/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib/gi18n-lib.h>

#include "shim-field.h"

/* What bodies, lenses and converters have alike: two parts of their field tables. */

/**
 * SHIM_ITEM_IDENTITY_FIELDS:
 * @Type: a record type with members label, maker, model, serial and mount
 * @also_called: other headings of the column with the names
 */
#define SHIM_ITEM_IDENTITY_FIELDS(Type, also_called)                          \
  { .name = "label", .label = N_ ("Name"),                                    \
    .also = also_called,                                                      \
    .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (Type, label),         \
    .flags = SHIM_FIELD_REQUIRED | SHIM_FIELD_SEARCHED },                     \
  { .name = "maker", .label = N_ ("Maker"),                                   \
    .also = N_ ("make;brand;manufacturer"),                                   \
    .type = SHIM_FIELD_TEXT,                                                  \
    .offset = G_STRUCT_OFFSET (Type, maker), .flags = SHIM_FIELD_SEARCHED },  \
  { .name = "model", .label = N_ ("Model"),                                   \
    .also = N_ ("model name;model no.;model number"),                         \
    .type = SHIM_FIELD_TEXT,                                                  \
    .offset = G_STRUCT_OFFSET (Type, model), .flags = SHIM_FIELD_SEARCHED },  \
  { .name = "serial", .label = N_ ("Serial number"),                          \
    .also = N_ ("serial no.;serials;s/n;sn;ser. no.;body serial;lens serial"), \
    .type = SHIM_FIELD_TEXT,                                                  \
    .offset = G_STRUCT_OFFSET (Type, serial), .flags = SHIM_FIELD_SEARCHED }, \
  { .name = "mount", .label = N_ ("Mount"),                                   \
    .also = N_ ("bayonet;lens mount;mount type"),                             \
    .type = SHIM_FIELD_REF, .offset = G_STRUCT_OFFSET (Type, mount),          \
    .flags = SHIM_FIELD_REQUIRED | SHIM_FIELD_SEARCHED, .ref = "mount" }

/**
 * SHIM_ITEM_KEEPING_FIELDS:
 * @Type: a record type with members holder, place, worth, currency, bought_on, weight_g, note, picture and archived
 */
#define SHIM_ITEM_KEEPING_FIELDS(Type)                                                \
  { .name = "holder", .label = N_ ("Held by"),                                        \
    .also = N_ ("holder;owner;with;who;who has it;held;lent to;kept by;used by;user;"  \
                "assigned to;issued to"),                                             \
    .type = SHIM_FIELD_TEXT,                                                          \
    .offset = G_STRUCT_OFFSET (Type, holder), .flags = SHIM_FIELD_SEARCHED },         \
  { .name = "place", .label = N_ ("Kept at"),                                         \
    .also = N_ ("location;shelf;stored at;where;where kept;kept in;bag;room;cupboard"),  \
    .type = SHIM_FIELD_TEXT,                                                          \
    .offset = G_STRUCT_OFFSET (Type, place), .flags = SHIM_FIELD_SEARCHED },          \
  { .name = "worth", .label = N_ ("Worth"),                                           \
    .also = N_ ("value;price;cost;paid;bought for;insured for;price paid;purchase price;" \
                "insured value;insurance value;replacement value;replacement cost"),  \
    .type = SHIM_FIELD_REAL, .flags = SHIM_FIELD_GROUPED, .beside = "currency",       \
    .offset = G_STRUCT_OFFSET (Type, worth), .min = 0, .max = 1e+09 },                \
  { .name = "currency", .label = N_ ("Currency"), .type = SHIM_FIELD_TEXT,            \
    .offset = G_STRUCT_OFFSET (Type, currency) },                                     \
  { .name = "bought_on", .label = N_ ("Bought on"),                                   \
    .also = N_ ("bought;date of purchase;purchased;purchase date;purchased on;acquired"), \
    .type = SHIM_FIELD_DATE, .flags = SHIM_FIELD_ROUGH_DAY,                           \
    .offset = G_STRUCT_OFFSET (Type, bought_on) },                                    \
  { .name = "weight_g", .label = N_ ("Weight"), .unit = "g", .type = SHIM_FIELD_REAL, \
    .flags = SHIM_FIELD_GROUPED,                                                      \
    .offset = G_STRUCT_OFFSET (Type, weight_g), .min = 0, .max = 200000 },            \
  { .name = "note", .label = N_ ("Note"),                                             \
    .also = N_ ("notes;remark;remarks;comment;comments;condition"),                             \
    .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (Type, note),                  \
    .flags = SHIM_FIELD_SEARCHED },                                                   \
  { .name = "picture", .label = N_ ("Picture"), .type = SHIM_FIELD_TEXT,              \
    .offset = G_STRUCT_OFFSET (Type, picture), .flags = SHIM_FIELD_PATH },            \
  { .name = "archived", .label = N_ ("Archived"), .type = SHIM_FIELD_BOOL,            \
    .offset = G_STRUCT_OFFSET (Type, archived) }
