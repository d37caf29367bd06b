/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The plan is the best there is: held against trying every piece and every pair of plates one by one, with
 * weights and misses worked out here in another way.
 */
#include "gym.h"

#include "barplumb/units.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <setjmp.h>
#include <stddef.h>
/* cmocka wants the four above first */
#include <cmocka.h>

enum { GYMS = 1000, PIECES_MAX = 64 };

/* One thing to hang or leave: a pair, a one-sided piece or a pair of plates. */
struct piece {
    size_t kind;  /* its place among chains and bands; past them, its place among the plates */
    size_t count; /* pieces or plates */
    long lockout_g, bottom_g;
};

struct way {
    long miss_g, lockout_g, bottom_g;
    size_t pieces, hung[BP_PLAN_KINDS_MAX + BP_PLATES_MAX];
};

struct brute {
    const struct bp_rig *rig;
    const struct bp_plan_settings *wants;
    size_t kinds, count;
    struct piece pieces[PIECES_MAX];
    size_t heavy[BP_PLATES_MAX]; /* plates from the heaviest on */
    struct way best;
    bool any, tied; /* tied: another setup missed as little */
};

static long to_grams(double kg)
{
    return lround(kg * 1000);
}

static double chain_kg(const struct bp_chain *chain, double height_m)
{
    double strands = chain->doubled ? 2 : 1, strand_m = chain->length_m / strands;
    return strands * chain->kg_per_m.value * fmin(fmax(height_m - chain->leader_m.value, 0), strand_m);
}

/* NaN: longer than measured. Shorter: slack. */
static double band_kg(const struct bp_band *band, double height_m)
{
    const struct bp_band_point *from = &band->stretching.points[0], *to = &band->stretching.points[1];
    double folds = band->doubled ? 2 : 1, up_m = height_m - band->pegs[0].height_m;
    double share = (folds * fabs(up_m) - from->length_m) / (to->length_m - from->length_m);
    double pull_n = share > 1 ? (double)NAN : fmax(share, 0) * to->pull_n.value;
    return copysign(folds * pull_n, up_m) / BP_STANDARD_GRAVITY;
}

static void add_pieces(struct brute *brute, size_t kind, enum bp_side side, size_t owned, double bottom_kg,
                       double lockout_kg)
{
    size_t each = side == BP_SIDE_BOTH ? 2 : 1;
    bool serves = isfinite(bottom_kg) && isfinite(lockout_kg) && (bottom_kg != 0 || lockout_kg != 0);
    for (size_t n = 0; serves && n < owned / each; n++) {
        brute->pieces[brute->count++] = (struct piece){kind, each, to_grams((double)each * lockout_kg),
                                                       to_grams((double)each * bottom_kg)};
    }
}

static void list_pieces(struct brute *brute)
{
    const struct bp_rig *rig = brute->rig;
    double bottom_m = rig->bottom_m.value, lockout_m = rig->lockout_m.value;
    for (size_t i = 0; i < rig->chain_count; i++) {
        const struct bp_chain *chain = &rig->chains[i];
        add_pieces(brute, brute->kinds++, chain->side, chain->owned, chain_kg(chain, bottom_m),
                   chain_kg(chain, lockout_m));
    }
    for (size_t i = 0; i < rig->band_count; i++) {
        const struct bp_band *band = &rig->bands[i];
        add_pieces(brute, brute->kinds++, band->side, band->owned, band_kg(band, bottom_m),
                   band_kg(band, lockout_m));
    }
    for (size_t i = 0; i < rig->plate_count; i++) {
        for (size_t n = 0; n < rig->plates[i].owned / 2; n++) {
            long grams = 2 * to_grams(rig->plates[i].kg);
            brute->pieces[brute->count++] = (struct piece){brute->kinds + i, 2, grams, grams};
        }
    }
    for (size_t i = 0; i < rig->plate_count; i++) { /* heaviest first, the earlier of equals first */
        size_t at = i;
        for (; at > 0 && rig->plates[brute->heavy[at - 1]].kg < rig->plates[i].kg; at--) {
            brute->heavy[at] = brute->heavy[at - 1];
        }
        brute->heavy[at] = i;
    }
}

/* load * |change / lockout - share|. The one division comes last: a long double holds all before it exactly,
 * and half a gram is half a gram. */
