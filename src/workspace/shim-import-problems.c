/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-import-problems.h"

static void
add_problem (GPtrArray *problems, guint line, const char *sentence)
{
  ShimTableProblem *problem = g_new0 (ShimTableProblem, 1);

  problem->line = line;
  problem->sentence = g_strdup (sentence);
  g_ptr_array_add (problems, problem);
}

static int
compare_lines (gconstpointer a, gconstpointer b)
{
  const guint line = (*(ShimTableProblem *const *) a)->line, other = (*(ShimTableProblem *const *) b)->line;

  return (line > other) - (line < other);
}

/**
 * shim_import_problems_by_line:
 * @table: a table
 * @row_problems: (element-type ShimTableProblem): lines of it that could not be read
 * @outcome: what the register said to the others
 *
 * Returns: (transfer full) (element-type ShimTableProblem): all that stands in the way, in the order of the lines
 */
GPtrArray *
shim_import_problems_by_line (const ShimTableImport *table, const GPtrArray *row_problems, const ShimImportResult *outcome)
{
  GPtrArray *problems = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_table_problem_free);

  for (guint i = 0; i < row_problems->len; i++)
    {
      const ShimTableProblem *problem = row_problems->pdata[i];

      add_problem (problems, problem->line, problem->sentence);
    }
  for (guint i = 0; i < outcome->problems->len; i++)
    {
      const ShimImportProblem *problem = outcome->problems->pdata[i];

      add_problem (problems, ((ShimCsvRow *) table->rows->pdata[problem->index])->line, problem->sentence);
    }
  g_ptr_array_sort (problems, compare_lines);
  return problems;
}
