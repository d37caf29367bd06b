/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The simulator: a phone strapped to a barbell, known truth in, log out. In memory, no files.
 *
 *   struct sim_scenario scenario = sim_scenario_defaults;      or sim_scenario_for(BP_SQUAT, &scenario)
 *   scenario.seed = 7;                                         or sim_scenario_random(7, &scenario)
 *                                                              or sim_scenario_study(7, &scenario)
 *   struct sim_log log;
 *   static struct sim_truth truth;                             (large: keep it off small stacks)
 *   enum sim_code code = sim_run(&scenario, &log, &truth);
 *   … log.time_s, log.force[3], log.turn[3]: laid out as in barplumb/trace.h …
 *   sim_log_free(&log);
 *
 * World frame: x along the bar, y fore-aft (forward of the lifter positive), z up; the origin is the middle
 * of the bar at rest in the rack or on the floor. The bar's point where the phone sits is the point of the
 * bar's own axis `mount_along_m` from the middle; truth is given for that point, and for the middle where it
 * says so. All of it is thread-safe; nothing is printed; no global state.
 */
#ifndef SIMULATE_SIMULATE_H
#define SIMULATE_SIMULATE_H

#include "barplumb/lift.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SIM_REPS_MAX = 30, SIM_RANGES = 3 };

enum sim_code {
    SIM_OK,
    SIM_SETTING, /* a setting is outside its range, or two do not go together */
    SIM_MEMORY,
    SIM_WRITE /* a file could not be written */
};

enum sim_setup { SIM_STRAIGHT, SIM_CHAINS, SIM_BANDS_DOWN, SIM_BANDS_UP, SIM_SETUP_COUNT };
enum sim_side { SIM_BOTH_SIDES, SIM_LEFT_SIDE, SIM_RIGHT_SIDE, SIM_SIDE_COUNT };
enum sim_shape { SIM_SHAPE_STROKE, SIM_SHAPE_MIN_JERK, SIM_SHAPE_COUNT };
enum sim_ending {
    SIM_RACKED,      /* put back where it came from */
    SIM_CUT,         /* the log ends during the last hold */
    SIM_MISSED,      /* a last, missed rep, then helped to the rack (deadlift, row: back to the floor) */
    SIM_MISSED_LEFT, /* a last, missed rep, and the bar stays on the chest, the safeties or the floor */
    SIM_ENDING_COUNT
};

/* What sim_scenario_study let go wrong, for reports; the settings themselves say how. */
enum sim_trouble {
    SIM_TROUBLE_NONE,
    SIM_TROUBLE_CLATTER, /* chains that land at 2 to 4 g */
    SIM_TROUBLE_HIT,     /* the bar hits the rack in the middle of the set */
    SIM_TROUBLE_SLIP,    /* the phone slips */
    SIM_TROUBLE_SPOTTER, /* a spotter touches the bar in the last rep */
    SIM_TROUBLE_BOUNCE,  /* bench: off the chest */
    SIM_TROUBLE_DROP,    /* deadlift: let fall */
    SIM_TROUBLE_CLIP,    /* the accelerometer ends at 2 or 4 g, and the bar is put away hard */
    SIM_TROUBLE_COUNT
};

/* What the bar is loaded with. It moves nothing: the motion is as told, and the truth says what the hands
 * gave for it. A rig without a bar (bar_kg 0) is not known, and the truth then has no loads. */
struct sim_rig {
    double bar_kg;      /* bar and collars */
    double plates_kg;   /* all of them */
    double lockout_m;   /* height of the bar's middle above the floor at the usual lockout */
    enum sim_side side; /* where chains and bands hang */

    int chains;            /* pieces on each of those sides; 0: none */
    double chain_kg_per_m; /* of one strand */
    double chain_m;        /* length of one piece */
    double leader_m;       /* from the bar's height down to the first link */
    bool chain_doubled;    /* over its middle: two strands of half the length */

    int bands; /* pieces on each of those sides; 0: none */
    /* Pull of a band that is l long: band_pull_n (1 - exp((band_rest_m - l) / band_scale_m)), 0 when shorter
     * than band_rest_m. It softens as it stretches, as measured ones do. */
    double band_pull_n, band_rest_m, band_scale_m;
    bool band_doubled; /* over its middle: its own length is twice the way, and it pulls twice */
    double peg_aside_m, peg_forward_m; /* the peg seen from the bar's end */
    double peg_height_m;               /* above the floor; above the bar: the band holds the bar up */
    double peg_beyond_m;               /* from that peg on to a second, where the band ends; 0: no second */

