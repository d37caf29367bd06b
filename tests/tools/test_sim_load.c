/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/load.h"
#include "simulate/truth.h"

#include "barplumb/units.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

static const double g_n = 9.80665, gravity = 9.81, rise_m = 0.4, drive_s = 1.2, drive_at_s = 5.0;
static const double bottom_m = 0.7, lockout_m = 1.1; /* above the floor */

/* Bar and plates of 80 kg, and nothing hung on it. */
static struct sim_rig straight(void)
{
    return (struct sim_rig){.bar_kg = 20.0, .plates_kg = 60.0, .lockout_m = lockout_m, .errors = 1.0};
}

/* A strand a side that begins to rise 0.1 m above the bottom's height and never leaves the floor. */
static struct sim_rig chained(void)
{
    struct sim_rig rig = straight();
    rig.chains = 1;
    rig.chain_kg_per_m = 3.8;
    rig.chain_m = 2.0;
    rig.leader_m = bottom_m - 0.1;
    return rig;
}

/* Doubled bands to a peg that is not straight under the bar, and on to a second. */
static struct sim_rig banded(void)
{
    struct sim_rig rig = straight();
    rig.bands = 2;
    rig.band_doubled = true;
    rig.band_pull_n = 200.0;
    rig.band_rest_m = 1.4;
    rig.band_scale_m = 0.7;
    rig.peg_aside_m = 0.12;
    rig.peg_forward_m = -0.2;
    rig.peg_height_m = 0.05;
    rig.peg_beyond_m = 0.25;
    return rig;
}

static double hand_n(const struct sim_rig *rig, double local_g, double height, double speed, double accel)
{
    struct sim_load load;
    sim_load_at(rig, local_g, (struct sim_jet){height, speed, accel}, &load);
    return load.hand_n;
}

static void a_straight_bar_takes_its_mass_times_gravity_and_acceleration(void **state)
{
    (void)state;
    struct sim_rig rig = straight();
    struct sim_load load;
    sim_load_at(&rig, g_n, (struct sim_jet){0.9, 0.5, 2.0}, &load);
    assert_true(fabs(load.hand_n - 80.0 * 11.80665) < 1e-9);
    assert_true(fabs(load.weight_n - 80.0 * g_n) < 1e-9);
    assert_true(load.chain_n == 0.0 && load.band_n == 0.0 && load.moving_kg == 80.0);
    assert_true(fabs(hand_n(&rig, g_n, 0.9, -0.5, -g_n)) < 1e-9);
}

/* λ (g h + v² + h a), worked out by hand from d/dt (λ h v) = F - λ h g (Kleppner & Kolenkow, An Introduction
 * to Mechanics, ch. 3); g = 9.80665 m/s². */
static void a_chain_picked_up_asks_for_its_links_momentum(void **state)
{
    (void)state;
    static const struct {
        double density, risen, speed, accel, newtons;
    } rows[] = {{3.8, 0.40, 0.5, 0.0, 15.856108},
                {3.8, 0.40, 0.5, 1.0, 17.376108},
                {7.4, 0.75, 1.0, 2.0, 72.926907},
                {2.2, 0.30, 0.25, -0.5, 6.279889},
                {1.0, 1.0, 1.0, 0.0, 10.80665}};
    struct sim_rig bar = straight(), rig = chained();
    rig.side = SIM_LEFT_SIDE;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        rig.chain_kg_per_m = rows[i].density;
        double height = rig.leader_m + rows[i].risen, v = rows[i].speed, a = rows[i].accel;
        double chain = hand_n(&rig, g_n, height, v, a) - hand_n(&bar, g_n, height, v, a);
        assert_true(fabs(chain - rows[i].newtons) < 1e-5);
        /* Lowered, the floor stops each link; and a strand that is clear of it picks none up. */
        double still = rows[i].density * rows[i].risen * (g_n + a);
        chain = hand_n(&rig, g_n, height, -v, a) - hand_n(&bar, g_n, height, -v, a);
        assert_true(fabs(chain - still) < 1e-9);
        struct sim_rig clear = rig;
        clear.chain_m = rows[i].risen;
        chain = hand_n(&clear, g_n, height + 0.05, v, a) - hand_n(&bar, g_n, height + 0.05, v, a);
        assert_true(fabs(chain - still) < 1e-9);
    }
}

