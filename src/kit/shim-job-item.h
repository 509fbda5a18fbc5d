/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_JOB_ITEM (shim_job_item_get_type ())
G_DECLARE_FINAL_TYPE (ShimJobItem, shim_job_item, SHIM, JOB_ITEM, ShimRecord)

/**
 * ShimJobItem:
 * @job: id
 * @item_kind: kind; one of "body", "lens", "converter", "adapter"
 * @item: its id
 * @note: (nullable): anything else
 *
 * One item that a job takes along.
 */
struct _ShimJobItem
{
  ShimRecord parent_instance;

  char *job;
  char *item_kind;
  char *item;
  char *note;
};

ShimJobItem *shim_job_item_new (void);

G_END_DECLS
