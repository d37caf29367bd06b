/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Intervals of reported figures against published facts of the lifts. A rep is made whose drive has the
 * published figures exactly; phones with other biases, gains, noises and rolls log it; of those TRIALS logs
 * about 95 % are to give an interval that holds the published figure. With a true share of 0.95 fewer than
 * ENOUGH of 24 would happen once in 170 (binomial).
 */
#include "motion/bar.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include "barplumb/analyse.h"
#include "barplumb/ranges.h"

#include <math.h>

enum { TRIALS = 24, ENOUGH = 20, NODES_MAX = 6 };
/* Best laboratory agreement for mean velocity is about 0.03 m/s (Thompson et al. 2020, Sports 8(7):94); an
 * interval that is usually wider than twice that to either side tells a coach nothing. */
static const double HALF_WIDTH_MOST = 0.06;

/* Speed that goes from node to node on half a cosine: every node between two lower or two higher ones is an
 * extreme, and height and acceleration are closed forms. */
struct profile {
    size_t count;
    struct {
        double at_s, speed;
    } node[NODES_MAX];
};

/* Height, speed and acceleration t after the drive's first moment. */
static void profile_at(const struct profile *p, double t, double out[3])
{
    double h = 0;
    out[1] = out[2] = 0;
    for (size_t k = 0; k + 1 < p->count; k++) {
        double length = p->node[k + 1].at_s - p->node[k].at_s, from = p->node[k].speed;
        double change = p->node[k + 1].speed - from;
        double x = fmin(fmax((t - p->node[k].at_s) / length, 0), 1);
        h += length * (from * x + change / 2 * (x - sin(BP_PI * x) / BP_PI));
        if (t >= p->node[k].at_s && t < p->node[k + 1].at_s) {
            out[1] = from + change / 2 * (1 - cos(BP_PI * x));
            out[2] = change / 2 * BP_PI / length * sin(BP_PI * x);
        }
    }
    out[0] = h;
}

static double profile_length(const struct profile *p)
{
    return p->node[p->count - 1].at_s;
}

/* What the definitions make of a profile, on a grid of 0.1 ms. */
struct facts {
    double start_s, end_s, mean, peak, range;
    double propulsive, propulsive_share; /* to the first moment under -g, of the time between the edges */
};

static struct facts facts_of(const struct profile *p)
{
    const double dt = 1e-4;
    struct facts f = {.start_s = -1};
    double length = profile_length(p), now[3], start_m = 0, let_go_s = -1, let_go_m = 0, end_m = 0;
    profile_at(p, length, now);
    f.range = now[0];
    for (double t = 0; t < length; t += dt) {
        profile_at(p, t, now);
        f.peak = fmax(f.peak, now[1]);
        if (f.start_s < 0 && now[1] > BP_EDGE_SPEED_M_S) {
            f.start_s = t;
            start_m = now[0];
        }
        if (let_go_s < 0 && now[2] < -BP_STANDARD_GRAVITY) {
            let_go_s = t;
            let_go_m = now[0];
        }
        if (now[1] > BP_EDGE_SPEED_M_S) {
            f.end_s = t;
            end_m = now[0];
        }
    }
    if (let_go_s < 0) {
        let_go_s = f.end_s;
        let_go_m = end_m;
    }
    f.mean = (end_m - start_m) / (f.end_s - f.start_s);
    f.propulsive = (let_go_m - start_m) / (let_go_s - f.start_s);
    f.propulsive_share = (let_go_s - f.start_s) / (f.end_s - f.start_s);
    return f;
}

struct trial {
    struct bp_arena arena;
    struct bp_summary summary;
    struct bp_error error;
    double drive_s; /* when the drive was made to begin */
};

static struct bar bar;

static void add_drive(const struct profile *p, double from_s)
{
    for (size_t i = 0; i < bar.trace.count; i++) {
        double now[3];
        profile_at(p, bar.time_s[i] - from_s, now);
        bar.height_m[i] += now[0];
        bar.speed_m_s[i] += now[1];
        bar.accel_m_s2[i] += now[2];
        for (int a = 0; a < 3; a++) {
            bar.force[a][i] += now[2] * bar.up[a][i];
        }
    }
}