    double errors; /* how far the rig file is off: 1 as its own ± say, 0 not at all */
};

/* Every setting. Ranges stand in the field table (fields.c); 0 switches an effect off unless said otherwise.
 */
struct sim_scenario {
    uint64_t seed;
    enum bp_lift lift;
    enum sim_setup setup;
    int reps; /* completed ones */
    enum sim_ending ending;
    enum sim_trouble trouble; /* a label alone: it sets nothing off */

    /* Drive */
    enum sim_shape shape;
    double mean_speed_m_s;   /* of the first rep, between the edges at 0.04 m/s */
    double speed_loss;       /* part of it gone at the last rep */
    double speed_spread;     /* sd of a rep's speed, part of it */
    double rise_fraction;    /* part of a drive's time in which speed rises (shape stroke) */
    double fall_fraction;    /* and falls; small: a hard braking phase */
    int sticking_from_rep;   /* first rep with a sticking region; 0: none */
    double sticking_ratio;   /* lowest speed in it / mean speed; near 0 is a stall */
    double sticking_span;    /* part of the drive's time spent at that speed */
    double missed_fraction;  /* part of the range a missed rep reaches */
    double range_m;          /* of a rep */
    double lockout_spread_m; /* sd of the top's height */
    double bottom_spread_m;  /* sd of the bottom's height */

    /* Rhythm */
    double descent_s;        /* time of a descent */
    double bottom_pause_s;   /* 0: touch and go */
    double top_hold_s;       /* lockout hold between reps */
    double time_spread;      /* sd of those times, part of them */
    double bounce_m;         /* how far the bar sinks and rebounds at a touch-and-go bottom */
    bool dropped;            /* deadlift: let fall, and bounces */
    double still_start_s;    /* still in the rack before the set */
    double still_end_s;      /* and after */
    double handling_start_s; /* the phone is strapped on for so long before the still start */
    double handling_end_s;   /* and taken off after the still end */
    double unrack_lift_m;    /* how far out of the hooks; row: floor to hang */
    double unrack_forward_m; /* bench: forward over the shoulders */
    int walk_steps;          /* squat, press: steps back from the rack */

    /* Sideways and small motions */
    double sway_m; /* rms displacement along the bar during reps */
    double sway_low_hz, sway_high_hz;
    double path_m;         /* fore-aft displacement of the bar's path over a rep */
    double roll_deg;       /* roll of the bar over the range */
    double roll_drift_deg; /* roll crept over the whole set */
    double tilt_deg;       /* largest tilt to expect in a drive */
    double rest_tilt_deg;  /* tilt of the rack */
    double yaw_deg;        /* the same of yaw */
    double wander_m;       /* slow postural wander in holds */
    double tremor_m;       /* quick tremble of a loaded bar, up and down */
    double building_m_s2;  /* vibration of the building */
    double knock_m_s2;     /* peak at a knock: into the hooks, on the floor */
    double links_per_m;    /* chains: links landing a metre and strand; bands: 0 */
    double clatter_m_s2;   /* typical peak of one link landing */
    double swing_m;        /* chains: rms of the slow swing along the bar, 0.7 to 1.2 Hz */

    /* Mishaps */
    int hit_rep;            /* the bar hits the rack in this rep, counted from 1; 0: never */
    bool hit_in_hold;       /* in its hold at lockout, else in its drive */
    double hit_m_s2;        /* largest length of the acceleration at the phone, before the sensor */
    double hit_s;           /* how long it rings */
    int spotter_rep;        /* a spotter touches the bar in this rep's drive; 0: never */
    double spotter_lift_m;  /* by how much the bar is then ahead of the lifter's own pace */
    double spotter_aside_m; /* and how far along the bar it is pushed, and let back */

    /* Mounting */
    double mount_along_m;   /* phone from the middle, along the bar */
    double mount_forward_m; /* and off the bar's axis, in the bar's own frame at roll 0 */
    double mount_up_m;
    double phone_deg[3]; /* the phone's frame turned from the bar's: about x, then y, then z */
    double slip_at_s;    /* the phone slips then, time of the log; 0: never */
    double slip_deg;

