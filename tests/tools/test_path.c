/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"
#include "simulate/path.h"

#include "barplumb/units.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

static const struct sim_piece pieces[] = {
    {.kind = SIM_MIN_JERK, .from_s = 0.3, .length_s = 1.2, .size = 0.4},
    {.kind = SIM_STROKE, .from_s = 0.1, .length_s = 1.5, .size = -0.6, .rise_s = 0.4, .fall_s = 0.7},
    {.kind = SIM_STROKE, .from_s = 0.7, .length_s = 0.9, .size = 0.5, .rise_s = 0.45, .fall_s = 0.45},
    {.kind = SIM_WAVE,
     .from_s = 0.2,
     .length_s = 2.2,
     .size = 0.01,
     .rise_s = 0.3,
     .fall_s = 0.5,
     .omega = 18.0,
     .phase = 0.7},
    {.kind = SIM_WAVE,
     .from_s = 1.0,
     .length_s = 1.0,
     .size = 0.03,
     .rise_s = 0.5,
     .fall_s = 0.5,
     .phase = 0.5 * BP_PI},
};
enum { PIECES = sizeof pieces / sizeof *pieces };

static const double end_s = 3.0;

static void add_all(struct sim_path *path)
{
    sim_path_init(path);
    path->start = 0.25;
    for (size_t i = 0; i < PIECES; i++) {
        sim_path_add(path, &pieces[i]);
    }
}

/* Simpson's rule over [a, b] of rate (which 1) or accel (which 2). */
static double integral(const struct sim_path *path, int which, double a, double b)
{
    enum { STEPS = 6000 };
    double h = (b - a) / STEPS, sum = 0.0;
    for (int i = 0; i <= STEPS; i++) {
        struct sim_jet jet = sim_path_at(path, a + (double)i * h);
        double weight = i == 0 || i == STEPS ? 1.0 : i % 2 ? 4.0 : 2.0;
        sum += weight * (which == 1 ? jet.rate : jet.accel);
    }
    return sum * h / 3.0;
}

/* Flash & Hogan 1985, J Neurosci 5:1688-1703: x = D (10 τ³ - 15 τ⁴ + 6 τ⁵); peak speed 1.875 D/T at T/2, peak
 * acceleration 10/√3 D/T² at τ = 1/2 - √3/6 (formula from memory, figures computed from it). */
static void minimum_jerk_piece_has_the_published_speeds_and_accelerations(void **state)
{
    (void)state;
    const struct sim_piece piece = {.kind = SIM_MIN_JERK, .length_s = 1.2, .size = 0.4};
    assert_true(fabs(sim_piece_at(&piece, 0.6).rate - 0.625) < 1e-12);
    assert_true(fabs(sim_piece_at(&piece, 0.3).rate - 0.3515625) < 1e-12);
    double early = (0.5 - sqrt(3.0) / 6.0) * 1.2;
    assert_true(fabs(early - 0.253590) < 1e-6);
    assert_true(fabs(sim_piece_at(&piece, early).accel - 1.603751) < 1e-6);
    assert_true(fabs(sim_piece_at(&piece, 1.2 - early).accel + 1.603751) < 1e-6);
    assert_true(sim_piece_at(&piece, 1.3).value == 0.4);
}

static void acceleration_integrates_to_speed_and_speed_to_place(void **state)
{
    (void)state;
    struct sim_path path;
    add_all(&path);
    for (int i = 1; i <= 24; i++) {
        double t = end_s * (double)i / 24.0;
        struct sim_jet jet = sim_path_at(&path, t);
        assert_true(fabs(integral(&path, 2, 0.0, t) - jet.rate) < 1e-6);
        assert_true(fabs(path.start + integral(&path, 1, 0.0, t) - jet.value) < 1e-6);
    }
    sim_path_free(&path);
}

static void pieces_begin_at_nought_and_end_where_they_say(void **state)
{
    (void)state;
    for (size_t i = 0; i < PIECES; i++) {
        double end = pieces[i].kind == SIM_WAVE ? 0.0 : pieces[i].size, at = pieces[i].from_s;
        assert_true(fabs(sim_piece_at(&pieces[i], at + 1e-4).value) < 1e-6);
        assert_true(fabs(sim_piece_at(&pieces[i], at + pieces[i].length_s - 1e-4).value - end) < 1e-6);
        assert_true(sim_piece_at(&pieces[i], at - 1.0).value == 0.0);
        assert_true(sim_piece_at(&pieces[i], at + pieces[i].length_s + 1.0).value == end);
        assert_true(sim_piece_at(&pieces[i], at + pieces[i].length_s + 1.0).rate == 0.0);
    }
}

/* Stroke: with rise and fall fractions r and f, top speed is size / (length (1 - (r + f) / 2)). */
static void stroke_stands_at_its_top_speed_between_rise_and_fall(void **state)
{
    (void)state;
    const struct sim_piece stroke = {
        .kind = SIM_STROKE, .length_s = 2.0, .size = 0.9, .rise_s = 0.5, .fall_s = 0.7};
    double speed = 0.9 / (2.0 - 0.6);
    assert_true(fabs(sim_piece_at(&stroke, 0.5).rate - speed) < 1e-12);
    assert_true(fabs(sim_piece_at(&stroke, 1.29).rate - speed) < 1e-12);
    assert_true(sim_piece_at(&stroke, 1.0).accel == 0.0);
    assert_true(fabs(sim_piece_at(&stroke, 0.25).rate - 0.5 * speed) < 1e-12);
}

static void sealed_path_gives_the_values_of_the_open_one(void **state)
{
    (void)state;
    struct sim_path open, sealed;
    add_all(&open);
    add_all(&sealed);
    assert_true(sim_path_seal(&sealed, end_s));
    for (int i = -20; i <= 400; i++) {
        double t = 0.01 * (double)i;
        struct sim_jet a = sim_path_at(&open, t), b = sim_path_at(&sealed, t);
        assert_true(fabs(a.value - b.value) < 1e-14 && fabs(a.rate - b.rate) < 1e-13 &&
                    fabs(a.accel - b.accel) < 1e-12);
    }
    sim_path_free(&open);
    sim_path_free(&sealed);
}

static void path_says_when_memory_ran_out(void **state)
{
    (void)state;
    struct sim_path path;
    sim_path_init(&path);
    failing_alloc_arm(0);
    sim_path_add(&path, &pieces[0]);
    assert_true(failing_alloc_disarm());
    assert_true(path.failed);
    assert_false(sim_path_seal(&path, end_s));
    sim_path_free(&path);
    for (size_t n = 0; n < 3; n++) {
        add_all(&path);
        failing_alloc_arm(n);
        assert_false(sim_path_seal(&path, end_s));
        assert_true(failing_alloc_disarm());
        sim_path_free(&path);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(minimum_jerk_piece_has_the_published_speeds_and_accelerations),
        cmocka_unit_test(acceleration_integrates_to_speed_and_speed_to_place),
        cmocka_unit_test(pieces_begin_at_nought_and_end_where_they_say),
        cmocka_unit_test(stroke_stands_at_its_top_speed_between_rise_and_fall),
        cmocka_unit_test(sealed_path_gives_the_values_of_the_open_one),
        cmocka_unit_test(path_says_when_memory_ran_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
