/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Check: is a log fit to use? Reads a trace and its still spells, says what was found.
 */
#ifndef BARPLUMB_CHECK_H
#define BARPLUMB_CHECK_H

#include "barplumb/error.h"
#include "barplumb/motion.h"
#include "barplumb/trace.h"

#ifdef __cplusplus
extern "C" {
#endif

enum bp_verdict { BP_FIT, BP_FIT_WITH_RESERVATIONS, BP_NOT_FIT };

struct bp_check_settings {
    double latitude_deg; /* for gravity's expected length; NaN: anywhere on Earth, 9.780 to 9.833 m/s^2 */
    double height_m;     /* above the ellipsoid, with latitude_deg */
};
extern const struct bp_check_settings bp_check_defaults;

struct bp_check {
    struct bp_clock clock;
    struct bp_noise noise;
    struct bp_spells still;
    double still_total_s;
    double gravity_low, gravity_high; /* expected length of gravity, m/s^2 */
    size_t clipped;                   /* samples at the sensor's limit */
    double missing_s;                 /* summed length of the gaps */
    bool stuck[6];                    /* an axis that never changes: ax ay az gx gy gz */
    enum bp_verdict verdict;
    struct bp_findings findings; /* the importer's and the check's own, worst first */
};

/* Normal gravity on the WGS 84 ellipsoid at a latitude and height, m/s^2 (Somigliana; NIMA TR8350.2). */
double bp_gravity_at(double latitude_deg, double height_m);

/* Checks trace. Errors: MEMORY. A log that is not fit is a verdict, not an error. */
enum bp_code bp_check_trace(const struct bp_trace *trace, const struct bp_check_settings *settings,
                            struct bp_arena *arena, struct bp_check *check, struct bp_error *error);

/* "fit", "fit with reservations", "not fit". */
const char *bp_verdict_name(enum bp_verdict verdict);

#ifdef __cplusplus
}
#endif
#endif
