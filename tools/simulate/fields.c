/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fields.h"

#include "barplumb/text.h"

#include <math.h>
#include <string.h>

static const char *const lift_names[] = {"bench", "press", "squat", "deadlift", "row"};
static const char *const setup_names[] = {"straight", "chains", "bands-down", "bands-up"};
static const char *const shape_names[] = {"stroke", "min-jerk"};
static const char *const ending_names[] = {"racked", "cut", "missed", "missed-left"};
static const char *const side_names[] = {"both", "left", "right"};
static const char *const switch_names[] = {"no", "yes"};

#define NUMBER(name, member, least, most, help)                                                              \
    {                                                                                                        \
        name, offsetof(struct sim_scenario, member), SIM_FIELD_NUMBER, least, most, NULL, help               \
    }
#define COUNT(name, member, least, most, help)                                                               \
    {                                                                                                        \
        name, offsetof(struct sim_scenario, member), SIM_FIELD_COUNT, least, most, NULL, help                \
    }
#define SWITCH(name, member, help)                                                                           \
    {                                                                                                        \
        name, offsetof(struct sim_scenario, member), SIM_FIELD_SWITCH, 0, 1, switch_names, help              \
    }
#define NAME(name, member, names, count, help)                                                               \
    {                                                                                                        \
        name, offsetof(struct sim_scenario, member), SIM_FIELD_NAME, 0, (count)-1, names, help               \
    }

