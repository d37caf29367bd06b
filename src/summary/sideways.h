/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sideways part of one log, made once: evenly sampled bands and their place on the log's clock, the
 * errors they may carry, and draws of them.
 *
 * Band filters are linear, so every error that is a number times a known record (a share) is filtered once:
 * the movement is what was measured less the sum of shares times shapes. Shares are estimated where the log
 * shows them (a movement along the bar does not follow the lift's own acceleration by itself) and drawn about
 * that.
 */
#ifndef BARPLUMB_SUMMARY_SIDEWAYS_H
#define BARPLUMB_SUMMARY_SIDEWAYS_H

#include "barplumb/motion.h"
#include "barplumb/random.h"
#include "barplumb/shake.h"
#include "summary/sideways_prior.h"
#include "summary/slip.h"

/* What may have got into the movement along the bar. */
enum bp_shape {
    BP_SHAPE_RISE,       /* vertical acceleration: "level" is off by a bias over g; cross-axis gain */
    BP_SHAPE_FORE,       /* fore-aft acceleration (without a gyroscope: force): the bar's direction is off */
    BP_SHAPE_ROLL,       /* gravity as the roll turns it: cross-axis gains. The last without a gyroscope. */
    BP_SHAPE_LEVER_UP,   /* the chip swings about the bar's axis, per metre it lies above it */
    BP_SHAPE_LEVER_FORE, /* and in front of it */
    BP_SHAPES
};
enum { BP_SHAPES_ALONE = BP_SHAPE_FORE + 1, BP_MISSES = 2, BP_WALK_TERMS = 6 };

/* What the estimate is, or one draw of what it may have been. */
struct bp_sideways_state {
    double share[BP_SHAPES];
    bool across;              /* the phone lies across the bar, not along it */
    bool noisy;               /* a plausible noise is taken off */
    size_t noise_shift;       /* where in the noise record it begins */
    double missed[BP_MISSES]; /* how much of each record of what was missed is in it */
    double gain;              /* movement / what was measured of it */
    double fore_level_rad,
        fore_gravity;           /* of vertical acceleration and of gravity in the fore-aft movement */
    double turn_cross;          /* roll read as tilt */
    double fore_axis_rad;       /* of the direction beside its part of the share */
    double walk[BP_WALK_TERMS]; /* of the attitude between the rests, rad per sqrt(s) */
    double leak_rms_rad;        /* without a gyroscope: the bar's unseen tilt within the band */
    double clatter_gain, clatter_phase, clatter_peak; /* sensor and sampling of the clatter */
    double hiss, hiss_phase; /* how much more of the sensor's noise there is than was told, in its sd */
    bool leaks;              /* a plausible tilt is put in place of the one taken out */
    size_t leak_shift;       /* where in the leak record it begins */
    double slip_part;        /* of the time between the rests until the phone turned as they show */
};

/* What the sensor itself puts into the clatter band. */
struct bp_hiss {
    double power; /* mean square over three axes, (m/s^2)^2 */
    double sd;    /* of power, for the whole log */
    double share; /* which part of a white noise lies in the band */
};

struct bp_sideways {
    bool known;    /* false: the rate is too low for any sideways figure */
    double step_s; /* of the even clock, which starts at 0 */
    const struct bp_motion *motion;
    const struct bp_sideways_prior *prior;
    struct bp_shake_bands bands;  /* as measured */
    size_t shape_count;           /* BP_SHAPES; BP_SHAPES_ALONE without a gyroscope */
    double *shape[BP_SHAPES][3];  /* [bands.count] each; index = enum bp_band_output */
    double *noise[3];             /* what white noise of 1 m/s^2 a sample looks like */
    double *noise_sd;             /* [bands.count] m/s^2 */
    double *missed[BP_MISSES][3]; /* what was missed in gaps and clipped samples; NULL when nothing was */
    double *fore_lever_m[2];      /* what the lever's two parts do fore-aft; NULL without a gyroscope */
    double *leak[3];              /* what an unseen tilt of 1 rad rms looks like; NULL with a gyroscope */
    double leak_rms[3];           /* of the above */
    double uneven_s;              /* how far the samples lie from the even clock's, rms */
    struct bp_hiss hiss;          /* the sensor's own part of clatter */
    double *roll_rad;             /* [trace->count], 0 where the bar usually lies; NULL without a gyroscope */
    double rest_tilt_rad, rest_roll_rad; /* how the bar lay at rest */
    double rest_to_s, rest_from_s;   /* rest before the set and after: between them the attitude walks; after
                                        the second, which may be the first, it walks away */
    struct bp_slip slip;             /* where the phone slipped, what the bar tilts by is not known */
    bool axis_seen;                  /* the log shows the bar's direction better than it is assumed */
    double axis_part, axis_rest_rad; /* of FORE's share: which part is the direction's, and its sd then */
    double sd[BP_SHAPES];            /* of the shares, from the prior */
    double best[BP_SHAPES];          /* the shares as estimated, in units of their sd */
    double root[BP_SHAPES * BP_SHAPES]; /* L of the same units' precision, L L' */
    struct bp_sideways_state now;
    struct bp_shake_bands scratch; /* what is measured is put together here */
};

/* Resamples the sideways accelerations evenly, makes their bands and the shapes of their errors, and
 * estimates the shares. motion must outlive sideways. Errors: MEMORY. */
enum bp_code bp_sideways_make(const struct bp_motion *motion, const struct bp_clock *clock,
                              struct bp_arena *arena, struct bp_sideways *sideways, struct bp_error *error);
/* The same with other priors than the defaults; prior must outlive sideways. */
enum bp_code bp_sideways_make_with(const struct bp_sideways_prior *prior, const struct bp_motion *motion,
                                   const struct bp_clock *clock, struct bp_arena *arena,
                                   struct bp_sideways *sideways, struct bp_error *error);

/* Sideways becomes one draw of what it may have been, given the log; and the estimate again. */
void bp_sideways_draw(struct bp_sideways *sideways, struct bp_random *random);
void bp_sideways_rest(struct bp_sideways *sideways);

/* Shake between two times; all NaN when it cannot be known. arena as in bp_shake_measure. */
struct bp_shake_figures bp_sideways_measure(const struct bp_sideways *sideways, double from_s, double to_s,
                                            struct bp_arena *arena);
/* Its rms displacement alone, m: what descents and ranges are told by. */
double bp_sideways_rms(const struct bp_sideways *sideways, double from_s, double to_s);

/* The movement along the bar as it is now taken to be: x[0] belongs to the even clock's sample `first`. */
struct bp_sideways_record {
    const double *x; /* m, m/s or m/s^2; good until the next measuring of the same sideways */
    size_t first, count;
    double step_s;
};

/* The record between two times; count 0 when it cannot be known. */
struct bp_sideways_record bp_sideways_along(const struct bp_sideways *sideways, enum bp_band_output output,
                                            double from_s, double to_s);

/* Largest tilt away from how the bar lay in the rack over samples [first, last] of the trace, deg; NaN
 * without a gyroscope and where first > last. */
double bp_sideways_tilt_deg(const struct bp_sideways *sideways, size_t first, size_t last);

#endif