/* One rep from the rack and back, as phone number n logs it; even ones have a gyroscope. */
static void log_rep(const struct profile *p, const struct facts *f, uint64_t n, double *drive_s)
{
    double drawn[8], length = profile_length(p);
    const double unrack = 0.07, descent = 1.4, pause = 0.6, hold = 0.8;
    struct bar_plan plan = bar_plan_plain;
    signal_noise(drawn, 8, 900 + n); /* white, sd 1 */
    plan.uneven = 0.2;
    plan.force_noise = 0.015;
    plan.turn_noise = 0.0012;
    plan.gyroscope = n % 2 == 0;
    for (int a = 0; a < 3; a++) {
        plan.force_bias[a] = 0.1 * drawn[a];
        plan.turn_bias[a] = 0.01 * drawn[3 + a];
        plan.mount[a] = 0.3 * (double)((n >> a) % 3);
    }
    plan.roll_rad = 4 * BP_DEGREE * drawn[6];
    plan.roll_hz = 0.3;
    *drive_s = 3 + 0.9 + 0.8 + descent + pause;
    plan.stroke_count = 3;
    plan.strokes[0] = (struct bar_stroke){3, 0.9, unrack};
    plan.strokes[1] = (struct bar_stroke){3 + 0.9 + 0.8, descent, unrack - f->range};
    plan.strokes[2] =
        (struct bar_stroke){*drive_s + length + hold, 0.9, -f->range}; /* the drive comes on top */
    plan.moves_to_s = *drive_s + length + hold + 0.9;
    plan.duration_s = plan.moves_to_s + 3;
    bar_make(&bar, &plan);
    for (size_t a = 0; a < 3; a++) { /* the plan's own noise is the same for all */
        bar_add_noise(bar.force[a], bar.trace.count, 0.015, 1000 + 3 * n + a);
    }
    add_drive(p, *drive_s);
    for (size_t i = 0; i < bar.trace.count; i++) {
        for (int a = 0; a < 3; a++) {
            bar.force[a][i] *= 1 + 0.0075 * drawn[7]; /* the gain of phone parts, 0.5-1 % (data sheets) */
        }
    }
    bar.trace.recognised.rows = bar.trace.count;
    bar.trace.recognised.declared_rate_hz = (double)NAN;
}

static void analyse(const struct profile *p, const struct facts *f, enum bp_lift lift, uint64_t n,
                    struct trial *trial)
{
    struct bp_analyse_settings settings = bp_analyse_defaults;
    settings.lift = lift;
    settings.lift_given = true;
    settings.along_axis = -1;
    log_rep(p, f, n, &trial->drive_s);
    if (bp_analyse_trace(&bar.trace, &settings, &trial->arena, &trial->summary, &trial->error) != BP_OK) {
        fail_msg("trial %d: %s", (int)n, trial->error.text);
    }
    assert_int_equal(trial->summary.set.reps, 1);
    assert_int_equal(trial->summary.rep_count, 1);
}

/* Over the trials: how many intervals held the figure, and how wide they were. */
struct tally {
    const char *name;
    double truth;
    int held, known;
    double width[2], rms; /* mean half-width alone and with gyroscope */
};

static void count(struct tally *tally, bool gyroscope, struct bp_quantity q)
{

    tally->known += bp_quantity_known(q) && isfinite(q.low) && isfinite(q.high);
    tally->held += q.low <= tally->truth && tally->truth <= q.high;
    tally->width[gyroscope] += (q.high - q.low) / TRIALS; /* half of the trials have one */
    tally->rms += (q.value - tally->truth) * (q.value - tally->truth) / TRIALS;
}

static void hold(const struct tally *tally)
{
    print_message("%-18s %.4f: in %d of %d intervals, off by %.4f rms, usually ±%.4f, alone ±%.4f\n",
                  tally->name, tally->truth, tally->held, tally->known, sqrt(tally->rms), tally->width[1],
                  tally->width[0]);
    assert_int_equal(tally->known, TRIALS);
    assert_true(tally->held >= ENOUGH);
}

static void analyse_next(const struct profile *p, const struct facts *f, enum bp_lift lift, uint64_t n,
                         struct trial *trial)
{
    bp_arena_free(&trial->arena);
    bp_arena_init(&trial->arena);
    analyse(p, f, lift, n, trial);
}

/* A bench press of one repetition's maximum: mean velocity 0.16 m/s (González-Badillo & Sánchez-Medina 2010,
 * Int J Sports Med 31:347-52), the sticking region begins 0.2 s after the start and lasts 0.9 s (van den
 * Tillaar & Ettema 2010, J Sports Sci 28(5):529-35), no braking phase (Martínez-Cava et al. 2019, J Sports
 * Sci Med 18:645-52). Its speeds and range are invented: no table of them is public. */
