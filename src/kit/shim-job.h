/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_JOB (shim_job_get_type ())
G_DECLARE_FINAL_TYPE (ShimJob, shim_job, SHIM, JOB, ShimRecord)

/**
 * ShimJob:
 * @name: of the occasion
 * @on_date: (nullable): first day
 * @until_date: (nullable): last day
 * @place: (nullable): where
 * @holder: (nullable): who takes the kit
 * @note: (nullable): anything else
 * @archived: over
 *
 * A named occasion with the kit it needs.
 */
struct _ShimJob
{
  ShimRecord parent_instance;

  char *name;
  char *on_date;
  char *until_date;
  char *place;
  char *holder;
  char *note;
  gint64 archived;
};

ShimJob *shim_job_new (void);

G_END_DECLS