    /* Clock */
    double rate_hz;
    double rate_ppm;        /* real rate off rate_hz */
    double clock_ppm;       /* stamps run fast against true time */
    double jitter_s;        /* sd of when a sample is really taken, stamped rightly */
    double stamp_jitter_s;  /* sd of the stamp's own error */
    double loss;            /* part of samples lost at random */
    double gap_at_s, gap_s; /* a hole in the log */

    /* Sensors */
    double gravity_m_s2;
    bool gyroscope;
    double turn_rate_hz; /* the gyroscope's own rate; 0: as rate_hz, same instants */
    double force_bias_m_s2[3];
    double force_drift;     /* random walk of the bias, m/s^2 / sqrt(s) */
    double force_scale[3];  /* gain error, 0.01 is 1 % */
    double force_cross;     /* sd of the six cross-axis gains */
    double force_noise_ug;  /* one-sided density, 1e-6 g / sqrt(Hz); sd a sample = density sqrt(rate / 2) */
    double force_grid_m_s2; /* rounding step; 0: none */
    double sensor_window;   /* half-width of the sensor's own averaging, in samples; 0: instants, aliasing and
                               all */
    double force_limit_m_s2; /* clips there; 0: never */
    double turn_bias_deg_s[3];
    double turn_drift_deg_s; /* deg/s / sqrt(s) */
    double turn_scale[3];
    double turn_cross;      /* sd of the six cross-axis gains */
    double turn_noise_mdps; /* one-sided density, 1e-3 deg/s / sqrt(Hz) */
    double turn_grid_deg_s;
    double turn_limit_deg_s;

    /* The phone's own attitude, from a filter that also tells what is linear acceleration */
    bool attitude;
    double attitude_error_deg; /* sd of its tilt, about each of two level axes; three times that in heading */
    double attitude_time_s;    /* how long such an error lasts: it is an Ornstein-Uhlenbeck process */
    double attitude_lag_s;     /* it tells where the phone was so long ago */
    double attitude_stuck_s;   /* from this time of the log on it tells the same for 4 s; 0: never */

    struct sim_rig rig;
};

/* A bench set of five with a common phone, no fault. */
extern const struct sim_scenario sim_scenario_defaults;
/* The defaults of one lift: range, rhythm, speeds, unracking. */
void sim_scenario_for(enum bp_lift lift, struct sim_scenario *scenario);
/* What a setup does: links and swing with chains, less and quicker sway with bands; and common chains or
 * bands on the bar, hung to suit the scenario's heights. */
void sim_scenario_rig(enum sim_setup setup, struct sim_scenario *scenario);
/* A plausible rig for the scenario's lift, setup, heights and speed, drawn from its seed; nothing else is
 * changed. sim_scenario_random and _study end with it. */
void sim_scenario_load(struct sim_scenario *scenario);
/* A plausible set drawn from seed: lift, speeds, setup, rhythm, phone, mounting, rate 50 to 400 Hz, with or
 * without gyroscope. Every drawn value lies in its range. */
void sim_scenario_random(uint64_t seed, struct sim_scenario *scenario);
/* The same, with phones from good to cheap, mounted and recorded as people do, lockouts that are not level,
 * and in about three of ten sets one trouble. Every drawn value lies in its range. */
void sim_scenario_study(uint64_t seed, struct sim_scenario *scenario);
/* "none", "clatter", …: a constant text. */
const char *sim_trouble_name(enum sim_trouble trouble);
/* NULL when every setting is in its range and they go together; else the reason, a constant text. */
const char *sim_scenario_fault(const struct sim_scenario *scenario);

/* One log in memory. Arrays are owned: sim_log_free. */
struct sim_log {
    size_t count;
    double *time_s;      /* [count] strictly increasing, time_s[0] == 0 */
    double *force[3];    /* [count] each: specific force in the phone's frame, m/s^2; +g upward at rest */
    double *gravity[3];  /* [count] each: the part of it that holds the phone up, exact */
    double *turn[3];     /* [turn_count] each: rad/s; NULL without a gyroscope */
    double *turn_time_s; /* [turn_count] same clock as time_s; NULL when turn is at time_s */
    size_t turn_count;
    /* [count] each, at time_s: unit quaternion w x y z that turns the phone's frame to a fixed one with z up
     * and any heading, as the phone's own filter believes; NULL unless asked for. */
    double *attitude[4];
    bool gyroscope;
    double nominal_rate_hz;
};
void sim_log_free(struct sim_log *log);

