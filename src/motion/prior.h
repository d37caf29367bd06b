/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every prior of the motion stage: its name, unit, default and the reason for it, in this one place.
 */
#ifndef BARPLUMB_MOTION_PRIOR_H
#define BARPLUMB_MOTION_PRIOR_H

struct bp_prior {
    /* sensors */
    double force_bias_m_s2; /* sd of one axis's bias. Phone parts: zero-g offset up to ±40–60 mg over life
                               (BMI160 data sheet), and a scale error of 1–2 % of g counts as bias too */
    double force_bias_walk; /* m/s^2 per sqrt(s): bias drift; Android CDD 7.3.9: 1 mg/°C, a phone warms well
                               under 1 °C in a set */
    double force_noise_floor; /* m/s^2 sqrt(s): velocity random walk added for what the white noise does not
                                 explain (scale, cross-axis, second-order tilt) with a gyroscope */
    double rough_share; /* which part of the roughness above sensor noise is an error of the integral, where
                           the rate resolves clatter and the steps are even: it integrates to nearly nothing;
                           as variance */
    double fold_share;  /* and which part more where all of it lies past half the rate, and may fold back */
    double ring_hz;     /* links and plates ring up to this */
    double force_noise_no_gyro; /* the same without one: with the floor, what the swing's share leaves of
                                   sideways acceleration seen as vertical, 0.005 rms over simulated sets */
    double swing_share; /* without a gyroscope: which part of how "up" swings is sideways acceleration, from
                           none (a bar that rolls) to all (one that is pushed); of simulated sets the
                           middle one has 0.86, nine of ten 0.04 to 1.24 */
    double swing_share_sd;
    double swing_spread;    /* and how far that part differs from moment to moment */
    double swing_time_s;    /* for about so long: a push of the shake band */
    double turn_bias_rad_s; /* sd of a gyroscope axis's bias when no still spell shows it (±3 °/s max) */
    double turn_bias_left;  /* rad/s: what a still spell leaves of it */
    /* sd, about each level axis, of an attitude that the phone itself tells: general filters are off in
     * inclination by 2.7° (Madgwick) and 3.7° (Mahony) rms over all trials of the BROAD benchmark (Laidig et
     * al. 2021, Data 6(7):72); 3.2° are taken */
    double attitude_rad;
    double attitude_time_s;  /* for about so long: such filters are corrected over 1.4 s (Mahony's gain of
                                0.74/s there) to 3 s (VQF's) */
    double turn_walk;        /* rad per sqrt(s): attitude walk from gyroscope noise, scale and cross-axis */
    double gap_turn_rad_s;   /* unknown rate of turn inside a gap */
    double gap_accel_m_s2;   /* unknown acceleration inside a gap */
    double spoilt_speed_m_s; /* sd of how much the bar's speed may be another behind a spoilt step */
    double spoilt_way_m;     /* and its height: a drive's own speed and range */
    double clip_accel_m_s2;  /* unknown acceleration above a clipped reading */
    double force_scale; /* sd of the accelerometer's gain: phone parts 0.5-1 % (data sheets, from memory);
                           Android CDD 7.3.9 grants 0.5 % of nonlinearity alone */
    double lever_m; /* sd, each axis, of the chip's place off the bar's axis: the bar's radius of 14 mm and
                       half a phone's thickness out, up to half its width sideways */
    /* knowledge of the lift */
    double first_rack_m;    /* first pass: sd of the height of the first and the last long still spell */
    double even_sway_m_s;   /* sd of speed where it is even: the sway of a bar that is held */
    double even_gate;       /* by how many sd the sensors may deny that it is: a slow stroke is as even */
    double even_speed_m_s;  /* faster than this it surely is a stroke */
    double even_stroke;     /* how often an even stretch is a stroke: the most a denied one speaks against */
    double long_still_s;    /* a still spell this long is long */
    double still_speed_m_s; /* sd of speed in a still spell */
    double start_speed_m_s; /* sd of speed at the first sample of a log that does not begin at rest */
    double hold_speed_m_s;  /* sd of speed in a lockout or chest pause: postural sway */
    double hold_step_s;     /* one such piece of knowledge per this time */
    double rack_level_m;    /* sd of the rack's height: it is where it was, the bar may roll in it */
    double floor_level_m;   /* sd of the floor's height under the plates */
    double left_level_m;    /* sd of the height of a bar that is left down, about the bottom */
    double gate;          /* what is known of the lift is not believed where the sensors say otherwise by more
                             than so many sd: a missed rep taken for a lockout, a slow bar for a still one */
    double factor_weight; /* how many residuals the priors' own spreads are worth against the log's */
    double tilt_still_rad;   /* sd of gravity's direction in a still knot: accelerometer bias over g */
    double moving_speed_m_s; /* sd of the bar's speed: bounds the mean acceleration over a knot */
};

extern const struct bp_prior bp_prior_defaults;

#endif
