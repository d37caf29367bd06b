/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "strength/settings.h"

#include <math.h>

/* The reasons stand in docs/strength.md.
 * scatter: retests of one lifter's mean velocity at one load scatter by 2.55 to 7.61 % (prone bench pull,
 * PLoS ONE 2019, 14(2):e0212085); 5 % is the middle. Four residuals' worth: 95 % between 3 and 14 %, since
 * those were groups in a laboratory and this is one lifter in a gym. least_span: on the line of a group, 10 %
 * of the maximum cost some 0.15 m/s, the least that beats t(4) times the scatter of a difference. most_reach,
 * quickening, most_left: this project's, from caution; no source. */
const struct bp_strength_settings bp_strength_defaults = {
    .minimal_m_s = {(double)NAN, (double)NAN, (double)NAN},
    .scatter_pct = 5,
    .scatter_freedom = 4,
    .least_span = 0.1,
    .most_reach = 1,
    .quickening = 2,
    .most_left = 5,
};

bool bp_strength_usable(struct bp_quantity q)
{
    bool bare = isnan(q.low) && isnan(q.high);
    bool ends = isfinite(q.low) && isfinite(q.high) && q.low <= q.value && q.value <= q.high;
    return isfinite(q.value) && q.value > 0 && (bare || ends);
}

enum bp_code bp_strength_settle(const struct bp_strength_settings *settings, enum bp_lift lift,
                                struct bp_strength_settings *used, struct bp_error *error)
{
    const struct bp_strength_minimal *minimal = bp_strength_minimal(lift);
    *used = settings ? *settings : bp_strength_defaults;
    if (!minimal) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "no such lift");
    }
    if (isnan(used->minimal_m_s.value)) {
        used->minimal_m_s = minimal->m_s;
    }
    if (!bp_strength_usable(used->minimal_m_s)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "a minimal velocity is above 0 and inside its interval");
    }
    bool right = used->scatter_pct > 0 && isfinite(used->scatter_pct) && used->scatter_freedom >= 1 &&
                 isfinite(used->scatter_freedom) && used->least_span >= 0 && used->most_reach > 0 &&
                 used->quickening >= 1 && used->most_left >= 2;
    return right ? BP_OK
                 : bp_error_set(error, BP_ERR_ARGUMENT, "a setting of the strength estimate is out of range");
}
