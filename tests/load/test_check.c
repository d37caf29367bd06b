/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rigs.h"

#include <string.h>

static const double length_m[] = {0.6, 1.0, 1.4}, pull_n[] = {20.0, 150.0, 240.0};

/* The text of the refusal, "" when the rig serves these heights. */
static const char *refusal(const struct bp_rig *rig, double from_m, double to_m)
{
    static struct bp_error error;
    bp_error_clear(&error);
    struct bp_load_model *model = rig_ready(rig);
    enum bp_code code = bp_load_check(model, from_m, to_m, &error);
    assert_int_equal(code, error.text[0] == '\0' ? BP_OK : BP_ERR_ARGUMENT);
    assert_int_equal(bp_load_check(model, from_m, to_m, NULL), code);
    bp_load_free(model);
    return error.text;
}

static void straight_bar_serves_any_height(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    assert_string_equal(refusal(&rig, 0.0, 3.0), "");
}

static void chain_that_never_leaves_the_floor_is_named(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_chain *chain = rig_add_chain(&rig, 4.0, 1.0, 0.9);
    strcpy(chain->name, "16 mm");
    assert_string_equal(refusal(&rig, 0.4, 0.85),
                        "chain \"16 mm\" never leaves the floor: its leader is 0.900 m, and the bar goes no "
                        "higher than 0.850 m");
    assert_string_equal(refusal(&rig, 0.4, 0.95), "");
    chain->pieces = 0;
    assert_string_equal(refusal(&rig, 0.4, 0.85), "");
}

static void chain_clear_of_the_floor_all_the_way_is_no_error(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_chain(&rig, 4.0, 0.3, 0.1);
    assert_string_equal(refusal(&rig, 0.6, 1.1), "");
}

static void band_that_leaves_what_was_measured_is_named(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 3, length_m, pull_n);
    strcpy(band->name, "front");
    assert_string_equal(refusal(&rig, 0.7, 1.3), "");
    assert_string_equal(refusal(&rig, 0.6, 1.4), ""); /* the very ends are measured */
    assert_string_equal(refusal(&rig, 1.3, 0.7), ""); /* in either order */
    assert_string_equal(refusal(&rig, 0.7, 1.5),
                        "band \"front\" is 1.500 m long at its longest, and was measured only up to 1.400 m");
    assert_string_equal(
        refusal(&rig, 0.5, 1.3),
        "band \"front\" is only 0.500 m long at its shortest, and was measured from 0.600 m on");
    band->pieces = 0;
    assert_string_equal(refusal(&rig, 0.5, 1.5), "");
}

/* Wherever the check says yes the load is known, and where it says no it is unknown somewhere. */
static void check_agrees_with_the_load_at_every_height(void **state)
{
    (void)state;
    int yes = 0, no = 0;
    for (double peg = 0.0; peg <= 2.0; peg += 0.25) {
        struct bp_rig rig = rig_bare();
        struct bp_band *band = rig_add_band(&rig, 3, length_m, pull_n);
        band->pegs[0] = (struct bp_peg){0.45, 0.40, peg}; /* 0.602 m aside: level with the bar is measured */
        rig_set_curve(&band->slackening, 2, length_m, pull_n);
        for (double to = 0.5; to < 2.0; to += 0.1) {
            bool serves = refusal(&rig, 0.3, to)[0] == '\0', known = true;
            struct bp_load_model *model = rig_ready(&rig);
            for (int i = 0; i <= 200; i++) {
                double h = 0.3 + (to - 0.3) * i / 200;
                known = known && isfinite(model_load(model, h, 0.1, 0.0).hand_n) &&
                        isfinite(model_load(model, h, -0.1, 0.0).hand_n);
            }
            bp_load_free(model);
            assert_true(serves == known);
            yes += serves;
            no += !serves;
        }
    }
    assert_true(yes > 10 && no > 10);
}

static void slackening_measured_less_far_than_stretching_is_named(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 3, length_m, pull_n);
    rig_set_curve(&band->slackening, 2, length_m, pull_n); /* to 1.0 m only */
    assert_non_null(strstr(refusal(&rig, 0.7, 1.3), "band 1 is 1.300 m long"));
    assert_string_equal(refusal(&rig, 0.7, 0.95), "");
}

static void band_that_is_slack_all_the_way_is_named(void **state)
{
    (void)state;
    static const double slack_n[] = {0.0, 0.0, 80.0};
    struct bp_rig rig = rig_bare();
    rig_add_band(&rig, 3, length_m, slack_n);
    assert_string_equal(refusal(&rig, 0.3, 0.9), "band 1 is slack all the way: 0.900 m long at its longest");
    assert_string_equal(refusal(&rig, 0.3, 1.1), "");
}

/* From above it is longest at the bottom, and shortest where the bar passes the peg. */
static void band_is_looked_at_where_it_is_longest_and_shortest(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 3, length_m, pull_n);
    band->pegs[0].height_m = 2.0;
    assert_non_null(strstr(refusal(&rig, 0.5, 1.2), "1.500 m long at its longest"));
    assert_string_equal(refusal(&rig, 0.6, 1.4), "");
    band->pegs[0] = (struct bp_peg){0.3, 0.4, 0.8};
    assert_non_null(strstr(refusal(&rig, 0.2, 1.4), "only 0.500 m long at its shortest"));
}

static void heights_that_are_no_numbers_are_refused(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    assert_non_null(strstr(refusal(&rig, (double)NAN, 1.0), "heights"));
    assert_non_null(strstr(refusal(&rig, 0.0, (double)INFINITY), "heights"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(straight_bar_serves_any_height),
        cmocka_unit_test(chain_that_never_leaves_the_floor_is_named),
        cmocka_unit_test(chain_clear_of_the_floor_all_the_way_is_no_error),
        cmocka_unit_test(band_that_leaves_what_was_measured_is_named),
        cmocka_unit_test(check_agrees_with_the_load_at_every_height),
        cmocka_unit_test(slackening_measured_less_far_than_stretching_is_named),
        cmocka_unit_test(band_that_is_slack_all_the_way_is_named),
        cmocka_unit_test(band_is_looked_at_where_it_is_longest_and_shortest),
        cmocka_unit_test(heights_that_are_no_numbers_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