/* At constant speed over L: work λ (g L²/2 + v² L), of which λ L v²/2 is lost where the links are jerked into
 * motion (Carnot): 19.582635 J for 3.8 kg/m, 1 m, 0.5 m/s. */
static void a_chain_raised_at_constant_speed_takes_the_work_of_the_textbook(void **state)
{
    (void)state;
    enum { STEPS = 2000 };
    struct sim_rig bar = straight(), rig = chained();
    rig.side = SIM_RIGHT_SIDE;
    double work = 0.0;
    for (int i = 0; i < STEPS; i++) {
        double height = rig.leader_m + ((double)i + 0.5) / STEPS;
        work += (hand_n(&rig, g_n, height, 0.5, 0.0) - hand_n(&bar, g_n, height, 0.5, 0.0)) / STEPS;
    }
    assert_true(fabs(work - 19.582635) < 1e-6);
}

static void chains_and_bands_hang_on_the_sides_and_in_the_strands_told(void **state)
{
    (void)state;
    struct sim_rig one = chained(), two = chained();
    struct sim_load a, b;
    const struct sim_jet bar = {0.9, 0.3, 0.2};
    one.side = SIM_LEFT_SIDE;
    two.chain_m *= 2.0;
    two.chain_doubled = true;
    two.chains = 3;
    sim_load_at(&one, g_n, bar, &a);
    sim_load_at(&two, g_n, bar, &b);
    assert_true(a.chain_n > 1.0 && fabs(b.chain_n - 12.0 * a.chain_n) < 1e-9);
    assert_true(fabs(sim_load_strand_length(&one) - sim_load_strand_length(&two)) < 1e-12);
    /* All of it on the floor. */
    sim_load_at(&two, g_n, (struct sim_jet){two.leader_m - 0.01, 0.3, 0.2}, &b);
    assert_true(b.chain_n == 0.0 && b.moving_kg == 80.0 && fabs(b.hand_n - 80.0 * (g_n + 0.2)) < 1e-9);

    struct sim_rig bands = banded();
    double way = sqrt(0.12 * 0.12 + 0.2 * 0.2 + 0.85 * 0.85);
    double pull = 200.0 * (1.0 - exp((1.4 - 2.0 * (way + 0.25)) / 0.7));
    sim_load_at(&bands, g_n, bar, &a);
    assert_true(fabs(a.band_n - 8.0 * pull * 0.85 / way) < 1e-9);
    bands.band_rest_m = 3.0; /* slack */
    sim_load_at(&bands, g_n, bar, &a);
    assert_true(a.band_n == 0.0);
}

/* A drive alone, minimum-jerk over 0.4 m in 1.2 s, from 0.7 m above the floor to 1.1 m. */
static void closed_form(const struct sim_rig *rig, struct sim_truth *truth)
{
    struct sim_motion motion = {
        .gravity = gravity, .end_s = 9.0, .rate_hz = 200.0, .rep_count = 1, .rig = *rig, .lockout_m = 0.0};
    const struct sim_jet none[3] = {{0}};
    sim_rotation_make(none, &motion.phone);
    motion.height.start = -rise_m;
    sim_path_add(
        &motion.height,
        &(struct sim_piece){.kind = SIM_MIN_JERK, .from_s = drive_at_s, .length_s = drive_s, .size = rise_m});
    motion.reps[0] = (struct sim_planned_rep){.low_from_s = 2.0,
                                              .drive_from_s = drive_at_s,
                                              .drive_to_s = drive_at_s + drive_s,
                                              .top_to_s = 8.0,
                                              .bottom_m = -rise_m,
                                              .top_m = 0.0};
    assert_true(sim_truth_make(&motion, truth));
    sim_motion_free(&motion);
}

/* Share of the time at which a minimum-jerk stroke has gone a share of its way, and its speed there. */
static double place(double x)
{
    return x * x * x * (10.0 + x * (-15.0 + x * 6.0));
}

static double speed(double x)
{
    return 30.0 * x * x * (1.0 - x) * (1.0 - x) * rise_m / drive_s;
}

/* The share of the time at which it passes 0.04 m/s: where the drive begins; it ends at one less that. */
static double edge_share(void)
{
    return 0.5 - sqrt(0.25 - sqrt(0.04 * drive_s / (30.0 * rise_m)));
}