const struct sim_field sim_fields[] = {
    NAME("lift", lift, lift_names, BP_LIFT_COUNT, "bench, press, squat, deadlift or row"),
    NAME("setup", setup, setup_names, SIM_SETUP_COUNT, "straight, chains, bands-down or bands-up"),
    COUNT("reps", reps, 1, SIM_REPS_MAX, "completed reps"),
    NAME("ending", ending, ending_names, SIM_ENDING_COUNT,
         "racked, cut (log ends before the rack), missed (then helped), missed-left"),

    NAME("shape", shape, shape_names, SIM_SHAPE_COUNT, "speed of a drive: stroke or min-jerk"),
    NUMBER("mean-speed", mean_speed_m_s, 0.1, 2.0, "first rep's mean velocity, m/s"),
    NUMBER("speed-loss", speed_loss, 0, 0.8, "part of the speed lost by the last rep"),
    NUMBER("speed-spread", speed_spread, 0, 0.2, "sd of a rep's speed, part of it"),
    NUMBER("rise-fraction", rise_fraction, 0.1, 0.9, "part of a drive in which speed rises"),
    NUMBER("fall-fraction", fall_fraction, 0.1, 0.9, "part of a drive in which speed falls"),
    COUNT("sticking-from", sticking_from_rep, 0, SIM_REPS_MAX, "first rep that sticks, 0 for none"),
    NUMBER("sticking-ratio", sticking_ratio, 0, 0.9, "lowest speed / mean speed"),
    NUMBER("sticking-span", sticking_span, 0.05, 0.6, "part of the drive spent at it"),
    NUMBER("missed-fraction", missed_fraction, 0.1, 0.85, "part of the range a missed rep reaches"),
    NUMBER("range", range_m, 0.1, 1.2, "range of motion, m"),
    NUMBER("lockout-spread", lockout_spread_m, 0, 0.03, "sd of the top's height, m"),
    NUMBER("bottom-spread", bottom_spread_m, 0, 0.03, "sd of the bottom's height, m"),

    NUMBER("descent", descent_s, 0.3, 6, "time of a descent, s"),
    NUMBER("pause", bottom_pause_s, 0, 10, "pause at the bottom, s; 0: touch and go"),
    NUMBER("hold", top_hold_s, 0.05, 20, "hold at lockout, s"),
    NUMBER("time-spread", time_spread, 0, 0.4, "sd of those times, part of them"),
    NUMBER("bounce", bounce_m, 0, 0.05, "sink and rebound at a touch-and-go bottom, m"),
    SWITCH("dropped", dropped, "deadlift: drop the bar, yes or no"),
    NUMBER("still-start", still_start_s, 0, 60, "still before the set, s"),
    NUMBER("still-end", still_end_s, 0, 60, "still after the set, s"),
    NUMBER("handling-start", handling_start_s, 0, 60, "phone strapped on first for so long, s"),
    NUMBER("handling-end", handling_end_s, 0, 60, "phone taken off at the end for so long, s"),
    NUMBER("unrack-lift", unrack_lift_m, 0.01, 0.8, "out of the hooks or off the floor, m"),
    NUMBER("unrack-forward", unrack_forward_m, -0.3, 0.3, "then forward, m"),
    COUNT("steps", walk_steps, 0, 6, "steps back from the rack"),

    NUMBER("sway", sway_m, 0, 0.03, "rms sway along the bar, m"),
    NUMBER("sway-low", sway_low_hz, 0.3, 10, "slowest part of the sway, Hz"),
    NUMBER("sway-high", sway_high_hz, 0.3, 20, "quickest part of the sway, Hz"),
    NUMBER("path", path_m, -0.3, 0.3, "fore-aft reach of the bar's path, m"),
    NUMBER("roll", roll_deg, -60, 60, "roll over the range, degrees"),
    NUMBER("roll-drift", roll_drift_deg, -60, 60, "roll crept over the set, degrees"),
    NUMBER("tilt", tilt_deg, 0, 10, "largest tilt to expect, degrees"),
    NUMBER("rest-tilt", rest_tilt_deg, -5, 5, "tilt in the rack, degrees"),
    NUMBER("yaw", yaw_deg, 0, 10, "largest yaw to expect, degrees"),
    NUMBER("wander", wander_m, 0, 0.02, "slow wander in holds, m"),
    NUMBER("tremor", tremor_m, 0, 0.002, "rms tremble up and down, m"),
    NUMBER("building", building_m_s2, 0, 0.2, "rms vibration of the building, m/s^2"),
    NUMBER("knock", knock_m_s2, 0, 80, "peak of a knock, m/s^2"),
    NUMBER("links", links_per_m, 0, 100, "chain links a metre, 0 for no chains"),
    NUMBER("clatter", clatter_m_s2, 0, 40, "typical peak of a link landing, m/s^2"),
    NUMBER("swing", swing_m, 0, 0.03, "rms slow swing of chains along the bar, m"),

    COUNT("hit-rep", hit_rep, 0, SIM_REPS_MAX, "the bar hits the rack in this rep, 0: never"),
    SWITCH("hit-in-hold", hit_in_hold, "at its lockout (yes) or in its drive (no)"),
    NUMBER("hit", hit_m_s2, 0, 160, "how hard: peak acceleration at the phone, m/s^2"),
    NUMBER("hit-length", hit_s, 0.005, 0.1, "and how long it rings, s"),
    COUNT("spotter-rep", spotter_rep, 0, SIM_REPS_MAX, "a spotter touches the bar in this rep, 0: never"),
    NUMBER("spotter-lift", spotter_lift_m, 0, 0.05, "and brings it so far ahead, m"),
    NUMBER("spotter-aside", spotter_aside_m, -0.05, 0.05, "and pushes it so far along the bar, m"),

    NUMBER("along", mount_along_m, -1.1, 1.1, "phone from the bar's middle, m"),
    NUMBER("mount-forward", mount_forward_m, -0.2, 0.2, "phone forward of the bar's axis, m"),
    NUMBER("mount-up", mount_up_m, -0.2, 0.2, "phone above the bar's axis, m"),
    NUMBER("phone-x", phone_deg[0], -180, 180, "phone turned about its x, degrees"),
    NUMBER("phone-y", phone_deg[1], -180, 180, "phone turned about its y, degrees"),
    NUMBER("phone-z", phone_deg[2], -180, 180, "phone turned about its z, degrees"),
    NUMBER("slip-at", slip_at_s, 0, 3600, "the phone slips at this time, s; 0: never"),
    NUMBER("slip", slip_deg, -45, 45, "by so many degrees"),

    NUMBER("rate", rate_hz, 12.5, 1000, "samples a second"),
    NUMBER("rate-ppm", rate_ppm, -20000, 20000, "real rate off the nominal one, ppm"),
    NUMBER("clock-ppm", clock_ppm, -20000, 20000, "stamps run fast, ppm"),
    NUMBER("jitter", jitter_s, 0, 0.02, "sd of when a sample is taken, s"),
    NUMBER("stamp-jitter", stamp_jitter_s, 0, 0.02, "sd of the stamps' own error, s"),
    NUMBER("loss", loss, 0, 0.5, "part of samples lost"),
    NUMBER("gap-at", gap_at_s, 0, 3600, "a hole in the log begins here, s"),
    NUMBER("gap", gap_s, 0, 60, "and is so long, s"),

    NUMBER("gravity", gravity_m_s2, 9.7, 9.9, "local gravity, m/s^2"),
    SWITCH("gyroscope", gyroscope, "yes or no"),
    NUMBER("turn-rate", turn_rate_hz, 0, 1000, "gyroscope's own rate, Hz; 0: same rows"),
    NUMBER("force-bias-x", force_bias_m_s2[0], -5, 5, "accelerometer bias, m/s^2"),
    NUMBER("force-bias-y", force_bias_m_s2[1], -5, 5, "the same, y"),
    NUMBER("force-bias-z", force_bias_m_s2[2], -5, 5, "the same, z"),
    NUMBER("force-drift", force_drift, 0, 0.5, "its random walk, m/s^2/sqrt(s)"),
    NUMBER("force-scale-x", force_scale[0], -0.2, 0.2, "gain error, part of the reading"),
    NUMBER("force-scale-y", force_scale[1], -0.2, 0.2, "the same, y"),
    NUMBER("force-scale-z", force_scale[2], -0.2, 0.2, "the same, z"),
    NUMBER("force-cross", force_cross, 0, 0.1, "sd of the cross-axis gains"),
    NUMBER("force-noise", force_noise_ug, 0, 5000, "noise density, 1e-6 g/sqrt(Hz)"),
    NUMBER("force-grid", force_grid_m_s2, 0, 1, "rounding step, m/s^2; 0: none"),
    NUMBER("sensor-window", sensor_window, 0, 4,
           "half-width of the sensor's own averaging, samples; 0: instants, aliasing and all"),
    NUMBER("force-limit", force_limit_m_s2, 0, 320, "clips there, m/s^2; 0: never"),
    NUMBER("turn-bias-x", turn_bias_deg_s[0], -20, 20, "gyroscope bias, deg/s"),
    NUMBER("turn-bias-y", turn_bias_deg_s[1], -20, 20, "the same, y"),
    NUMBER("turn-bias-z", turn_bias_deg_s[2], -20, 20, "the same, z"),
    NUMBER("turn-drift", turn_drift_deg_s, 0, 1, "its random walk, deg/s/sqrt(s)"),
    NUMBER("turn-scale-x", turn_scale[0], -0.2, 0.2, "gain error, part of the reading"),
    NUMBER("turn-scale-y", turn_scale[1], -0.2, 0.2, "the same, y"),
    NUMBER("turn-scale-z", turn_scale[2], -0.2, 0.2, "the same, z"),
    NUMBER("turn-cross", turn_cross, 0, 0.1, "sd of the cross-axis gains"),
    NUMBER("turn-noise", turn_noise_mdps, 0, 200, "noise density, 1e-3 deg/s/sqrt(Hz)"),
    NUMBER("turn-grid", turn_grid_deg_s, 0, 5, "rounding step, deg/s; 0: none"),
    NUMBER("turn-limit", turn_limit_deg_s, 0, 4000, "clips there, deg/s; 0: never"),

    SWITCH("attitude", attitude, "the phone's own attitude in the log, yes or no"),
    NUMBER("attitude-error", attitude_error_deg, 0, 20, "sd of its tilt about each level axis, degrees"),
    NUMBER("attitude-time", attitude_time_s, 0.1, 60, "how long such an error lasts, s"),
    NUMBER("attitude-lag", attitude_lag_s, 0, 1, "it tells where the phone was so long ago, s"),
    NUMBER("attitude-stuck", attitude_stuck_s, 0, 3600, "from here on the same for 4 s, s; 0: never"),

    NUMBER("bar-mass", rig.bar_kg, 0, 60, "bar and collars, kg; 0: not known, and no loads in the truth"),
    NUMBER("plates-mass", rig.plates_kg, 0, 600, "all plates, kg"),
    NUMBER("lockout-height", rig.lockout_m, 0, 3, "of the bar above the floor at lockout, m"),
    NAME("rig-side", rig.side, side_names, SIM_SIDE_COUNT, "where chains and bands hang: both, left, right"),
    COUNT("chains", rig.chains, 0, 12, "pieces of chain on each side"),
    NUMBER("chain-density", rig.chain_kg_per_m, 0, 30, "of one strand, kg/m"),
    NUMBER("chain-length", rig.chain_m, 0, 10, "of one piece, m"),
    NUMBER("chain-leader", rig.leader_m, 0, 3, "from the bar's height to the first link, m"),
    SWITCH("chain-doubled", rig.chain_doubled, "over its middle: two strands, yes or no"),
    COUNT("bands", rig.bands, 0, 12, "bands on each side"),
    NUMBER("band-pull", rig.band_pull_n, 0, 5000,
           "N: pull is band-pull (1 - exp((band-rest - length) / band-scale))"),
    NUMBER("band-rest", rig.band_rest_m, 0, 10, "length where it begins to pull, m"),
    NUMBER("band-scale", rig.band_scale_m, 0, 10, "how soon it softens, m"),
    SWITCH("band-doubled", rig.band_doubled, "over its middle: both ends at the pegs, yes or no"),
    NUMBER("peg-aside", rig.peg_aside_m, -2, 2, "peg outward of the bar's end, m"),
    NUMBER("peg-forward", rig.peg_forward_m, -2, 2, "peg forward of it, m"),
    NUMBER("peg-height", rig.peg_height_m, 0, 6, "peg above the floor, m; above the bar: bands hold it up"),
    NUMBER("peg-beyond", rig.peg_beyond_m, 0, 2, "from that peg on to a second, m; 0: none"),
    NUMBER("rig-errors", rig.errors, 0, 5, "how far the rig file is off: 1 as its own ± say, 0 not at all"),
};
const size_t sim_field_count = sizeof sim_fields / sizeof *sim_fields;

