/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: the numbers that logs are full of, read fast. Most of an import's time goes here.
 */
#ifndef BARPLUMB_IMPORT_DECIMAL_H
#define BARPLUMB_IMPORT_DECIMAL_H

#include <stddef.h>

/* Reads sign, up to 19 digits with an optional decimal mark, and an optional exponent from [at, end).
 * Returns the bytes used and sets *value, correctly rounded; returns 0 for anything else (more digits, large
 * exponents, words), which bp_number_read is then to judge. Thread-safe. */
size_t bp_import_read_decimal(const char *at, const char *end, char point, double *value);

#endif