static void work_is_the_gain_of_energy_and_what_the_links_lose(void **state)
{
    (void)state;
    enum { STEPS = 20000 };
    static struct sim_truth truth;
    struct sim_rig rig = chained();
    closed_form(&rig, &truth);
    const struct sim_rep_truth *rep = &truth.reps[0];
    double x = edge_share(), density = 2.0 * 3.8;
    double low = 0.1 + rise_m * place(x), high = 0.1 + rise_m * place(1.0 - x); /* chain in the air */
    double gain = gravity * (80.0 * (high - low) + 0.5 * density * (high * high - low * low));
    double moving = 0.5 * density * (high - low) * 0.04 * 0.04; /* both edges are at 0.04 m/s */
    double lost = 0.0;
    for (int i = 0; i < STEPS; i++) {
        double v = speed(x + (1.0 - 2.0 * x) * ((double)i + 0.5) / STEPS);
        lost += 0.5 * density * v * v * v * (1.0 - 2.0 * x) * drive_s / STEPS;
    }
    assert_true(lost > 0.3);
    assert_true(fabs(rep->effort.work_j - (gain + moving + lost)) < 1e-4);
    /* The impulse gives the mean force: weight over time and the momentum gained. */
    double time = (1.0 - 2.0 * x) * drive_s, momentum = density * (high - low) * 0.04;
    double held = rep->effort.load_kg * gravity * time;
    assert_true(fabs(rep->effort.impulse_n_s - held - momentum) < 1e-4);
    assert_true(fabs(rep->effort.force_n - rep->effort.impulse_n_s / time) < 1e-6);
    assert_true(fabs(rep->effort.power_w - rep->effort.work_j / time) < 1e-6);
}

/* One pass of a second-order Butterworth low-pass in the K form of Winter, Biomechanics and Motor Control of
 * Human Movement (from memory). */
static void one_pass(double *x, int count, double corrected_hz, double rate_hz)
{
    double w = tan(BP_PI * corrected_hz / rate_hz), k1 = sqrt(2.0) * w, k2 = w * w;
    double a0 = k2 / (1.0 + k1 + k2), k3 = 2.0 * a0 / k2, b1 = k3 - 2.0 * a0, b2 = 1.0 - 2.0 * a0 - k3;
    double x1 = 0.0, x2 = 0.0, y1 = 0.0, y2 = 0.0;
    for (int i = 0; i < count; i++) {
        double y = a0 * (x[i] + 2.0 * x1 + x2) + b1 * y1 + b2 * y2;
        x2 = x1;
        x1 = x[i];
        y2 = y1;
        y1 = x[i] = y;
    }
}

static void reverse(double *x, int count)
{
    for (int i = 0; i < count / 2; i++) {
        double held = x[i];
        x[i] = x[count - 1 - i];
        x[count - 1 - i] = held;
    }
}

/* The largest acceleration of the stroke, still before and after, run both ways through a filter that is
 * 1/√2 at 8 Hz: corrected for two passes as Winter does, tan(π f/rate) / (√2 - 1)^(1/4). */
static double below_8_hz_at_most(void)
{
    enum { RATE = 4000, SECONDS = 6 };
    static double x[RATE * SECONDS];
    const int count = RATE * SECONDS;
    double corrected = atan(tan(BP_PI * 8.0 / RATE) / pow(sqrt(2.0) - 1.0, 0.25)) * RATE / BP_PI, most = 0.0;
    for (int i = 0; i < count; i++) {
        double t = ((double)i / RATE - 2.0) / drive_s;
        x[i] =
            t > 0.0 && t < 1.0 ? 60.0 * t * (1.0 - t) * (1.0 - 2.0 * t) * rise_m / (drive_s * drive_s) : 0.0;
    }
    for (int way = 0; way < 2; way++) {
        one_pass(x, count, corrected, RATE);
        reverse(x, count);
    }
    for (int i = 0; i < count; i++) {
        most = fmax(most, x[i]);
    }
    return most;
}

