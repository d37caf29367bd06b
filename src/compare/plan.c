/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How many more units would tell.
 */
#include "compare/parts.h"

/* Chance that the interval leaves out 0 on the right side when the difference is `size`. */
static double power_with(const struct bp_contrast *now, size_t more, double size, double significance)
{
    struct bp_contrast c = *now;
    if (!bp_contrast_spread(&c, more)) {
        return 0.0;
    }
    double least = bp_student_quantile(1.0 - 0.5 * significance, c.df);
    return 1.0 - bp_student_shifted_cdf(least, c.df, size / c.standard_error);
}

size_t bp_compare_more(const struct bp_contrast *contrast, double size, double significance, double power)
{
    size_t low = 0, high = BP_MORE_MAX + 1;
    if (!(size > 0.0) || !isfinite(size) || !isfinite(contrast->standard_error) || contrast->in_common) {
        return 0;
    }
    while (low < high) { /* power grows with more units */
        size_t middle = (low + high) / 2;
        if (power_with(contrast, middle, size, significance) >= power) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    return low;
}
