/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rigs.h"

static const double g = BP_STANDARD_GRAVITY;

/* What the hands give above what bar and plates alone ask for. */
static double chain_hand(const struct bp_load *load, double accel)
{
    return load->hand_n - iron_kg * (g + accel);
}

/* Computed from λ(g h + v² + h a) apart from this library, g = 9.80665 m/s². */
static void picking_links_up_asks_for_the_textbook_force(void **state)
{
    (void)state;
    static const struct {
        double kg_per_m, h, v, a, want_n;
    } vectors[] = {{3.8, 0.40, 0.5, 0.0, 15.856108},
                   {3.8, 0.40, 0.5, 1.0, 17.376108},
                   {7.4, 0.75, 1.0, 2.0, 72.926907},
                   {2.2, 0.30, 0.25, -0.5, 6.279889},
                   {1.0, 1.0, 1.0, 0.0, 10.80665}};
    for (size_t i = 0; i < sizeof vectors / sizeof *vectors; i++) {
        struct bp_rig rig = rig_bare();
        rig_add_chain(&rig, vectors[i].kg_per_m, 2.0, 0.25);
        struct bp_load load = rig_load(&rig, 0.25 + vectors[i].h, vectors[i].v, vectors[i].a);
        assert_true(fabs(chain_hand(&load, vectors[i].a) - vectors[i].want_n) < 1e-6);
        assert_true(fabs(load.chain_n - vectors[i].kg_per_m * vectors[i].h * g) < 1e-9);
    }
}

static void letting_links_down_asks_for_no_speed_term(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 3.8, 2.0, 0.25);
    struct bp_load up = rig_load(&rig, 0.65, 0.5, 0.3), down = rig_load(&rig, 0.65, -0.5, 0.3);
    assert_true(fabs(chain_hand(&down, 0.3) - 3.8 * 0.40 * (g + 0.3)) < 1e-9);
    assert_true(fabs(up.hand_n - down.hand_n - 0.95) < 1e-9); /* λ v² = 3.8 · 0.25 N */
    assert_true(fabs(up.weight_n - down.weight_n) < 1e-12);
}

/* A chain alone, drawn up from its pile by a force that stays the same: v² = F/λ − 2gh/3 and so a = −g/3,
 * what d(λhv)/dt = F − λgh comes to (Cayley 1857's third of g; from memory, and by putting it in). Here F is
 * 60 N on 4 kg/m. */
static void constant_force_draws_a_chain_up_at_the_known_speed(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 4.0, 3.0, 0.0);
    for (double h = 0.05; h < 2.2; h += 0.05) {
        double v = sqrt(60.0 / 4.0 - 2.0 * g * h / 3.0), a = -g / 3.0;
        struct bp_load load = rig_load(&rig, h, v, a);
        assert_true(fabs(chain_hand(&load, a) - 60.0) < 1e-9);
    }
}

/* At constant v over L: λ(g L²/2 + v² L), of which λ L v²/2 is lost in picking the links up (Carnot). */
static void work_at_constant_speed_is_height_motion_and_loss(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 3.8, 1.0, 0.0);
    struct bp_load_model *model = rig_ready(&rig);
    enum { STEPS = 100000 };
    double work = 0.0;
    for (int i = 0; i < STEPS; i++) {
        struct bp_load load = model_load(model, (i + 0.5) / STEPS, 0.5, 0.0);
        work += chain_hand(&load, 0.0) / STEPS;
    }
    bp_load_free(model);
    double potential = 3.8 * g / 2.0, kinetic = 3.8 * 0.25 / 2.0, loss = kinetic;
    assert_true(fabs(work - 19.582635) < 1e-6);
    assert_true(fabs(work - potential - kinetic - loss) < 1e-6);
}

static void chain_clear_of_the_floor_is_dead_weight_both_ways(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 5.0, 0.6, 0.3);
    for (int way = -1; way <= 1; way++) {
        struct bp_load load = rig_load(&rig, 1.4, way * 0.8, 1.5);
        assert_true(fabs(load.hand_n - (iron_kg + 3.0) * (g + 1.5)) < 1e-9);
        assert_true(fabs(load.moving_kg - 103.0) < 1e-12);
        assert_true(fabs(load.let_go_m_s2 + g) < 1e-12);
    }
}