static void from_rest_to_rest_a_straight_bar_s_work_is_its_weight_times_its_rise(void **state)
{
    (void)state;
    enum { STEPS = 4000 };
    struct sim_rig rig = straight();
    double work = 0.0;
    for (int i = 0; i < STEPS; i++) {
        double x = ((double)i + 0.5) / STEPS, a = 60.0 * x * (1.0 - x) * (1.0 - 2.0 * x) * rise_m;
        work += hand_n(&rig, gravity, bottom_m + rise_m * place(x), speed(x), a / (drive_s * drive_s)) *
                speed(x) * drive_s / STEPS;
    }
    assert_true(fabs(work - 80.0 * gravity * rise_m) < 1e-5);
    static struct sim_truth truth;
    closed_form(&rig, &truth);
    double share = place(1.0 - edge_share()) - place(edge_share());
    assert_true(fabs(truth.reps[0].effort.work_j - 80.0 * gravity * rise_m * share) < 1e-4);
    assert_true(fabs(truth.reps[0].effort.load_kg - 80.0) < 1e-9);
    /* The steepest of the stroke, 10/√3 D/T² up; a filter at 8 Hz does nothing to so slow a drive. */
    double steepest = 10.0 / sqrt(3.0) * rise_m / (drive_s * drive_s), peak = below_8_hz_at_most();
    assert_true(fabs(peak - steepest) < 1e-4 * steepest);
    assert_true(fabs(truth.reps[0].peak_force_n - 80.0 * (gravity + peak)) < 1e-3);
}

/* Force along the way: what bands take is the integral of their pull over their own length, wherever the peg
 * is. */
static double work_of_pull(const struct sim_rig *rig, double from_m, double to_m)
{
    double s = rig->band_scale_m, l0 = rig->band_rest_m;
    return rig->band_pull_n * (to_m - from_m + s * (exp((l0 - to_m) / s) - exp((l0 - from_m) / s)));
}

static void what_bands_take_is_the_integral_of_their_pull(void **state)
{
    (void)state;
    static struct sim_truth with, without;
    struct sim_rig bar = straight(), rig = banded();
    closed_form(&rig, &with);
    closed_form(&bar, &without);
    double x = edge_share(), low = bottom_m + rise_m * place(x), high = bottom_m + rise_m * place(1.0 - x);
    double down = 4.0 * work_of_pull(&rig, sim_load_band_length(&rig, low), sim_load_band_length(&rig, high));
    assert_true(down > 50.0);
    assert_true(fabs(with.reps[0].effort.work_j - without.reps[0].effort.work_j - down) < 1e-3);

    /* From above the band gets shorter and gives its work back. */
    rig.peg_height_m = lockout_m + 0.6;
    closed_form(&rig, &with);
    double up = 4.0 * work_of_pull(&rig, sim_load_band_length(&rig, high), sim_load_band_length(&rig, low));
    assert_true(up > 50.0);
    assert_true(fabs(without.reps[0].effort.work_j - with.reps[0].effort.work_j - up) < 1e-3);
}

static void bands_from_above_take_load_off_the_bottom(void **state)
{
    (void)state;
    static struct sim_truth truth;
    struct sim_rig rig = banded();
    closed_form(&rig, &truth);
    assert_true(truth.load_bottom_kg > 80.0 && truth.load_lockout_kg > truth.load_bottom_kg + 3.0);
    rig.peg_height_m = lockout_m + 0.6;
    closed_form(&rig, &truth);
    assert_true(truth.load_bottom_kg < truth.load_lockout_kg - 3.0 && truth.load_lockout_kg < 80.0);
    assert_true(truth.load_bottom_kg < truth.load_halfway_kg &&
                truth.load_halfway_kg < truth.load_lockout_kg);
    double share = 1.0 - truth.load_bottom_kg / truth.load_lockout_kg;
    assert_true(fabs(truth.share_pct - 100.0 * share) < 1e-9);
}

static void a_set_s_loads_are_those_at_its_own_heights(void **state)
{
    (void)state;
    static struct sim_truth truth;
    struct sim_rig rig = chained();
    closed_form(&rig, &truth);
    assert_true(fabs(truth.load_bottom_kg - (80.0 + 7.6 * 0.1)) < 1e-6);
    assert_true(fabs(truth.load_halfway_kg - (80.0 + 7.6 * 0.3)) < 1e-6);
    assert_true(fabs(truth.load_lockout_kg - (80.0 + 7.6 * 0.5)) < 1e-6);
}