/* A quantity over a stretch in the shake band, and the like. */
struct sim_shake {
    double rms_m, rms_m_s, rms_m_s2; /* along the bar, 0.7 to 8 Hz by the definition's gain */
};

struct sim_sticking {
    bool present; /* a dip of at least SIM_STICKING_DIP in the drive's speed */
    double start_s, end_s, start_pct, end_pct, peak_before_m_s, low_m_s;
};
/* What the hands gave over a stretch of the drive, inertia included. NaN without a rig. */
struct sim_effort {
    double load_kg;     /* time mean of what holds the bar still at each height, over local gravity */
    double force_n;     /* time mean of the hands' vertical force */
    double power_w;     /* work_j over time */
    double work_j;      /* force × speed over time */
    double impulse_n_s; /* force over time */
};
#define SIM_STICKING_DIP 0.02 /* m/s, first local peak less the following low */

/* All times are log times in true seconds: 0 is the first sample. NaN where there is no such thing. */
struct sim_rep_truth {
    bool missed;
    double descent_start_s, descent_end_s; /* edges of the descent, as the drive's but downward */
    double turnaround_s, drive_start_s, drive_end_s, top_s;
    double descent_time_s;  /* descent_end_s - descent_start_s */
    double pause_s;         /* from the end of the descent before the drive (its own, or of the rep before) to
                               the drive, at least 0; NaN without that descent and for a missed rep */
    double drive_time_s;    /* drive_end_s - drive_start_s */
    double bottom_m, top_m; /* height of the phone's bar point at turnaround_s and top_s */
    double range_m;         /* top_m - bottom_m */
    double mean_velocity_m_s, peak_velocity_m_s; /* NaN for a missed rep, as are the speeds below */
    double propulsive_velocity_m_s; /* mean before acceleration stays under -g to the drive's end */
    double unbraked_velocity_m_s;   /* mean before acceleration first falls under -g after the peak */
    double middle_range_m, middle_mean_velocity_m_s; /* the same for the middle of the bar */
    double range_velocity_m_s[SIM_RANGES];           /* speed through each third of the drive's rise */
    /* Mean before the hands' force stays under 0 to the drive's end: with nothing but plates the same as
     * propulsive_velocity_m_s. NaN without a rig. */
    double rig_propulsive_velocity_m_s;
    struct sim_effort effort, range_effort[SIM_RANGES]; /* of the drive; of each third of its rise */
    double peak_force_n, peak_power_w;
    struct sim_sticking sticking;
    struct sim_shake drive, descent, range[SIM_RANGES];
    double shake_hz;     /* dominant frequency of the drive's speed along the bar in the band; NaN: none */
    double sway_area_m2; /* 95 % ellipse of the drive's horizontal path in the band, F of the log's samples */
    double clatter_m_s2; /* rms length, over the drive, of the acceleration above 15 Hz that a noise-free
                            sensor of the log's rate passes on; NaN below 37.5 Hz of rate */
    double clatter_crest; /* its largest length / that */
    double tilt_deg;      /* largest in the drive away from the tilt at rest before the set, either way */
    double smoothness;    /* spectral arc length of the drive's speed */
};

struct sim_truth {
    size_t rep_count; /* completed and missed, in time order */
    struct sim_rep_truth reps[SIM_REPS_MAX + 1];
    double unrack_start_s, unrack_end_s; /* NaN for a deadlift */
    double rerack_start_s, rerack_end_s; /* NaN when the bar is not put back within the log */
    double duration_s;                   /* of the log */
    /* Of the still bar at the mean turnaround and top of the completed reps and halfway between; NaN without
     * a rig. */
    double load_bottom_kg, load_halfway_kg, load_lockout_kg;
    double share_pct; /* (lockout - bottom) / lockout */
};

/* Simulates scenario into *log and *truth (either may be NULL). On failure *log is empty. */
enum sim_code sim_run(const struct sim_scenario *scenario, struct sim_log *log, struct sim_truth *truth);

#endif
