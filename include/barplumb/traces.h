/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Traces: how a set went over time, thin enough to be looked at: what a page draws. Only made when asked for
 * (bp_analyse_settings.keep_traces); the figures are the same with and without.
 */
#ifndef BARPLUMB_TRACES_H
#define BARPLUMB_TRACES_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

#define BP_TRACES_RATE_HZ 50.0 /* no two points lie closer than 1 over this */

/* One quantity over the points of a bp_traces. */
struct bp_record {
    double *value;      /* [count]; NaN where it cannot be known */
    double *low, *high; /* [count] ends of the 95 % interval of each moment by itself; NaN: not estimated, as
                           outside the reps */
};

struct bp_traces {
    size_t count;                /* points: samples of the log, from before the first rep to after the last */
    double *time_s;              /* [count] log time, strictly increasing */
    struct bp_record height_m;   /* above where the bar first rested */
    struct bp_record speed_m_s;  /* vertical, up positive, freed of clatter */
    struct bp_record shake_mm;   /* displacement along the bar, in the shake band; which end of the bar is
                                    positive is not known */
    struct bp_record shake_mm_s; /* its speed */
    size_t spectrum_count;       /* 0: no shake is known */
    double spectrum_step_hz;     /* spectrum[k] is at k times this */
    double *spectrum_mm2_s2_hz;  /* [spectrum_count] density of the sideways speed over the completed drives:
                                    Hann-windowed periodograms, each weighed by its drive's time */
};

#ifdef __cplusplus
}
#endif
#endif
