/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A growing text and numbers in it. Free of locale: the decimal point is always a point.
 */
#ifndef BARPLUMB_TEXT_H
#define BARPLUMB_TEXT_H

#include "barplumb/export.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

struct bp_text {
    char *data;    /* NUL-terminated once anything was put; owned; freed by bp_text_free */
    size_t length; /* bytes without the NUL */
    size_t capacity;
    bool failed; /* an allocation failed: data holds what went in before; every later put does nothing */
};

BP_API void bp_text_init(struct bp_text *text);
BP_API void bp_text_free(struct bp_text *text);

BP_API void bp_text_put(struct bp_text *text, const char *string);
BP_API void bp_text_put_bytes(struct bp_text *text, const char *bytes, size_t count);
BP_API void bp_text_put_char(struct bp_text *text, char c);
/* c, count times. */
BP_API void bp_text_fill(struct bp_text *text, char c, size_t count);
/* An unsigned whole number. */
BP_API void bp_text_put_count(struct bp_text *text, size_t value);
/* value with exactly `decimals` digits after the point (0 to 9), ties away from zero; "-0.00" is written
 * "0.00"; "nan" for NaN, "inf" and "-inf" for infinities; magnitudes of 1e9 and more as with %.17g. */
BP_API void bp_text_put_number(struct bp_text *text, double value, int decimals);
/* The same, right-aligned in a field of `width` characters. */
BP_API void bp_text_put_number_in(struct bp_text *text, double value, int decimals, size_t width);

/* As bp_text_put_number, into out (always terminated; 40 bytes are always enough). Returns the length. */
BP_API size_t bp_number_write(double value, int decimals, char *out, size_t size);

/* Reads one decimal number from bytes[0..count): optional sign, digits with `point` as the decimal mark,
 * optional exponent, or nan / inf / infinity in any case. Correctly rounded (as strtod in the C locale).
 * Returns the bytes used, 0 when there is no number; *value is set only when the result is not 0.
 * Reads nothing past count. Thread-safe. */
BP_API size_t bp_number_read(const char *bytes, size_t count, char point, double *value);

#ifdef __cplusplus
}
#endif
#endif
