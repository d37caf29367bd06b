/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Ranges: when a rep's parts begin and end, how fast the bar went through each, and where it stuck. All
 * times are interpolated between samples, so that a figure does not depend on where the samples fell.
 */
#ifndef BARPLUMB_RANGES_H
#define BARPLUMB_RANGES_H

#include "barplumb/export.h"
#include "barplumb/motion.h"
#include "barplumb/reps.h"

#ifdef __cplusplus
extern "C" {
#endif

#define BP_EDGE_SPEED_M_S 0.04 /* at or under it the bar counts as standing, at the ends of a drive */

struct bp_moment {
    double time_s, height_m; /* NaN: there is none */
};

/* A rep's moments. Drive: from the last moment at or under the edge speed before the bar has passed a tenth
 * of the rep's range, to the first at or under it after it has passed nine tenths. The descent's ends are
 * found the same way, downward. */
struct bp_rep_times {
    struct bp_moment descent_start, descent_end, turnaround, drive_start, drive_end;
    size_t first, last; /* samples strictly inside the drive; first > last if there is none */
    double range_m;     /* lockout's height minus turnaround's */
};

/* Measures one rep, from bp_rep_first on and the sample before it. edge_speed_m_s > 0. */
BP_API struct bp_rep_times bp_rep_times(const struct bp_track *track, const struct bp_rep *rep,
                                        double edge_speed_m_s);

/* Rise over the drive divided by its time, m/s; NaN when there is no drive. */
BP_API double bp_mean_speed(const struct bp_rep_times *times);

/* Largest vertical speed in the drive, m/s. */
BP_API double bp_peak_speed(const struct bp_track *track, const struct bp_rep_times *times);

/* Mean speed over the part of the drive before `push` stays under 0 to its end: the mean propulsive velocity
 * (Sánchez-Medina, Pérez & González-Badillo 2010, Int J Sports Med 31:123-129). push: what the hands give,
 * over the mass that moves, m/s^2, freed of clatter: the vertical acceleration plus g for a free weight, less
 * bp_load's let_go_m_s2 with chains or bands. push[0] belongs to sample `base`, and it reaches from
 * times->first to times->last. */
BP_API double bp_propulsive_speed(const struct bp_track *track, const double *push, size_t base,
                                  const struct bp_rep_times *times);

/* Integral over the time spent in [from, to] (as for bp_range_speed) of a quantity known at the samples;
 * value[0] belongs to sample `base`, and it reaches one sample past times->first and times->last on either
 * side, so far as the track does. value NULL: 1, the time itself. 0 without a drive. */
BP_API double bp_range_integral(const struct bp_track *track, const struct bp_rep_times *times, double from,
                                double to, const double *value, size_t base);

/* Rise through [from, to] (shares of the drive's rise, 0 to 1) divided by the time spent in it, m/s; first
 * and last sample in the range to *first, *last when not NULL. NaN when no time was spent there. */
BP_API double bp_range_speed(const struct bp_track *track, const struct bp_rep_times *times, double from,
                             double to, size_t *first, size_t *last);

struct bp_sticking {
    bool present;
    struct bp_moment start, end; /* first local maximum of speed, following local minimum */
    double peak_before_m_s, low_m_s;
};

/* The sticking region (Elliott, Wilson & Kerr 1989; van den Tillaar & Ettema 2009): from the first local
 * maximum of vertical speed to the following local minimum, both standing out by at least least_m_s, m/s. A
 * fall in less than 1/30 s is clatter, by its definition above 15 Hz, and passed over. */
BP_API struct bp_sticking bp_sticking_find(const struct bp_track *track, const struct bp_rep_times *times,
                                           double least_m_s);

/* Speed at `points` heights spread evenly over the drive's rise (middles of equal parts), m/s. */
BP_API void bp_speed_profile(const struct bp_track *track, const struct bp_rep_times *times, size_t points,
                             double *speed_m_s);

#ifdef __cplusplus
}
#endif
#endif