static void chain_on_the_floor_adds_nothing(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 5.0, 0.6, 0.3);
    struct bp_load load = rig_load(&rig, 0.29, 0.8, 1.5);
    assert_true(fabs(load.hand_n - iron_kg * (g + 1.5)) < 1e-9);
    assert_true(load.chain_n <= 0.0 && fabs(load.moving_kg - iron_kg) < 1e-12);
}

static void without_chain_it_is_a_free_weight(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    for (int n = 0; n < 2; n++) { /* none, and one kind of which no piece hangs */
        struct bp_load_model *model = rig_ready(&rig);
        struct bp_load load = model_load(model, 0.7, 1.0, 2.0);
        assert_true(fabs(load.hand_n - iron_kg * (g + 2.0)) < 1e-9);
        assert_true(fabs(load.weight_n - iron_kg * g) < 1e-9);
        assert_true(fabs(load.let_go_m_s2 + g) < 1e-15 && fabs(load.uneven_n) < 1e-15);
        assert_false(bp_load_varies(model));
        bp_load_free(model);
        rig_add_chain(&rig, 5.0, 1.0, 0.1)->pieces = 0;
    }
}

/* A little chain is a little more than none: no jump at Λ = 0. */
static void load_grows_in_proportion_from_no_chain_at_all(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_chain *chain = rig_add_chain(&rig, 1e-6, 1.0, 0.1);
    struct bp_load little = rig_load(&rig, 0.7, 1.0, 2.0);
    chain->kg_per_m.value = 2e-6;
    struct bp_load twice = rig_load(&rig, 0.7, 1.0, 2.0);
    assert_true(chain_hand(&little, 2.0) > 0.0);
    assert_true(fabs(chain_hand(&twice, 2.0) / chain_hand(&little, 2.0) - 2.0) < 1e-5);
}

/* The weight has no jump anywhere; the hands' force jumps by λ v² where links start and stop being picked up.
 */
static void weight_is_continuous_and_the_speed_term_starts_and_stops(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 5.0, 0.6, 0.3);
    const double touching = 0.3, clear = 0.9, near = 1e-7, jump = 5.0 * 0.25;
    const double places[] = {touching, clear};
    for (int n = 0; n < 2; n++) {
        struct bp_load below = rig_load(&rig, places[n] - near, 0.5, 0.0);
        struct bp_load above = rig_load(&rig, places[n] + near, 0.5, 0.0);
        assert_true(fabs(above.weight_n - below.weight_n) < 1e-4);
        double want = n == 0 ? jump : -jump;
        assert_true(fabs(above.hand_n - below.hand_n - want) < 1e-4);
    }
}

enum { LINKS = 2000, SUBSTEPS = 4000, WINDOWS = 10 };

/* Height of a bar that goes from 0.1 m to 0.9 m in a second (minimum jerk), and the same backward. */
static void lift_at(double t, int way, double *h, double *v, double *a)
{
    double path = t * t * t * (10.0 + t * (-15.0 + 6.0 * t));
    *h = way > 0 ? 0.1 + 0.8 * path : 0.9 - 0.8 * path;
    *v = way * 0.8 * 30.0 * t * t * (1.0 - t) * (1.0 - t);
    *a = way * 0.8 * 60.0 * t * (1.0 - t) * (1.0 - 2.0 * t);
}

/* Of a chain of rigid links the bar has so many in the air at that height. */
static double links_up(double height_m)
{
    return fmin(ceil(height_m * LINKS), LINKS);
}

/* Newton for every link of a chain of 2,000 rigid ones: hands' impulse = change of momentum + weight in the
 * air − what the floor gives to the links it stops. Each window must hold to two links' momentum; the λ v² of
 * a window at mid-lift is that of some 300 links. */
