/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a rig file says is what the rig holds.
 */
#include "barplumb/rig.h"

#include "rig/support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#define G 9.80665

static void rig_straight_is_a_mass_and_nothing_else(void **state)
{
    struct rig_read *read = *state;
    memset(&read->rig, 0xA5, sizeof read->rig);
    bp_rig_straight(102.5, 0.25, &read->rig);
    support_near(read->rig.bar_kg.value, 102.5, 0.0);
    support_near(read->rig.bar_kg.sd, 0.25, 0.0);
    support_near(read->rig.plates_kg.value, 0.0, 0.0);
    assert_true(isnan(read->rig.bottom_m.value));
    assert_true(isnan(read->rig.lockout_m.value));
    assert_int_equal(read->rig.chain_count + read->rig.band_count + read->rig.plate_count, 0);
    assert_string_equal(read->rig.name, "");
}

static void rig_reads_bench_with_chains(void **state)
{
    struct rig_read *read = *state;
    support_fixture(read, "bench-chains.ini");
    const struct bp_rig *rig = &read->rig;
    assert_string_equal(rig->name, "bench, chains");
    assert_int_equal(rig->matched, BP_MATCHED_BOTTOM);
    support_near(rig->bar_kg.value, 25.0, 0.0);
    support_near(rig->bar_kg.sd * 1.96, 0.1, 1e-15);
    support_near(rig->plates_kg.value, 80.0, 0.0);
    support_near(rig->plates_kg.sd * 1.96, 0.4, 1e-15); /* four plates off together */
    support_near(rig->bottom_m.value, 0.72, 0.0);
    support_near(rig->bottom_m.sd * 1.96, 0.02, 1e-15);
    support_near(rig->lockout_m.value, 1.1, 0.0);
    assert_int_equal(rig->chain_count, 1);
    const struct bp_chain *chain = &rig->chains[0];
    assert_string_equal(chain->name, "13 mm");
    support_near(chain->kg_per_m.value, 3.8, 0.0);
    support_near(chain->kg_per_m.sd * 1.96, 0.1, 1e-15);
    support_near(chain->length_m, 1.8, 0.0);
    support_near(chain->leader_m.value, 0.65, 0.0);
    support_near(chain->leader_m.sd * 1.96, 0.01, 1e-15);
    assert_false(chain->doubled);
    assert_int_equal(chain->pieces, 1);
    assert_int_equal(chain->side, BP_SIDE_BOTH);
    assert_int_equal(chain->owned, 0);
}

static void rig_reads_chains_looked_up_weighed_doubled_and_hung_by_the_first_link(void **state)
{
    struct rig_read *read = *state;
    support_fixture(read, "bench-chains-looked-up.ini");
    const struct bp_chain *chain = read->rig.chains;
    assert_int_equal(read->rig.chain_count, 2);
    assert_true(chain[0].doubled);
    support_near(chain[0].leader_m.value, 0.10, 1e-15);
    support_near(chain[0].leader_m.sd * 1.96, 0.01, 1e-15);
    support_near(chain[1].kg_per_m.value, 6.1 / 1.5, 1e-15);
    support_near(chain[1].kg_per_m.sd * 1.96, 0.05 / 1.5, 1e-15);
    support_near(chain[1].leader_m.value, 0.0, 0.0);
    assert_int_equal(chain[1].pieces, 2);
}

static void rig_first_link_carries_what_is_unsure_of_lockout(void **state)
{
    struct rig_read *read = *state;
    support_accept(read, "[bar]\nmass=20\nlockout=110 +- 3\n[chain a]\nlength=2 m\nmass-per-metre=3.8\n"
                         "first-link-at-lockout = 60 cm +- 4\n");
    support_near(read->rig.chains[0].leader_m.value, 0.5, 1e-15);
    support_near(read->rig.chains[0].leader_m.sd * 1.96, 0.05, 1e-15); /* 3-4-5 */
}

