/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Check: is a log fit to use? Reads a trace and its still spells, says what was found. What each finding
 * means and where its limit comes from: docs/check.md.
 */
#ifndef BARPLUMB_CHECK_H
#define BARPLUMB_CHECK_H

#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/motion.h"
#include "barplumb/trace.h"

#ifdef __cplusplus
extern "C" {
#endif

/* m/s^2: a reading of gravity so far outside what is expected is an ordinary offset of a phone's sensor, some
 * 20 mg (component data sheets). */
#define BP_GRAVITY_OFF_ORDINARY 0.2

enum bp_verdict { BP_FIT, BP_FIT_WITH_RESERVATIONS, BP_NOT_FIT };

struct bp_check_settings {
    double latitude_deg; /* for gravity's expected length, -90 to 90; NaN: anywhere, 9.780 to 9.833 m/s^2 */
    double height_m;     /* above the ellipsoid, -1000 to 10000; read with latitude_deg alone */
};
extern BP_API const struct bp_check_settings bp_check_defaults; /* anywhere */

struct bp_check {
    struct bp_clock clock;
    struct bp_noise noise;
    struct bp_spells still;
    double still_total_s;
    double gravity_low, gravity_high; /* expected length of gravity, m/s^2 */
    size_t clipped;                   /* samples at a sensor's limit */
    double missing_s;                 /* summed length of the gaps, beyond one step each */
    double repeated_share;            /* of the samples, those that repeat the one before exactly */
    bool stuck[6];                    /* an axis that never changes: ax ay az gx gy gz */
    double gain_off; /* sd, as a share of 1: by how much the accelerometer's gain may be off where gravity's
                        length is (gravity-off); else 0 */
    bool gyroscope_wrong;    /* its turns are not gravity's: the set is measured without it */
    struct bp_doubts doubts; /* spoilt spells; the findings say of each what was found */
    enum bp_verdict verdict;
    struct bp_findings findings; /* the check's own and the importer's, worst first, then by time */
};

/* Normal gravity on the WGS 84 ellipsoid at a latitude and height, m/s^2 (Somigliana; NIMA TR8350.2). */
BP_API double bp_gravity_at(double latitude_deg, double height_m);

/* Checks trace. settings NULL: the defaults. Arrays live in arena. Errors: ARGUMENT (a setting out of range,
 * or a trace of fewer than 2 samples), MEMORY; check is then unusable. A log that is not fit is a verdict,
 * not an error. Thread-safe for different arenas. */
BP_API enum bp_code bp_check_trace(const struct bp_trace *trace, const struct bp_check_settings *settings,
                                   struct bp_arena *arena, struct bp_check *check, struct bp_error *error);

/* "fit", "fit with reservations", "not fit"; "unknown" outside the enum. */
BP_API const char *bp_verdict_name(enum bp_verdict verdict);

#ifdef __cplusplus
}
#endif
#endif
