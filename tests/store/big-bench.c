/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <stdlib.h>
#include <time.h>

#include "big-bench.h"
#include "shim-register.h"

static const BigRegisterSize demo_size = { 3, 9, 9, 5, 2, 40, 1 };
static const BigRegisterSize big_size = { 2000, 20000, 100, 5, 100, 50000, 4 };
/* Small as a demo's, but with bodies as a store-room has them: each as many lenses, each lens on as many bodies. */
static const BigRegisterSize same_size = { 10, 100, 100, 5, 2, 40, 1 };
static const BigRegisterSize quick_size = { 200, 2000, 100, 1, 10, 5000, 4 };

/**
 * big_bench_size:
 * @which: "demo", "same" (few bodies, each like those of a store-room), "quick" or "big"
 *
 * Returns: how large that register is
 */
const BigRegisterSize *
big_bench_size (const char *which)
{
  static const struct
  {
    const char *name;
    const BigRegisterSize *size;
  } sizes[] = { { "demo", &demo_size }, { "same", &same_size }, { "quick", &quick_size }, { "big", &big_size } };

  for (guint i = 0; i < G_N_ELEMENTS (sizes); i++)
    if (g_str_equal (sizes[i].name, which))
      return sizes[i].size;
  g_error ("There is no size “%s”.", which);
}

static void
bring_up_to_date (const char *path)
{
  g_autoptr (GError) error = NULL;
  ShimRegister *reg = shim_register_open (path, SHIM_REGISTER_DEFAULT, &error);

  g_assert_no_error (error);
  shim_register_free (reg);
}

/**
 * big_bench_make_if_asked:
 * @argc: number of arguments
 * @argv: arguments; "--make PATH WHICH" asks for a register
 *
 * Returns: whether the program was only called to make one
 */
gboolean
big_bench_make_if_asked (int argc, char **argv)
{
  if (argc != 4 || !g_str_equal (argv[1], "--make"))
    return FALSE;
  if (g_file_test (argv[2], G_FILE_TEST_EXISTS))
    bring_up_to_date (argv[2]);
  else
    big_register_make (argv[2], big_bench_size (argv[3]));
  return TRUE;
}

/**
 * big_bench_make:
 * @program: the program itself, which calls big_bench_make_if_asked()
 * @path: where; what is there is kept, and brought up to date
 * @which: see big_bench_size()
 *
 * Makes a register in another process, so that making it does not count as memory.
 */
void
big_bench_make (const char *program, const char *path, const char *which)
{
  const char *const argv[] = { program, "--make", path, which, NULL };
  g_autoptr (GError) error = NULL;
  int status;

  g_spawn_sync (NULL, (char **) argv, NULL, G_SPAWN_CHILD_INHERITS_STDIN, NULL, NULL, NULL, NULL, &status, &error);
  g_assert_no_error (error);
  g_assert_true (g_spawn_check_wait_status (status, NULL));
}

/**
 * big_bench_remove:
 * @path: a register to remove, with its log
 */
void
big_bench_remove (const char *path)
{
  static const char *const endings[] = { "", "-wal", "-shm" };

  for (guint i = 0; i < G_N_ELEMENTS (endings); i++)
    {
      g_autofree char *file = g_strconcat (path, endings[i], NULL);

      g_unlink (file);
    }
}

/**
 * big_bench_pick:
 * @turn: (inout): counts the calls
 * @n: how many there are
 *
 * Returns: another one each time, scattered, so that not one lucky page is measured
 */
guint
big_bench_pick (guint *turn, guint n)
{
  return (guint) ((guint64) (*turn)++ * 2654435761u % n);
}

/**
 * big_bench_processor_ms:
 *
 * Returns: what all threads of this process have used of the processors, ms; unlike a clock on the wall, a busy machine hardly alters it
 */
double
big_bench_processor_ms (void)
{
  struct timespec now;

  clock_gettime (CLOCK_PROCESS_CPUTIME_ID, &now);
  return (double) now.tv_sec * 1e3 + (double) now.tv_nsec / 1e6;
}

static int
by_value (const void *a, const void *b)
{
  double left = *(const double *) a, right = *(const double *) b;

  return (left > right) - (left < right);
}

/**
 * big_bench_median:
 * @values: (array length=n): sorted afterwards
 * @n: their number
 *
 * Returns: the value in the middle
 */
double
big_bench_median (double *values, guint n)
{
  qsort (values, n, sizeof *values, by_value);
  return values[n / 2];
}

/**
 * big_bench_memory_mb:
 * @which: "VmRSS:" for what is resident now, "VmHWM:" for the most that was (proc_pid_status(5))
 *
 * Returns: memory of this process, MB; 0 where the system does not tell
 */
double
big_bench_memory_mb (const char *which)
{
  g_autofree char *status = NULL;
  const char *line;

  if (!g_file_get_contents ("/proc/self/status", &status, NULL, NULL) || (line = g_strstr_len (status, -1, which)) == NULL)
    return 0.0;
  return g_ascii_strtod (line + 6, NULL) / 1024.0;
}