/* Members are written through memcpy: an enum's width is the compiler's affair, so it goes through int. */
static void store(const struct sim_field *field, double value, struct sim_scenario *scenario)
{
    char *at = (char *)scenario + field->offset;
    int whole = (int)value;
    bool on = value != 0.0;
    switch (field->kind) {
    case SIM_FIELD_NUMBER:
        memcpy(at, &value, sizeof value);
        break;
    case SIM_FIELD_SWITCH:
        memcpy(at, &on, sizeof on);
        break;
    case SIM_FIELD_COUNT:
    case SIM_FIELD_NAME:
        memcpy(at, &whole, sizeof whole);
        break;
    }
}

double sim_field_get(const struct sim_field *field, const struct sim_scenario *scenario)
{
    const char *at = (const char *)scenario + field->offset;
    double value = 0.0;
    int whole = 0;
    bool on = false;
    switch (field->kind) {
    case SIM_FIELD_NUMBER:
        memcpy(&value, at, sizeof value);
        return value;
    case SIM_FIELD_SWITCH:
        memcpy(&on, at, sizeof on);
        return on ? 1.0 : 0.0;
    case SIM_FIELD_COUNT:
    case SIM_FIELD_NAME:
        break;
    }
    memcpy(&whole, at, sizeof whole);
    return (double)whole;
}

static bool read_value(const struct sim_field *field, const char *text, double *value)
{
    if (field->names) {
        for (int i = 0; i <= (int)field->most; i++) {
            if (strcmp(text, field->names[i]) == 0) {
                *value = (double)i;
                return true;
            }
        }
        return false;
    }
    size_t length = strlen(text);
    return length > 0 && bp_number_read(text, length, '.', value) == length;
}

bool sim_field_set(const struct sim_field *field, const char *text, struct sim_scenario *scenario)
{
    double value;
    if (!read_value(field, text, &value) || !(value >= field->least && value <= field->most)) {
        return false;
    }
    if (field->kind == SIM_FIELD_COUNT && value != floor(value)) {
        return false;
    }
    store(field, value, scenario);
    return true;
}
