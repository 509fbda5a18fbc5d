/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>
#include <json-glib/json-glib.h>

#include "shim-kinds.h"
#include "shim-register.h"

G_BEGIN_DECLS

typedef struct _ShimCtlCommand ShimCtlCommand;

/**
 * ShimCtl:
 * @command: the command that runs
 * @json: whether the answer is wanted as JSON
 * @register_path: (nullable): register named on the command line; %NULL = the user's own
 * @reg: (nullable): the register, once a command asked for it
 *
 * One run of the command line.
 */
typedef struct
{
  const ShimCtlCommand *command;
  gboolean json;
  char *register_path;
  ShimRegister *reg;
} ShimCtl;

/**
 * ShimCtlCommand:
 * @name: as typed
 * @arguments: what follows it, for the usage line
 * @summary: one line for the list of commands
 * @run: does it; the exit status comes back
 */
struct _ShimCtlCommand
{
  const char *name;
  const char *arguments;
  const char *summary;
  int (*run) (ShimCtl *ctl, int argc, char **argv);
};

extern const ShimCtlCommand shim_ctl_photo_commands[];
extern const ShimCtlCommand shim_ctl_kit_commands[];
extern const ShimCtlCommand shim_ctl_find_commands[];
extern const ShimCtlCommand shim_ctl_gather_commands[];
extern const ShimCtlCommand shim_ctl_bench_commands[];
extern const ShimCtlCommand shim_ctl_decide_commands[];
extern const ShimCtlCommand shim_ctl_review_commands[];
extern const ShimCtlCommand shim_ctl_pair_commands[];
extern const ShimCtlCommand shim_ctl_pair_list_commands[];
extern const ShimCtlCommand shim_ctl_slot_commands[];
extern const ShimCtlCommand shim_ctl_plan_commands[];
extern const ShimCtlCommand shim_ctl_record_commands[];
extern const ShimCtlCommand shim_ctl_job_commands[];
extern const ShimCtlCommand shim_ctl_register_commands[];
extern const ShimCtlCommand shim_ctl_target_commands[];

/* Exit statuses: all went well; something was refused or failed; the call was not understood. */
#define SHIM_CTL_OK 0
#define SHIM_CTL_FAILED 1
#define SHIM_CTL_USAGE 2

gboolean      shim_ctl_parse      (ShimCtl *ctl, const GOptionEntry *entries, int *argc, char ***argv);
gboolean      shim_ctl_want_args  (char **argv, int argc, int n_min, int n_max);
ShimRegister *shim_ctl_register   (ShimCtl *ctl);
int           shim_ctl_fail       (const GError *error);
int           shim_ctl_usage      (const char *format, ...) G_GNUC_PRINTF (1, 2);
void          shim_ctl_print_json (JsonNode *node);
void          shim_ctl_print_built (JsonBuilder *builder);
void          shim_ctl_print_cell (const char *text, int width);
int           shim_ctl_done       (ShimCtl *ctl, const char *key, const char *id, const char *sentence);
int           shim_ctl_written    (ShimCtl *ctl, const char *path);
ShimRecord   *shim_ctl_find       (ShimCtl *ctl, GType type, const char *word);

G_END_DECLS
