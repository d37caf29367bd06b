/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Motion: trace → track, the bar's reconstructed movement.
 *
 * Where the bar is still, gravity gives attitude and the sensors' biases (likelihood test: Skog, Händel,
 * Nilsson & Rantakokko 2010, IEEE TBME 57(11):2657-66). Height and speed come from a fixed-interval
 * smoother (Rauch, Tung & Striebel 1965, AIAA J 3:1445-50) on the log's own timestamps, told what is known
 * of a lift: closures.
 */
#ifndef BARPLUMB_MOTION_H
#define BARPLUMB_MOTION_H

#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/random.h"
#include "barplumb/trace.h"

#ifdef __cplusplus
extern "C" {
#endif

/* A stretch of samples [first, last], both included. */
struct bp_spell {
    size_t first, last;
};

struct bp_spells {
    size_t count;
    struct bp_spell *list; /* in time order, not overlapping */
};

/* What the still spells say of the sensors. */
struct bp_noise {
    double force_sd;     /* white noise of one acceleration axis, m/s^2 a sample */
    double turn_sd;      /* of one gyroscope axis, rad/s a sample; NaN without a gyroscope */
    double gravity;      /* length of the mean specific force over the still spells, m/s^2; NaN if none */
    double turn_bias[3]; /* mean rate of turn over the still spells, rad/s; 0 if none or no gyroscope */
};

struct bp_still_settings {
    double window_s;      /* length of the sliding test, s */
    double threshold;     /* of the likelihood statistic, in units of its value for pure noise (about 1) */
    double least_spell_s; /* shorter still spells are not believed, s */
};
extern BP_API const struct bp_still_settings bp_still_defaults;

/* Finds the still spells of trace, with thresholds set from the log's own noise. Linear in samples.
 * statistic: NULL, or [trace->count] to receive the likelihood statistic. MEMORY on failure. */
BP_API enum bp_code bp_still_find(const struct bp_trace *trace, const struct bp_still_settings *settings,
                                  struct bp_arena *arena, struct bp_spells *spells, struct bp_noise *noise,
                                  double *statistic, struct bp_error *error);

/* The likelihood-ratio statistic of Skog et al. 2010 over samples [first, last]:
 * mean of |f - g f̄/|f̄||²/σ_f² + |ω|²/σ_ω². Without a gyroscope the second term is absent. */
BP_API double bp_still_statistic(const struct bp_trace *trace, size_t first, size_t last, double gravity,
                                 double force_sd, double turn_sd);

/* What is known of the bar's path, beside the sensors: handed back by the rep finder on a first pass. */
enum bp_closure_kind {
    BP_CLOSURE_HOLD,  /* samples first..last: the bar is nearly still (sd: m/s) */
    BP_CLOSURE_LEVEL, /* at sample first the bar stands at a level it comes back to (sd: m) */
    BP_CLOSURE_EVEN   /* samples first..last: its speed is even, so the bar most likely is held (sd: m/s) */
};

enum bp_level { BP_LEVEL_RACK, BP_LEVEL_TOP, BP_LEVEL_BOTTOM, BP_LEVEL_COUNT };

struct bp_closure {
    enum bp_closure_kind kind;
    enum bp_level level;
    size_t first, last;
    double sd;
};

struct bp_closures {
    size_t count;
    struct bp_closure *list; /* in order of first */
    /* How high over the rack a level lies, before any of it is seen; sd 0: anywhere. */
    struct {
        enum bp_level level;
        double height_m, sd_m;
    } over_rack;
};

/* The axis along the bar, in phone axes. */
struct bp_bar_axis {
    double axis[3]; /* unit length, sign arbitrary (its largest component is positive) */
    bool known; /* plain from the roll of the bar, or given; false: the likeliest, from a roll that shows less
                   plainly or from how people strap phones on (along y) */
};

struct bp_motion_settings {
    int along_axis; /* 0, 1, 2: the phone axis that lies along the bar; -1: find it */
    /* The still spells and noise of this very trace, where somebody found them already (bp_still_find with
     * the defaults, as the check does); still NULL: find them. Copied; still's list must outlive the motion.
     */
    const struct bp_spells *still;
    const struct bp_noise *noise;
    struct bp_doubts doubts; /* where the check found the log spoilt, trace time; none */
    double gain_off; /* sd of the accelerometer's gain, where the check saw it off; 0: the prior's alone */
};
extern BP_API const struct bp_motion_settings bp_motion_defaults;

/* What does not depend on the reps: still spells, attitude, accelerations turned to the bar's axes. */
struct bp_motion {
    const struct bp_trace *trace;
    double gain_off;         /* of the settings */
    struct bp_doubts doubts; /* of the settings */
    struct bp_spells still;
    struct bp_noise noise;
    struct bp_spell on_bar; /* the stretch with the phone on the bar: before and after it is being handled */
    struct bp_spells held;  /* where its speed stays even on the bar, as of one that the lifter holds */
    struct bp_bar_axis along;
    double past_limit_m_s2; /* how far past its limit a clipped reading mostly is; 0: not known */
    double *up[3];          /* [count] unit vector up, in phone axes */
    double *rise_m_s2;      /* [count] vertical acceleration, bias not yet removed */
    double *swing_m_s2;     /* [count] what rise_m_s2 would be off by, were all of how "up" swings sideways
                               acceleration; NULL with a gyroscope or the phone's own attitude */
    double *along_m_s2;     /* [count] horizontal acceleration along the bar, gravity removed */
    double *fore_m_s2;      /* [count] horizontal acceleration across the bar; NULL without a gyroscope */
    double *tilt_rad; /* [count] inclination of the bar against the horizontal; NULL without a gyroscope */
};

/* The sensor's own clock behind the stamps of a log. A sensor samples by its own oscillator, evenly; what
 * scatters is when the phone writes the time down. Where all but one in twenty of the stamps scatter by less
 * than 0.4 of a step about an even clock, each goes onto the straight line by least squares through those a
 * second either way (a second of 100 readings leaves a tenth of the scatter); elsewhere, across gaps, and the
 * first of all, they stay what they are. Speed gains where the bar rattles: the sum of a rattle's readings is
 * nearly nothing, the sum of readings times uneven steps is not. step_s: the median step, > 0. *time_s gets
 * [count] seconds, strictly increasing, in arena. Linear in samples. False when memory is out. */
BP_API bool bp_motion_even_clock(const struct bp_trace *trace, double step_s, struct bp_arena *arena,
                                 double **time_s);

/* Prepares trace, which must outlive motion. Arrays live in arena. Errors: MEMORY, MOTION. */
BP_API enum bp_code bp_motion_prepare(const struct bp_trace *trace, const struct bp_motion_settings *settings,
                                      struct bp_arena *arena, struct bp_motion *motion,
                                      struct bp_error *error);

/* The track: the bar's reconstructed path. Heights are above where it first rested. */
struct bp_track {
    size_t count;
    const double *time_s;
    double *height_m;    /* [count] */
    double *speed_m_s;   /* [count] vertical, up positive */
    double *accel_m_s2;  /* [count] vertical, bias removed */
    double speed_sd_m_s; /* root mean square over the log of the smoother's own sd of speed */
    double height_sd_m;
    double variance_factor; /* by how much the log's residuals scaled the priors' variances; 1: not at all */
    /* By level, the summed expected squares of how far the closures' heights lay from it, m², and of how
     * many: what expectation-maximisation makes a level's spread of (Shumway & Stoffer 1982, J Time Ser Anal
     * 3(4):253-64). 0 in a first pass. */
    double level_squares_m2[BP_LEVEL_COUNT];
    size_t level_count[BP_LEVEL_COUNT];
    struct bp_posterior *posterior; /* what draws are made from; lives in the arena of bp_track_find */
};

/* How a first pass holds the drift. */
struct bp_first_pass {
    double reach_m;      /* sd of the bar's height about the middle of a lifter's reach */
    double middle_m;     /* that middle, above where the bar rests */
    double middle_sd_m;  /* and its sd; 0: it is there */
    double reach_time_s; /* it counts as one piece of knowledge per this time */
    double drift;        /* m/s^2 sqrt(s): velocity random walk beside the sensors' own; 0: the prior's */
    bool holds;          /* the bar stands where its speed is even, for all that is known of it by then */
};
extern BP_API const struct bp_first_pass bp_first_pass_defaults;

/* Reconstructs height and speed. closures NULL: first pass, only the still spells, the rack's height and a
 * lifter's reach hold the drift, as first_pass says (NULL: the defaults). Arrays live in arena. Errors:
 * MEMORY, MOTION. */
BP_API enum bp_code bp_track_find(const struct bp_motion *motion, const struct bp_closures *closures,
                                  const struct bp_first_pass *first_pass, struct bp_arena *arena,
                                  struct bp_track *track, struct bp_error *error);

/* Makes a track ready for draws, once. arena as in bp_track_find. Errors: MEMORY. */
BP_API enum bp_code bp_track_prepare_draws(struct bp_track *track, struct bp_arena *arena,
                                           struct bp_error *error);

/* One draw of what the bar's path may have been, given the log: height, speed and acceleration of `about`
 * (the prepared track, or a filtered copy of it that shares its posterior) with an error added that has the
 * estimate's own joint uncertainty: sensor noise, biases, the closures' spread (simulation smoothing:
 * Carter & Kohn 1994, Biometrika 81(3):541-53), and what the smoother does not carry: the accelerometer's
 * scale and the chip's place off the bar's axis. gain: the scale's error, standard normal. draw's three
 * arrays are the caller's, [about->count], not about's own; only samples in `stretch` are filled. Nothing is
 * allocated. */
BP_API void bp_track_draw(const struct bp_track *about, struct bp_spell stretch, double gain,
                          struct bp_random *random, struct bp_track *draw);

#ifdef __cplusplus
}
#endif
#endif