static void maximal_bench_press_reports_the_published_sticking_region(void **state)
{
    (void)state;
    const double rise_s = 0.27796, start_s = 0.07796, before = 0.22, low = 0.07;
    const struct profile p = {
        5,
        {{0, 0}, {rise_s, before}, {start_s + 0.2 + 0.9, low}, {start_s + 2.0, 0.27}, {start_s + 2.636, 0}}};
    struct facts f = facts_of(&p);
    struct trial trial = {.drive_s = 0};
    struct tally mean = {.name = "mean velocity", .truth = f.mean};
    struct tally peak_before = {.name = "peak before", .truth = before},
                 lowest = {.name = "low", .truth = low};
    struct tally range = {.name = "range", .truth = f.range};
    assert_true(fabs(f.mean - 0.16) < 0.002 && fabs(f.start_s - start_s) < 1e-3);
    for (uint64_t n = 0; n < TRIALS; n++) {
        analyse_next(&p, &f, BP_BENCH, n, &trial);
        const struct bp_rep_figures *rep = &trial.summary.reps[0];
        assert_true(rep->sticking.present);
        assert_true(fabs(rep->sticking.start_s - rep->drive_start_s - 0.2) < 0.1);
        assert_true(fabs(rep->sticking.end_s - rep->sticking.start_s - 0.9) < 0.15);
        assert_true(rep->propulsive_velocity_m_s.value == rep->mean_velocity_m_s.value);
        count(&mean, trial.summary.log.gyroscope, rep->mean_velocity_m_s);
        count(&peak_before, trial.summary.log.gyroscope, rep->sticking.peak_before_m_s);
        count(&lowest, trial.summary.log.gyroscope, rep->sticking.low_m_s);
        count(&range, trial.summary.log.gyroscope, rep->range_m);
    }
    bp_arena_free(&trial.arena);
    hold(&mean);
    hold(&peak_before);
    hold(&lowest);
    hold(&range);
    assert_true(fmax(mean.width[0], mean.width[1]) < HALF_WIDTH_MOST);
}

/* Newton in van den Tillaar & Ettema 2009, MSSE 41(11):2056-63: no sticking region at light loads. */
static void light_bench_press_reports_no_sticking_region(void **state)
{
    (void)state;
    const struct profile p = {3, {{0, 0}, {0.35, 1.3}, {0.65, 0}}};
    struct facts f = facts_of(&p);
    struct trial trial = {.drive_s = 0};
    struct tally mean = {.name = "mean velocity", .truth = f.mean}, peak = {.name = "peak", .truth = f.peak};
    for (uint64_t n = 0; n < TRIALS; n++) {
        analyse_next(&p, &f, BP_BENCH, n, &trial);
        const struct bp_rep_figures *rep = &trial.summary.reps[0];
        assert_false(rep->sticking.present);
        assert_true(rep->propulsive_velocity_m_s.value >= rep->mean_velocity_m_s.value - 1e-12);
        count(&mean, trial.summary.log.gyroscope, rep->mean_velocity_m_s);
        count(&peak, trial.summary.log.gyroscope, rep->peak_velocity_m_s);
    }
    bp_arena_free(&trial.arena);
    hold(&mean);
    hold(&peak);
    assert_true(fmax(mean.width[0], mean.width[1]) < HALF_WIDTH_MOST);
}

/* A squat with 40 % of the maximum: 82 % of the drive's time is propulsive (Sánchez-Medina, Pallarés, Pérez,
 * Morán-Navarro & González-Badillo 2017, Sports Med Int Open 1:E80-8), and the mean velocity about 1.31 m/s
 * (their equation, from memory). The propulsive mean is above the mean. */
static void light_squat_reports_the_published_propulsive_phase(void **state)
{
    (void)state;
    const struct profile p = {3, {{0, 0}, {0.4, 2.4}, {0.5, 0}}};
    struct facts f = facts_of(&p);
    struct trial trial = {.drive_s = 0};
    struct tally mean = {.name = "mean velocity", .truth = f.mean};
    struct tally propulsive = {.name = "propulsive", .truth = f.propulsive};
    assert_true(fabs(f.propulsive_share - 0.82) < 0.005 && fabs(f.mean - 1.31) < 0.01);
    for (uint64_t n = 0; n < TRIALS; n++) {
        analyse_next(&p, &f, BP_SQUAT, n, &trial);
        const struct bp_rep_figures *rep = &trial.summary.reps[0];
        assert_true(rep->propulsive_velocity_m_s.value >= rep->mean_velocity_m_s.value - 1e-12);
        count(&mean, trial.summary.log.gyroscope, rep->mean_velocity_m_s);
        count(&propulsive, trial.summary.log.gyroscope, rep->propulsive_velocity_m_s);
    }
    bp_arena_free(&trial.arena);
    hold(&mean);
    hold(&propulsive);
    assert_true(fmax(mean.width[0], mean.width[1]) < HALF_WIDTH_MOST);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(maximal_bench_press_reports_the_published_sticking_region),
        cmocka_unit_test(light_bench_press_reports_no_sticking_region),
        cmocka_unit_test(light_squat_reports_the_published_propulsive_phase),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
