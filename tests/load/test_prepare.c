/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"
#include "rigs.h"

#include <string.h>

static const double length_m[] = {0.5, 0.9, 1.3}, pull_n[] = {60.0, 160.0, 240.0};

/* A chain "links" and a band "wide", both sound. */
static struct bp_rig sound_rig(void)
{
    struct bp_rig rig = rig_bare();
    strcpy(rig_add_chain(&rig, 4.0, 2.0, 0.25)->name, "links");
    strcpy(rig_add_band(&rig, 3, length_m, pull_n)->name, "wide");
    return rig;
}

/* Refused, naming what is at fault, and no model left. */
static void assert_refused(const struct bp_rig *rig, const char *names)
{
    struct bp_rig poison;
    struct bp_load_model *model = (struct bp_load_model *)(void *)&poison;
    struct bp_error error;
    bp_error_clear(&error);
    assert_int_equal(bp_load_prepare(rig, &model, &error), BP_ERR_ARGUMENT);
    assert_null(model);
    assert_int_equal(error.code, BP_ERR_ARGUMENT);
    assert_non_null(strstr(error.text, names));
    assert_int_equal(bp_load_prepare(rig, &model, NULL), BP_ERR_ARGUMENT); /* error may be NULL */
}

static void sound_rig_is_taken_and_copied(void **state)
{
    (void)state;
    struct bp_rig rig = sound_rig();
    rig.bottom_m.value = 0.5;
    rig.lockout_m.value = 1.1;
    struct bp_load_model *model = rig_ready(&rig);
    double before = model_load(model, 0.8, 0.0, 0.0).weight_n;
    memset(&rig, 0x5a, sizeof rig);
    bp_load_vary(model, NULL);
    assert_true(fabs(model_load(model, 0.8, 0.0, 0.0).weight_n - before) < 1e-12);
    assert_true(fabs(bp_load_bottom_m(model) - 0.5) < 1e-15 && fabs(bp_load_lockout_m(model) - 1.1) < 1e-15);
    assert_true(bp_load_varies(model));
    bp_load_free(model);
    bp_load_free(NULL);
}

static void each_bad_number_of_bar_and_heights_is_refused(void **state)
{
    (void)state;
    for (int n = 0; n < 7; n++) {
        struct bp_rig rig = sound_rig();
        rig.bar_kg.value = n == 0 ? -1.0 : n == 1 ? (double)NAN : 20.0;
        rig.plates_kg.sd = n == 2 ? -0.1 : n == 3 ? (double)INFINITY : 0.0;
        if (n == 4) {
            rig.bar_kg.value = rig.plates_kg.value = 0.0;
        }
        rig.lockout_m.value = n == 5 ? (double)INFINITY : (double)NAN;
        rig.bottom_m = n == 6 ? (struct bp_measured){0.4, -1.0} : rig.bottom_m;
        assert_refused(&rig, n < 5 ? "bar and plates" : "heights");
    }
}

static void each_bad_number_of_a_chain_is_refused_by_its_name(void **state)
{
    (void)state;
    for (int n = 0; n < 7; n++) {
        struct bp_rig rig = sound_rig();
        struct bp_chain *chain = &rig.chains[0];
        chain->kg_per_m.value = n == 0 ? 0.0 : n == 1 ? (double)NAN : 4.0;
        chain->kg_per_m.sd = n == 2 ? -1.0 : 0.0;
        chain->length_m = n == 3 ? 0.0 : n == 4 ? (double)NAN : 2.0;
        chain->leader_m.value = n == 5 ? -0.1 : 0.25;
        chain->side = n == 6 ? (enum bp_side)7 : BP_SIDE_LEFT;
        assert_refused(&rig, "chain \"links\"");
        chain->name[0] = '\0';
        assert_refused(&rig, "chain 1");
    }
}

static void spoil_band(struct bp_band *band, int n)
{
    struct bp_band_point *points = band->stretching.points;
    switch (n) {
    case 0:
        band->stretching.count = 1;
        break;
    case 1:
        band->stretching.count = BP_BAND_POINTS_MAX + 1;
        break;
    case 2:
        points[1].length_m = points[0].length_m;
        break;
    case 3:
        points[1].pull_n.value = points[0].pull_n.value - 1.0;
        break;
    case 4:
        points[0].pull_n.value = -1.0;
        break;
    case 5:
        points[0].length_m = 0.0;
        break;
    case 6:
        points[2].pull_n.sd = (double)NAN;
        break;
    case 7:
        band->slackening.count = 1;
        break;
    case 8:
        band->peg_count = 0;
        break;
    case 9:
        band->peg_count = BP_PEGS_MAX + 1;
        break;
    case 10:
        band->pegs[0].forward_m = (double)NAN;
        break;
    default:
        band->side = (enum bp_side)7;
        break;
    }
}

static void each_bad_number_of_a_band_is_refused_by_its_name(void **state)
{
    (void)state;
    for (int n = 0; n < 12; n++) {
        struct bp_rig rig = sound_rig();
        spoil_band(&rig.bands[0], n);
        assert_refused(&rig, "band \"wide\"");
        rig.bands[0].name[0] = '\0';
        assert_refused(&rig, "band 1");
    }
}

static void more_parts_than_a_rig_has_room_for_are_refused(void **state)
{
    (void)state;
    struct bp_rig rig = sound_rig();
    rig.chain_count = BP_CHAINS_MAX + 1;
    assert_refused(&rig, "room");
    rig.chain_count = 1;
    rig.band_count = BP_BANDS_MAX + 1;
    assert_refused(&rig, "room");
}

static void each_allocation_that_fails_is_told_and_leaves_nothing(void **state)
{
    (void)state;
    struct bp_rig rig = sound_rig();
    struct bp_error error;
    size_t failed = 0;
    for (size_t n = 0;; n++) {
        struct bp_rig poison;
        struct bp_load_model *model = (struct bp_load_model *)(void *)&poison;
        failing_alloc_arm(n);
        enum bp_code code = bp_load_prepare(&rig, &model, &error);
        if (!failing_alloc_disarm()) {
            assert_int_equal(code, BP_OK);
            bp_load_free(model);
            break;
        }
        failed++;
        assert_int_equal(code, BP_ERR_MEMORY);
        assert_int_equal(error.code, BP_ERR_MEMORY);
        assert_null(model);
    }
    assert_true(failed > 0);
}

static void nothing_is_allocated_after_prepare(void **state)
{
    (void)state;
    struct bp_rig rig = sound_rig();
    struct bp_load_model *model = rig_ready(&rig);
    struct bp_random random;
    bp_random_init(&random, 1, 0);
    failing_alloc_arm(0);
    bp_load_vary(model, &random);
    model_load(model, 0.8, 0.0, 0.0);
    bp_load_check(model, 0.6, 1.2, NULL);
    assert_false(failing_alloc_disarm());
    bp_load_free(model);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sound_rig_is_taken_and_copied),
        cmocka_unit_test(each_bad_number_of_bar_and_heights_is_refused),
        cmocka_unit_test(each_bad_number_of_a_chain_is_refused_by_its_name),
        cmocka_unit_test(each_bad_number_of_a_band_is_refused_by_its_name),
        cmocka_unit_test(more_parts_than_a_rig_has_room_for_are_refused),
        cmocka_unit_test(each_allocation_that_fails_is_told_and_leaves_nothing),
        cmocka_unit_test(nothing_is_allocated_after_prepare),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
