/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What every strength test begins with.
 */
#ifndef TESTS_STRENGTH_NEAR_H
#define TESTS_STRENGTH_NEAR_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

#define assert_near(got, want, tolerance) assert_true(fabs((got) - (want)) <= (tolerance))
/* digits: significant, as NIST counts them (log relative error) */
#define assert_digits(got, want, digits) assert_true(fabs((got) - (want)) <= pow(10, -(digits)) * fabs(want))

#endif
