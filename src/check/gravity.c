/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check/parts.h"

#include "barplumb/units.h"

#include <math.h>

/* WGS 84 (NIMA TR8350.2): normal gravity at the equator, Somigliana's constant, first eccentricity squared,
 * flattening, ω²a²b/GM, semi-major axis. */
static const double equator = 9.7803253359; /* m/s^2 */
static const double somigliana_k = 0.00193185265241;
static const double eccentricity2 = 0.00669437999014;
static const double flattening = 1 / 298.257223563;
static const double rotation_m = 0.00344978650684;
static const double semi_major_m = 6378137.0;

/* Equator to pole at sea level, rounded outward. */
static const double anywhere_low = 9.780, anywhere_high = 9.833;

/* Rock and mountains under the ellipsoid: 300 mGal covers the free-air anomalies of inhabited places. */
static const double anomaly = 0.003; /* m/s^2 */

double bp_gravity_at(double latitude_deg, double height_m)
{
    double sine = sin(latitude_deg * BP_DEGREE), sine2 = sine * sine;
    double surface = equator * (1 + somigliana_k * sine2) / sqrt(1 - eccentricity2 * sine2);
    double h = height_m / semi_major_m;
    return surface * (1 - 2 * (1 + flattening + rotation_m - 2 * flattening * sine2) * h + 3 * h * h);
}

void bp_check_expect_gravity(const struct bp_check_settings *settings, double *low, double *high)
{
    if (isnan(settings->latitude_deg)) {
        *low = anywhere_low;
        *high = anywhere_high;
    } else {
        double there = bp_gravity_at(settings->latitude_deg, settings->height_m);
        *low = there - anomaly;
        *high = there + anomaly;
    }
}