static void rig_reads_bands_straight_down_with_both_curves(void **state)
{
    struct rig_read *read = *state;
    support_fixture(read, "bench-bands-straight-down.ini");
    const struct bp_band *band = &read->rig.bands[0];
    assert_int_equal(read->rig.band_count, 1);
    support_near(band->width_mm, 30.0, 1e-12);
    assert_int_equal(band->stretching.count, 8);
    assert_int_equal(band->slackening.count, 8);
    support_near(band->stretching.points[0].length_m, 0.52, 0.0);
    support_near(band->stretching.points[0].pull_n.value, 0.0, 0.0);
    support_near(band->stretching.points[0].pull_n.sd, 0.0, 0.0);
    support_near(band->stretching.points[4].length_m, 0.9, 0.0);
    support_near(band->stretching.points[4].pull_n.value, 17.0 * G, 1e-12);
    support_near(band->stretching.points[4].pull_n.sd * 1.96, 0.3 * G, 1e-12);
    /* Written from long to short. */
    support_near(band->slackening.points[1].length_m, 0.6, 0.0);
    support_near(band->slackening.points[7].pull_n.value, 24.3 * G, 1e-12);
    assert_int_equal(band->peg_count, 1);
    support_near(band->pegs[0].height_m, 0.0, 0.0);
    for (size_t i = 1; i < 8; i++) {
        assert_true(band->stretching.points[i].length_m > band->stretching.points[i - 1].length_m);
        assert_true(band->slackening.points[i].length_m > band->slackening.points[i - 1].length_m);
        assert_true(band->slackening.points[i].pull_n.value < band->stretching.points[i].pull_n.value);
    }
}

static void rig_reads_stretches_and_a_peg_aside(void **state)
{
    struct rig_read *read = *state;
    support_fixture(read, "bench-bands-angled.ini");
    const struct bp_band *band = &read->rig.bands[0];
    assert_int_equal(band->stretching.count, 6);
    assert_int_equal(band->slackening.count, 0);
    support_near(band->stretching.points[1].length_m, 0.6, 1e-15);
    support_near(band->stretching.points[1].pull_n.value, 30.0, 0.0);
    support_near(band->stretching.points[1].pull_n.sd * 1.96, 3.0, 1e-14);
    support_near(band->stretching.points[3].pull_n.sd * 1.96, 4.0, 1e-14); /* a ± of its own */
    support_near(band->pegs[0].aside_m, 0.3, 0.0);
    support_near(band->pegs[0].forward_m, -0.08, 0.0);
    support_near(band->pegs[0].height_m, 0.05, 0.0);
}

/* Only lengths that both lists cover can be compared. */
static void rig_slackening_may_go_further_than_stretching(void **state)
{
    struct rig_read *read = *state;
    support_accept(read, "[bar]\nmass=20\nlockout=110\n[band]\npeg=floor\npoints = 60: 5, 80: 12\n"
                         "slackening-points = 60: 4, 80: 11, 90: 15\n");
    assert_int_equal(read->rig.bands[0].slackening.count, 3);
    support_accept(read, "[bar]\nmass=20\nlockout=110\n[band]\npeg=floor\npoints = 60: 5, 80: 12\n"
                         "slackening-points = 50: 0, 55: 4, 60: 5.1, 90: 15\n");
    assert_int_equal(read->rig.bands[0].slackening.count, 4);
}

static void rig_reads_a_crossed_path_over_two_pegs(void **state)
{
    struct rig_read *read = *state;
    support_fixture(read, "bench-bands-crossed.ini");
    const struct bp_band *band = &read->rig.bands[0];
    assert_int_equal(band->peg_count, 2);
    support_near(band->pegs[0].aside_m, 0.1, 0.0);
    support_near(band->pegs[1].aside_m, -0.5, 0.0);
    support_near(band->pegs[1].height_m, 0.1, 0.0);
    support_near(band->stretching.points[2].pull_n.sd * 1.96, 0.02 * 20.9 * G, 1e-12); /* 2 % */
}

static void rig_reads_bands_from_above(void **state)
{
    struct rig_read *read = *state;
    support_fixture(read, "bench-bands-from-above.ini");
    assert_int_equal(read->rig.matched, BP_MATCHED_LOCKOUT);
    assert_true(read->rig.bands[0].pegs[0].height_m > read->rig.lockout_m.value);
    assert_int_equal(read->rig.bands[0].stretching.count, 8);
}

