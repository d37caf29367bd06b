/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Output compared byte for byte with tests/expected.
 */
#ifndef BARPLUMB_TESTS_REPORT_EXPECTED_H
#define BARPLUMB_TESTS_REPORT_EXPECTED_H

#include "barplumb/text.h"

/* Fails the test unless out is what tests/expected/<name> holds. With BARPLUMB_REWRITE_EXPECTED set in the
 * environment the file is written instead: look at the difference before it is committed. */
void expected_check(const char *name, const struct bp_text *out);

#endif