static long share_miss_g(const struct bp_plan_settings *wants, long lockout_g, long bottom_g)
{
    long double share = (long double)lround(wants->share_pct * 100), lockout = (long double)lockout_g;
    long double load = 100000;
    if (!isnan(wants->lockout_kg)) {
        load = (long double)to_grams(wants->lockout_kg);
    } else if (!isnan(wants->bottom_kg)) {
        load = roundl((long double)to_grams(wants->bottom_kg) / (1 - share / 10000));
    }
    long double change = (long double)(lockout_g - bottom_g) * 10000;
    return (long)floorl(load * fabsl(change - share * lockout) / (lockout * 10000) + 0.5L);
}

static long miss_g(const struct bp_plan_settings *wants, long lockout_g, long bottom_g)
{
    long miss = isnan(wants->share_pct) ? 0 : share_miss_g(wants, lockout_g, bottom_g);
    miss += isnan(wants->lockout_kg) ? 0 : labs(lockout_g - to_grams(wants->lockout_kg));
    return miss + (isnan(wants->bottom_kg) ? 0 : labs(bottom_g - to_grams(wants->bottom_kg)));
}

static int sign(long a, long b)
{
    return (a > b) - (a < b);
}

/* Below 0: a is better. The order is that of docs/plan.md. */
static int order(const struct brute *brute, const struct way *a, const struct way *b)
{
    int by = sign(a->miss_g, b->miss_g);
    by = by != 0 ? by : sign((long)a->pieces, (long)b->pieces);
    by = by != 0 ? by : sign(a->lockout_g, b->lockout_g);
    by = by != 0 ? by : sign(a->bottom_g, b->bottom_g);
    for (size_t k = 0; by == 0 && k < brute->kinds; k++) {
        by = sign((long)a->hung[k], (long)b->hung[k]);
    }
    for (size_t i = 0; by == 0 && i < brute->rig->plate_count; i++) {
        size_t at = brute->kinds + brute->heavy[i];
        by = sign((long)b->hung[at], (long)a->hung[at]);
    }
    return by;
}

static void try_all(struct brute *brute, size_t next, struct way *way)
{
    if (next < brute->count) {
        const struct piece *piece = &brute->pieces[next];
        try_all(brute, next + 1, way);
        struct way with = *way;
        with.hung[piece->kind] += piece->count;
        with.pieces += piece->count;
        with.lockout_g += piece->lockout_g;
        with.bottom_g += piece->bottom_g;
        try_all(brute, next + 1, &with);
        return;
    }
    if (way->lockout_g <= 0 || way->bottom_g <= 0) {
        return;
    }
    way->miss_g = miss_g(brute->wants, way->lockout_g, way->bottom_g);
    int by = brute->any ? order(brute, way, &brute->best) : -1;
    bool tied = brute->any && by != 0 && way->miss_g == brute->best.miss_g;
    brute->tied = tied || (brute->tied && way->miss_g >= brute->best.miss_g);
    if (by < 0) {
        brute->best = *way;
        brute->any = true;
    }
}

static void solve(struct brute *brute, const struct bp_rig *rig, const struct bp_plan_settings *wants)
{
    memset(brute, 0, sizeof *brute);
    brute->rig = rig;
    brute->wants = wants;
    list_pieces(brute);
    struct way way = {.lockout_g = to_grams(rig->bar_kg.value), .bottom_g = to_grams(rig->bar_kg.value)};
    try_all(brute, 0, &way);
}

/* Wants what one of the setups weighs, found by chance. */
static void want_a_setup(struct bp_random *random, const struct bp_rig *rig, struct bp_plan_settings *wants)
{
    static struct brute brute;
    memset(&brute, 0, sizeof brute);
    brute.rig = rig;
    list_pieces(&brute);
    long lockout_g = to_grams(rig->bar_kg.value), bottom_g = lockout_g;
    for (size_t n = 0; n < brute.count; n++) {
        if (gym_whole(random, 0, 1) == 1) {
            lockout_g += brute.pieces[n].lockout_g;
            bottom_g += brute.pieces[n].bottom_g;
        }
    }
    if (lockout_g > 0 && bottom_g > 0) {
        wants->lockout_kg = isnan(wants->lockout_kg) ? wants->lockout_kg : (double)lockout_g / 1000;
        wants->bottom_kg = isnan(wants->bottom_kg) ? wants->bottom_kg : (double)bottom_g / 1000;
        double share_pct = 100 * (double)(lockout_g - bottom_g) / (double)lockout_g;
        wants->share_pct =
            isnan(wants->share_pct) ? wants->share_pct : fmin(share_pct, BP_PLAN_SHARE_MAX_PCT);
    }
}

