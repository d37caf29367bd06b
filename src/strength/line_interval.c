/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "strength/line.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

static const double NORMAL = 1.959963984540054;      /* two-sided 95 % quantile of the normal */
static const double NORMAL_TOP = 0.3989422804014327; /* 1 / √(2π), its density at 0 */
static const double SQRT_HALF = 0.7071067811865476;

double bp_line_student(double freedom)
{
    const double many = 1e6; /* from there on the two agree to 3 in a million */
    if (!(freedom >= 1)) {
        return (double)NAN;
    }
    return freedom > many ? NORMAL : gsl_cdf_tdist_Pinv(0.975, freedom);
}

double bp_line_sd_of(struct bp_quantity q)
{
    return isfinite(q.high - q.low) ? (q.high - q.low) / (2 * NORMAL) : 0;
}

static struct bp_quantity with_sd(double value, double sd, double freedom)
{
    double half = bp_line_student(freedom) * sd;
    return (struct bp_quantity){value, value - half, value + half};
}

struct bp_quantity bp_line_at(const struct bp_line *line, double x)
{
    double d = x - line->centre;
    return with_sd(line->level + line->slope * d, hypot(line->level_sd, d * line->slope_sd), line->freedom);
}

struct bp_quantity bp_line_predict(const struct bp_line *line, double x, double own_sd)
{
    double d = x - line->centre;
    double sd = hypot(hypot(line->level_sd, d * line->slope_sd), own_sd * line->residual_sd);
    return with_sd(line->level + line->slope * d, sd, line->freedom);
}

/* Student's t with ν degrees of freedom is a normal of unsure variance e^-u, u with
 * density ∝ exp(ν/2 (u - e^u)). The trapezoid rule is good to more digits than needed on so smooth a hill. */
enum { NODES = 192 };
struct mixture {
    double weight[NODES], sd[NODES];
};

static void mix(double freedom, double known_share, struct mixture *mixture)
{
    double side = 6 * sqrt(2 / freedom), low = -(side + 60 / freedom), total = 0;
    for (size_t k = 0; k < NODES; k++) {
        double u = low + (side - low) * (double)k / (NODES - 1);
        mixture->weight[k] = exp(freedom / 2 * (u + 1 - exp(u)));
        mixture->sd[k] = sqrt((1 - known_share) * exp(-u) + known_share);
        total += mixture->weight[k];
    }
    for (size_t k = 0; k < NODES; k++) {
        mixture->weight[k] /= total;
    }
}

double bp_line_quantile(double freedom, double known_share)
{
    if (!(freedom >= 1) || known_share <= 0) {
        return bp_line_student(freedom);
    }
    if (known_share >= 1 || freedom > 1e6) {
        return NORMAL;
    }
    struct mixture mixture;
    mix(freedom, known_share, &mixture);
    /* Newton from below: right of its middle the distribution bends one way, so no step passes the root. */
    double q = NORMAL;
    for (int step = 0; step < 50; step++) {
        double beyond = -0.025, density = 0;
        for (size_t k = 0; k < NODES; k++) {
            double z = q / mixture.sd[k];
            beyond += mixture.weight[k] * erfc(z * SQRT_HALF) / 2;
            density += mixture.weight[k] / mixture.sd[k] * exp(-z * z / 2) * NORMAL_TOP;
        }
        q += beyond / density;
        if (fabs(beyond) < 1e-12) {
            break;
        }
    }
    return q;
}

/* Fieller (1954): the d at which (e - b d)² = t² (u_fixed² + u_y² + u_b² d²), a quadratic in d; side -1 or 1.
 * The line was found with few degrees of freedom and u_y is known, so t is of their sum, as it stands at that
 * d. */
static double crossing_end(const struct bp_line *line, double fixed2, double y2, double e, double side)
{
    double b = line->slope, b2 = line->slope_sd * line->slope_sd, d = e / b;
    for (int round = 0; round < 50; round++) {
        double line2 = fixed2 + b2 * d * d, all2 = line2 + y2, before = d;
        double t = bp_line_quantile(line->freedom, all2 > 0 ? y2 / all2 : 0);
        double lead = b * b - t * t * b2;
        d = (e * b + side * t * sqrt(fmax(lead * (fixed2 + y2) + e * e * b2, 0))) / lead;
        if (fabs(d - before) <= 1e-9 * fabs(d)) {
            break;
        }
    }
    return d;
}

bool bp_line_crossing(const struct bp_line *line, double y, double y_sd, double own_sd, struct bp_quantity *x)
{
    *x = bp_quantity_unknown();
    /* Strictly, so that the quadratic below stays one in spite of rounding; also false where a NaN is among
     * them. */
    const double margin = 1 + 1e-6;
    if (!(fabs(line->slope) > margin * bp_line_student(line->freedom) * line->slope_sd)) {
        return false;
    }
    double e = y - line->level, own = own_sd * line->residual_sd;
    double fixed2 = line->level_sd * line->level_sd + own * own;
    x->value = line->centre + e / line->slope;
    x->low = line->centre + crossing_end(line, fixed2, y_sd * y_sd, e, -1);
    x->high = line->centre + crossing_end(line, fixed2, y_sd * y_sd, e, 1);
    return true;
}