static void thirds_add_up_to_the_drive(void **state)
{
    (void)state;
    static struct sim_truth truth;
    struct sim_rig rig = chained();
    closed_form(&rig, &truth);
    const struct sim_rep_truth *rep = &truth.reps[0];
    double work = 0.0, impulse = 0.0;
    for (int i = 0; i < SIM_RANGES; i++) {
        const struct sim_effort *third = &rep->range_effort[i];
        double time = third->impulse_n_s / third->force_n;
        double spent = rep->mean_velocity_m_s * rep->drive_time_s / 3.0 / rep->range_velocity_m_s[i];
        assert_true(fabs(time - spent) < 1e-6);
        assert_true(fabs(third->power_w - third->work_j / time) < 1e-6);
        assert_true(i == 0 || third->load_kg > rep->range_effort[i - 1].load_kg + 0.5);
        work += third->work_j;
        impulse += third->impulse_n_s;
    }
    assert_true(fabs(work - rep->effort.work_j) < 1e-6);
    assert_true(fabs(impulse - rep->effort.impulse_n_s) < 1e-6);
    assert_true(rep->peak_force_n > rep->effort.force_n && rep->peak_power_w > rep->effort.power_w);
}

/* Bands from above that pull as much at any length, and hold all but half a newton a kilogram: the hands let
 * go at -0.5 m/s² and the free weight's rule never bites. */
static void the_hands_let_go_where_their_force_is_gone(void **state)
{
    (void)state;
    static struct sim_truth truth;
    struct sim_rig rig = straight();
    rig.bands = 1;
    rig.band_rest_m = rig.band_scale_m = 0.001;
    rig.peg_height_m = lockout_m + 0.6;
    rig.band_pull_n = 0.5 * 80.0 * (gravity - 0.5);
    closed_form(&rig, &truth);
    const struct sim_rep_truth *rep = &truth.reps[0];
    double low = 0.5, high = 0.7; /* share of the time: 60 x (1 - x) (1 - 2x) D/T² falls through -0.5 */
    for (int i = 0; i < 60; i++) {
        double x = 0.5 * (low + high),
               a = 60.0 * x * (1.0 - x) * (1.0 - 2.0 * x) * rise_m / drive_s / drive_s;
        *(a < -0.5 ? &high : &low) = x;
    }
    double x = edge_share(), expected = (place(low) - place(x)) * rise_m / ((low - x) * drive_s);
    assert_true(fabs(rep->rig_propulsive_velocity_m_s - expected) < 2e-4);
    assert_true(expected > rep->mean_velocity_m_s + 0.01);
    assert_true(rep->propulsive_velocity_m_s == rep->mean_velocity_m_s);
    struct sim_rig bar = straight();
    closed_form(&bar, &truth);
    assert_true(rep->rig_propulsive_velocity_m_s == rep->propulsive_velocity_m_s);
}

static void without_a_rig_there_are_no_loads(void **state)
{
    (void)state;
    static struct sim_truth truth;
    struct sim_rig rig = chained();
    rig.bar_kg = 0.0;
    closed_form(&rig, &truth);
    const struct sim_rep_truth *rep = &truth.reps[0];
    assert_true(isfinite(rep->mean_velocity_m_s));
    assert_true(isnan(rep->effort.load_kg) && isnan(rep->range_effort[2].work_j));
    assert_true(isnan(rep->peak_power_w) && isnan(rep->rig_propulsive_velocity_m_s));
    assert_true(isnan(truth.load_bottom_kg) && isnan(truth.share_pct));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_straight_bar_takes_its_mass_times_gravity_and_acceleration),
        cmocka_unit_test(a_chain_picked_up_asks_for_its_links_momentum),
        cmocka_unit_test(a_chain_raised_at_constant_speed_takes_the_work_of_the_textbook),
        cmocka_unit_test(chains_and_bands_hang_on_the_sides_and_in_the_strands_told),
        cmocka_unit_test(work_is_the_gain_of_energy_and_what_the_links_lose),
        cmocka_unit_test(from_rest_to_rest_a_straight_bar_s_work_is_its_weight_times_its_rise),
        cmocka_unit_test(what_bands_take_is_the_integral_of_their_pull),
        cmocka_unit_test(bands_from_above_take_load_off_the_bottom),
        cmocka_unit_test(a_set_s_loads_are_those_at_its_own_heights),
        cmocka_unit_test(thirds_add_up_to_the_drive),
        cmocka_unit_test(the_hands_let_go_where_their_force_is_gone),
        cmocka_unit_test(without_a_rig_there_are_no_loads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