static void rigid_links_change_momentum_by_the_impulse(int way)
{
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 4.0, 1.0, 0.0);
    struct bp_load_model *model = rig_ready(&rig);
    const double link_kg = 4.0 / LINKS, dt = 1.0 / (WINDOWS * (double)SUBSTEPS);
    double h, v, a;
    for (int window = 0; window < WINDOWS; window++) {
        double hands = 0.0, want = 0.0;
        for (int i = 0; i < SUBSTEPS; i++) {
            double t = (window * (double)SUBSTEPS + i) * dt, h_next, v_next, a_next;
            lift_at(t, way, &h, &v, &a);
            lift_at(t + dt, way, &h_next, &v_next, &a_next);
            double now = links_up(h), next = links_up(h_next);
            want += link_kg * (next * v_next - now * v);            /* change of momentum */
            want += link_kg * now * g * dt;                         /* weight */
            want -= next < now ? link_kg * (now - next) * -v : 0.0; /* the floor's push on landing links */
            lift_at(t + 0.5 * dt, way, &h, &v, &a);
            struct bp_load load = model_load(model, h, v, a);
            hands += chain_hand(&load, a) * dt;
        }
        assert_true(fabs(hands - want) < 2.0 * link_kg * 1.5 + 0.5 * link_kg * g * 0.1);
    }
    bp_load_free(model);
}

static void momentum_of_rigid_links_going_up(void **state)
{
    (void)state;
    rigid_links_change_momentum_by_the_impulse(1);
}

static void momentum_of_rigid_links_going_down(void **state)
{
    (void)state;
    rigid_links_change_momentum_by_the_impulse(-1);
}

static void doubled_chain_is_two_strands_of_half_the_length(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_chain *chain = rig_add_chain(&rig, 3.0, 1.6, 0.2);
    chain->doubled = true;
    chain->pieces = 2;
    chain->side = BP_SIDE_BOTH;
    /* Four pieces, eight strands: 24 kg/m until 0.8 m hang, then all 19.2 kg of chain. */
    struct bp_load part = rig_load(&rig, 0.6, 0.5, 0.0), all = rig_load(&rig, 1.3, 0.5, 0.0);
    assert_true(fabs(part.chain_n - 24.0 * 0.4 * g) < 1e-9);
    assert_true(fabs(part.hand_n - part.weight_n - 24.0 * 0.25) < 1e-9);
    assert_true(fabs(all.chain_n - 19.2 * g) < 1e-9);
    assert_true(fabs(part.uneven_n) < 1e-12);
}

static void chain_on_one_end_pulls_that_end(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_chain *chain = rig_add_chain(&rig, 3.0, 1.6, 0.2);
    struct bp_load left = rig_load(&rig, 0.6, 0.5, 1.0);
    double pull = 3.0 * (0.4 * (g + 1.0) + 0.25);
    assert_true(fabs(left.uneven_n + pull) < 1e-9);
    assert_true(fabs(chain_hand(&left, 1.0) - pull) < 1e-9);
    chain->side = BP_SIDE_RIGHT;
    struct bp_load right = rig_load(&rig, 0.6, 0.5, 1.0);
    assert_true(fabs(right.uneven_n - pull) < 1e-9 && fabs(right.hand_n - left.hand_n) < 1e-12);
    chain->side = BP_SIDE_BOTH;
    struct bp_load both = rig_load(&rig, 0.6, 0.5, 1.0);
    assert_true(fabs(both.uneven_n) < 1e-12 && fabs(both.chain_n - 2.0 * left.chain_n) < 1e-12);
    assert_true(fabs(both.aside_n[0]) + fabs(both.aside_n[1]) < 1e-15); /* chains hang straight down */
}

/* Fact of the trade (common practice, no source): a chain makes the bar heavier all the way up. */
static void chain_load_grows_on_the_way_up(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 3.8, 1.0, 0.3);
    double before = rig_load(&rig, 0.3, 0.0, 0.0).weight_n;
    for (double h = 0.31; h < 1.3; h += 0.01) {
        double now = rig_load(&rig, h, 0.0, 0.0).weight_n;
        assert_true(now > before);
        before = now;
    }
}

