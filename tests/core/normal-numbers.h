/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

double normal_number (GRand *random);