static void rig_reads_a_gyms_stock(void **state)
{
    struct rig_read *read = *state;
    support_fixture(read, "gym-stock.ini");
    assert_int_equal(read->rig.matched, BP_MATCHED_HALFWAY);
    assert_int_equal(read->rig.plate_count, 8);
    support_near(read->rig.plates[0].kg, 25.0, 0.0);
    assert_int_equal(read->rig.plates[0].owned, 6);
    support_near(read->rig.plates[6].kg, 1.25, 0.0);
    assert_int_equal(read->rig.plates[6].owned, 4);
    assert_int_equal(read->rig.chains[0].owned, 6);
    assert_int_equal(read->rig.bands[0].owned, 4);
}

static void rig_reads_pounds_and_inches(void **state)
{
    struct rig_read *read = *state;
    support_fixture(read, "squat-chains.ini");
    support_near(read->rig.bar_kg.value, 45 * 0.45359237, 1e-14);
    support_near(read->rig.plates_kg.value, 230 * 0.45359237, 1e-12);
    support_near(read->rig.bottom_m.value, 33 * 0.0254, 1e-15);
    support_near(read->rig.chains[0].kg_per_m.value, 244 * 0.45359237 / 30.48, 1e-14);
    support_near(read->rig.chains[0].length_m, 5 * 0.3048, 1e-15);
}

static void rig_reads_chains_and_bands_together_and_one_side_alone(void **state)
{
    struct rig_read *read = *state;
    support_fixture(read, "bench-chains-and-bands.ini");
    assert_int_equal(read->rig.chain_count, 2);
    assert_int_equal(read->rig.band_count, 1);
    support_near(read->rig.chains[0].kg_per_m.sd * 1.96, 0.05 * 2.2, 1e-15);
    support_near(read->rig.chains[1].kg_per_m.value, 0.32, 0.0);
    assert_int_equal(read->rig.chains[1].side, BP_SIDE_LEFT);
    assert_int_equal(read->rig.matched, BP_MATCHED_UNSAID);
}

#define BAR "[bar]\nmass = 20\nlockout = 110\n"
#define CHAIN "[chain a]\nlength = 2 m\nmass-per-metre = 3.8\n"

/* One rig, written in several ways. */
static void rig_is_the_same_however_it_is_written(void **state)
{
    struct rig_read *read = *state;
    static const char *const ways[] = {
        "\xEF\xBB\xBF" BAR CHAIN, /* byte order mark */
        "[bar]\r\nmass = 20\r\nlockout = 110\r\n[chain a]\r\nlength = 2 m\r\nmass-per-metre = 3.8\r\n",
        "[bar]\rmass = 20\rlockout = 110\r[chain a]\rlength = 2 m\rmass-per-metre = 3.8\r",
        CHAIN BAR, /* sections in any order */
        "[ BAR ] ; ours\n  Mass : 20 kg\n  LOCKOUT=1.1 m\n\n[Chain  a]\n  Length = 200\n"
        "  mass_per meter = 3800 g/m\n", /* indented, other case */
        "# remark\n; remark\n" BAR "[chain a]\nlength = 2\xC2\xA0m ; said\nmass per metre = 3.8 kg / m",
    };
    support_accept(read, BAR CHAIN);
    struct bp_rig plain = read->rig;
    support_near(plain.chains[0].length_m, 2.0, 0.0);
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        support_accept(read, ways[i]);
        support_near(read->rig.bar_kg.value, 20.0, 0.0);
        support_near(read->rig.lockout_m.value, 1.1, 0.0);
        support_near(read->rig.chains[0].kg_per_m.value, 3.8, 1e-15);
        support_near(read->rig.chains[0].length_m, 2.0, 0.0);
        assert_string_equal(read->rig.chains[0].name, "a");
        assert_true(isnan(read->rig.bottom_m.value));
    }
}

