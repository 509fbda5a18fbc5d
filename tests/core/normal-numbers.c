/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "normal-numbers.h"

/* A standard normal number (Box and Muller, 1958). */
double
normal_number (GRand *random)
{
  const double u = 1.0 - g_rand_double (random); /* never 0 */

  return sqrt (-2.0 * log (u)) * cos (2.0 * G_PI * g_rand_double (random));
}