static void hands_give_nothing_at_the_let_go_acceleration(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 8.0, 2.0, 0.1)->side = BP_SIDE_BOTH;
    const double speeds[] = {-1.0, 0.0, 1.0};
    for (int n = 0; n < 3; n++) {
        double let_go = rig_load(&rig, 0.8, speeds[n], 0.0).let_go_m_s2;
        struct bp_load load = rig_load(&rig, 0.8, speeds[n], let_go);
        assert_true(fabs(load.hand_n) < 1e-9);
        assert_true(fabs(load.let_go_m_s2 - let_go) < 1e-12); /* it does not hang on the acceleration */
        /* Chain in the air falls along with the bar: only picking up adds to g. */
        double pickup = speeds[n] > 0.0 ? 16.0 / (iron_kg + 16.0 * 0.7) : 0.0;
        assert_true(fabs(let_go + g + pickup) < 1e-12);
    }
}

/* Essentials of Strength Training and Conditioning, 4th ed., ch. 16: 5RM 120 kg, chain 0 kg at the bottom and
 * 11.1 kg at the top: half of it, 5.55 kg, comes off the bar, which leaves 114.45 kg. */
static void mean_chain_load_is_the_published_deduction(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 11.1 / 0.4, 1.0, 0.3);
    struct bp_load_model *model = rig_ready(&rig);
    enum { STEPS = 1000 };
    double mean_kg = 0.0;
    for (int i = 0; i < STEPS; i++) {
        mean_kg += model_load(model, 0.3 + 0.4 * (i + 0.5) / STEPS, 0.0, 0.0).chain_n / g / STEPS;
    }
    assert_true(fabs(model_load(model, 0.7, 0.0, 0.0).chain_n / g - 11.1) < 1e-9);
    assert_true(fabs(120.0 - mean_kg - 114.45) < 1e-9);
    bp_load_free(model);
}

static void load_is_unknown_where_the_motion_is(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 3.0, 1.0, 0.3);
    const double nan = (double)NAN;
    struct bp_load loads[] = {rig_load(&rig, nan, 0.0, 0.0), rig_load(&rig, 0.5, nan, 0.0),
                              rig_load(&rig, 0.5, 0.0, (double)INFINITY)};
    for (size_t n = 0; n < 3; n++) {
        assert_true(isnan(loads[n].weight_n) && isnan(loads[n].hand_n) && isnan(loads[n].moving_kg));
        assert_true(isnan(loads[n].let_go_m_s2) && isnan(loads[n].aside_n[0]) && isnan(loads[n].aside_n[1]));
        assert_true(isnan(loads[n].chain_n) && isnan(loads[n].band_n) && isnan(loads[n].uneven_n));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(picking_links_up_asks_for_the_textbook_force),
        cmocka_unit_test(letting_links_down_asks_for_no_speed_term),
        cmocka_unit_test(constant_force_draws_a_chain_up_at_the_known_speed),
        cmocka_unit_test(work_at_constant_speed_is_height_motion_and_loss),
        cmocka_unit_test(chain_clear_of_the_floor_is_dead_weight_both_ways),
        cmocka_unit_test(chain_on_the_floor_adds_nothing),
        cmocka_unit_test(without_chain_it_is_a_free_weight),
        cmocka_unit_test(load_grows_in_proportion_from_no_chain_at_all),
        cmocka_unit_test(weight_is_continuous_and_the_speed_term_starts_and_stops),
        cmocka_unit_test(momentum_of_rigid_links_going_up),
        cmocka_unit_test(momentum_of_rigid_links_going_down),
        cmocka_unit_test(doubled_chain_is_two_strands_of_half_the_length),
        cmocka_unit_test(chain_on_one_end_pulls_that_end),
        cmocka_unit_test(chain_load_grows_on_the_way_up),
        cmocka_unit_test(hands_give_nothing_at_the_let_go_acceleration),
        cmocka_unit_test(mean_chain_load_is_the_published_deduction),
        cmocka_unit_test(load_is_unknown_where_the_motion_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