static void rig_a_value_goes_on_on_indented_lines(void **state)
{
    struct rig_read *read = *state;
    support_accept(read, BAR "[band a]\npeg = floor\npoints = 60 cm: 5 kg, ; first\n\n  80 cm: 12 kg ; then\n"
                             "; a remark\n\t100 cm: 18 kg,\n   120 cm: 22 kg\nwidth = 30\n");
    assert_int_equal(read->rig.bands[0].stretching.count, 4);
    support_near(read->rig.bands[0].stretching.points[3].length_m, 1.2, 0.0);
    support_near(read->rig.bands[0].width_mm, 30.0, 1e-12);
}

static void rig_a_chain_and_a_band_need_no_name(void **state)
{
    struct rig_read *read = *state;
    support_accept(read, BAR "[chain]\nlength = 2 m\nmass-per-metre = 3.8\n"
                             "[band]\npeg = floor\npoints = 60: 5, 80: 12\n");
    assert_string_equal(read->rig.chains[0].name, "");
    assert_string_equal(read->rig.bands[0].name, "");
    support_near(read->rig.bands[0].stretching.points[1].pull_n.value, 12.0 * G, 1e-12);
}

static void rig_holds_as_much_as_its_header_says(void **state)
{
    struct rig_read *read = *state;
    char text[16384] = BAR;
    char name[BP_RIG_NAME];
    memset(name, 'n', sizeof name);
    name[sizeof name - 1] = '\0'; /* 63 bytes */
    for (int k = 0; k < BP_CHAINS_MAX; k++) {
        name[0] = (char)('a' + k);
        strcat(strcat(strcat(text, "[chain "), name), "]\nlength = 2 m\nmass-per-metre = 3.8\n");
        strcat(strcat(strcat(text, "[band "), name),
               "]\npeg = floor\npeg 2 = 1 m high\npeg 3 = floor\npeg 4 = floor\n");
        strcat(text, "points = 10: 1\n");
        for (int i = 1; i < BP_BAND_POINTS_MAX; i++) {
            char point[] = "  10: 10\n";
            point[2] = (char)('1' + i / 9);
            point[3] = (char)('1' + i % 9);
            point[6] = point[2];
            point[7] = point[3];
            strcat(text, point);
        }
    }
    support_accept(read, text);
    assert_int_equal(read->rig.chain_count, BP_CHAINS_MAX);
    assert_int_equal(read->rig.band_count, BP_BANDS_MAX);
    assert_int_equal(read->rig.bands[7].stretching.count, BP_BAND_POINTS_MAX);
    assert_int_equal(read->rig.bands[7].peg_count, BP_PEGS_MAX);
    assert_string_equal(read->rig.bands[7].name, name);
}

int main(void)
{
    static struct rig_read read;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_prestate(rig_straight_is_a_mass_and_nothing_else, &read),
        cmocka_unit_test_prestate(rig_reads_bench_with_chains, &read),
        cmocka_unit_test_prestate(rig_reads_chains_looked_up_weighed_doubled_and_hung_by_the_first_link,
                                  &read),
        cmocka_unit_test_prestate(rig_first_link_carries_what_is_unsure_of_lockout, &read),
        cmocka_unit_test_prestate(rig_reads_bands_straight_down_with_both_curves, &read),
        cmocka_unit_test_prestate(rig_reads_stretches_and_a_peg_aside, &read),
        cmocka_unit_test_prestate(rig_slackening_may_go_further_than_stretching, &read),
        cmocka_unit_test_prestate(rig_reads_a_crossed_path_over_two_pegs, &read),
        cmocka_unit_test_prestate(rig_reads_bands_from_above, &read),
        cmocka_unit_test_prestate(rig_reads_a_gyms_stock, &read),
        cmocka_unit_test_prestate(rig_reads_pounds_and_inches, &read),
        cmocka_unit_test_prestate(rig_reads_chains_and_bands_together_and_one_side_alone, &read),
        cmocka_unit_test_prestate(rig_is_the_same_however_it_is_written, &read),
        cmocka_unit_test_prestate(rig_a_value_goes_on_on_indented_lines, &read),
        cmocka_unit_test_prestate(rig_a_chain_and_a_band_need_no_name, &read),
        cmocka_unit_test_prestate(rig_holds_as_much_as_its_header_says, &read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