static void assert_same(const struct brute *brute, const struct bp_plan *plan)
{
    assert_int_equal(to_grams(plan->miss_kg), brute->best.miss_g);
    assert_int_equal(plan->kind_count, brute->kinds);
    for (size_t k = 0; k < brute->kinds; k++) {
        assert_int_equal(plan->kinds[k].pieces, brute->best.hung[k]);
    }
    for (size_t i = 0; i < brute->rig->plate_count; i++) {
        assert_int_equal(2 * plan->plates[i].each_side, brute->best.hung[brute->kinds + i]);
    }
    /* What the rig as planned weighs is what was counted, but for half a gram a pair. */
    double lockout_kg = plan->load_kg[BP_PLAN_AT_LOCKOUT].value;
    double bottom_kg = plan->load_kg[BP_PLAN_AT_BOTTOM].value;
    assert_true(fabs(lockout_kg - (double)brute->best.lockout_g / 1000) < 0.012);
    assert_true(fabs(bottom_kg - (double)brute->best.bottom_g / 1000) < 0.012);
}

static void plan_equals_trying_everything(void **state)
{
    (void)state;
    struct bp_arena arena;
    bp_arena_init(&arena);
    size_t planned = 0, refused = 0, tied = 0, exact = 0;
    for (uint64_t gym = 0; gym < GYMS; gym++) {
        static struct brute brute;
        static struct bp_plan plan;
        struct bp_random random;
        struct bp_rig rig;
        struct bp_plan_settings wants;
        struct bp_error error;
        bool round = gym % 2 == 0;
        bp_random_init(&random, 4711, gym);
        gym_draw(&random, round, &rig);
        gym_draw_wants(&random, round, &wants);
        if (gym % 5 == 0) {
            want_a_setup(&random, &rig, &wants);
        }
        solve(&brute, &rig, &wants);
        bp_arena_reset(&arena);
        enum bp_code code = bp_plan_find(&rig, &wants, &arena, &plan, &error);
        if (code != BP_OK) { /* nothing that could hang: the brute force knows nothing but the bare bar */
            assert_int_equal(code, BP_ERR_ARGUMENT);
            bool kinds_serve = brute.count > 0 && brute.pieces[0].kind < brute.kinds;
            assert_true(brute.count == 0 || (brute.kinds > 0 && !kinds_serve));
            refused++;
            continue;
        }
        assert_true(brute.any);
        assert_same(&brute, &plan);
        planned++;
        tied += brute.tied;
        exact += brute.best.miss_g == 0;
    }
    bp_arena_free(&arena);
    print_message("planned %zu, refused %zu; ties broken %zu, hit exactly %zu\n", planned, refused, tied,
                  exact);
    assert_true(planned > 900);
    assert_true(tied > 100); /* or the order of ties was not tested */
    assert_true(exact > 50 && exact < planned / 2);
}

static void add_stock(struct bp_random *random, struct bp_rig *rig)
{
    size_t kind = gym_whole(random, 0, 3), more = gym_whole(random, 1, 4);
    if (kind == 0 && rig->plate_count > 0) {
        rig->plates[gym_whole(random, 0, rig->plate_count - 1)].owned += more;
    } else if (kind == 1 && rig->chain_count > 0) {
        rig->chains[gym_whole(random, 0, rig->chain_count - 1)].owned += more;
    } else if (kind == 2 && rig->band_count > 0) {
        rig->bands[gym_whole(random, 0, rig->band_count - 1)].owned += more;
    } else {
        gym_add_plate(rig, (double)gym_whole(random, 1, 20), 2 * more);
    }
}

static void more_stock_never_makes_a_plan_worse(void **state)
{
    (void)state;
    struct bp_arena arena;
    bp_arena_init(&arena);
    size_t better = 0;
    for (uint64_t gym = 0; gym < 300; gym++) {
        static struct bp_plan plan;
        struct bp_random random;
        struct bp_rig rig;
        struct bp_plan_settings wants;
        bp_random_init(&random, 815, gym);
        gym_draw(&random, gym % 2 == 0, &rig);
        gym_draw_wants(&random, gym % 2 == 0, &wants);
        double miss_kg = (double)INFINITY;
        for (int n = 0; n < 4; n++) {
            bp_arena_reset(&arena);
            if (bp_plan_find(&rig, &wants, &arena, &plan, NULL) == BP_OK) {
                assert_true(plan.miss_kg <= miss_kg);
                better += plan.miss_kg < miss_kg && isfinite(miss_kg);
                miss_kg = plan.miss_kg;
            } else {
                assert_true(isinf(miss_kg)); /* what could be planned still can */
            }
            add_stock(&random, &rig);
        }
    }
    bp_arena_free(&arena);
    assert_true(better > 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plan_equals_trying_everything),
        cmocka_unit_test(more_stock_never_makes_a_plan_worse),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
