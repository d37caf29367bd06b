/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Numbers with units and ±, as a rig file writes them. Exact factors: NIST SP 811.
 */
#include "rig/unit.h"

#include "rig/support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/comma_locale.h"

#include <stdio.h>
#include <string.h>

static double one(enum bp_unit_kind kind, const char *name)
{
    struct bp_unit unit = {0.0, 1.0};
    assert_true(bp_unit_find(kind, name, strlen(name), &unit));
    return unit.up / unit.down;
}

static void unit_factors_are_the_exact_ones(void **state)
{
    (void)state;
    support_near(one(BP_UNIT_MASS, "lb"), 0.45359237, 0.0);
    support_near(one(BP_UNIT_MASS, "g"), 0.001, 0.0);
    support_near(one(BP_UNIT_LENGTH, "in"), 0.0254, 0.0);
    support_near(one(BP_UNIT_LENGTH, "ft"), 0.3048, 0.0);
    support_near(one(BP_UNIT_PULL, "kgf"), 9.80665, 0.0);
    support_near(one(BP_UNIT_PULL, "kg"), 9.80665, 0.0);
    support_near(one(BP_UNIT_PULL, "lbf"), 4.4482216152605, 0.0);
    support_near(one(BP_UNIT_PULL, "lb"), 0.45359237 * 9.80665, 1e-15);
    support_near(one(BP_UNIT_PULL, "kN"), 1000.0, 0.0);
    support_near(one(BP_UNIT_LINE, "kg/cm"), 100.0, 0.0);
    support_near(one(BP_UNIT_LINE, "g/m"), 0.001, 0.0);
    support_near(one(BP_UNIT_LINE, "lb/ft"), 0.45359237 / 0.3048, 1e-15);
    support_near(one(BP_UNIT_LINE, "lb / 100 ft"), 0.45359237 / 30.48, 1e-17);
}

static void unit_of_another_kind_is_not_found(void **state)
{
    (void)state;
    static const char *const wrong[] = {"cm", "kg/m", "N", "", "kgg", "k g r"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        struct bp_unit unit;
        assert_false(bp_unit_find(BP_UNIT_MASS, wrong[i], strlen(wrong[i]), &unit));
    }
}

/* Every whole and half centimetre a coach may write is the double nearest to it in metres. */
static void value_in_centimetres_is_the_nearest_double_in_metres(void **state)
{
    struct rig_read *read = *state;
    for (unsigned mm = 5; mm < 4000; mm += 5) {
        char text[80];
        snprintf(text, sizeof text, "[bar]\nmass = 20\nlockout = %u.%u cm\n", mm / 10, mm % 10);
        support_accept(read, text);
        support_near(read->rig.lockout_m.value, (double)mm / 1000.0, 0.0);
    }
}

struct written {
    const char *text;
    double value, half_width;
};

static void value_takes_its_uncertainty_in_many_spellings(void **state)
{
    struct rig_read *read = *state;
    static const struct written list[] = {
        {"20", 20.0, 0.0},
        {"20 kg", 20.0, 0.0},
        {"20kg", 20.0, 0.0},
        {"20 KG", 20.0, 0.0},
        {"2e1 kg", 20.0, 0.0},
        {"+20 kg", 20.0, 0.0},
        {"20 kg \xC2\xB1 0.1", 20.0, 0.1},
        {"20 kg \xC2\xB1 0.1 kg", 20.0, 0.1},
        {"20 \xC2\xB1 0.1 kg", 20.0, 0.1},
        {"20\xC2\xB1"
         "0.1",
         20.0, 0.1},
        {"20 +- 0.1", 20.0, 0.1},
        {"20+-0.1kg", 20.0, 0.1},
        {"20 +/- 0.1", 20.0, 0.1},
        {"20 kg \xC2\xB1 100 g", 20.0, 0.1},
        {"20000 \xC2\xB1 100 g", 20.0, 0.1},
        {"20 kg \xC2\xB1 0.5 %", 20.0, 0.1},
        {"20 \xC2\xB1 0.5%", 20.0, 0.1},
        {"20 kg \xC2\xB1 0", 20.0, 0.0},
        {"44 lb \xC2\xB1 1", 44 * 0.45359237, 0.45359237},
    };
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        char text[80];
        snprintf(text, sizeof text, "[bar]\nmass = %s\n", list[i].text);
        support_accept(read, text);
        support_near(read->rig.bar_kg.value, list[i].value, 1e-14);
        support_near(read->rig.bar_kg.sd * 1.96, list[i].half_width, 1e-14);
    }
}

static void value_of_plates_is_a_mass_or_a_list(void **state)
{
    struct rig_read *read = *state;
    static const struct written list[] = {
        {"0", 0.0, 0.0},
        {"80 kg \xC2\xB1 0.4", 80.0, 0.4},
        {"4 x 20 kg, 2x2.5, 1.25 kg", 86.25, 0.0},
        {"4 \xC3\x97 20 kg", 80.0, 0.0},
        {"3 x 20 +- 1, 4 x 10 +- 1", 100.0, 5.0}, /* 3 and 4 kg, kinds apart */
    };
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        char text[80];
        snprintf(text, sizeof text, "[bar]\nmass = 20\nplates = %s\n", list[i].text);
        support_accept(read, text);
        support_near(read->rig.plates_kg.value, list[i].value, 1e-13);
        support_near(read->rig.plates_kg.sd * 1.96, list[i].half_width, 1e-13);
    }
}

static void value_reads_the_same_under_a_decimal_comma(void **state)
{
    struct rig_read *read = *state;
    support_fixture(read, "bench-bands-angled.ini");
    struct bp_rig before = read->rig;
    if (!comma_locale_enter()) {
        skip();
    }
    support_fixture(read, "bench-bands-angled.ini");
    comma_locale_leave();
    assert_memory_equal(&before, &read->rig, sizeof before);
}

int main(void)
{
    static struct rig_read read;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(unit_factors_are_the_exact_ones),
        cmocka_unit_test(unit_of_another_kind_is_not_found),
        cmocka_unit_test_prestate(value_in_centimetres_is_the_nearest_double_in_metres, &read),
        cmocka_unit_test_prestate(value_takes_its_uncertainty_in_many_spellings, &read),
        cmocka_unit_test_prestate(value_of_plates_is_a_mass_or_a_list, &read),
        cmocka_unit_test_prestate(value_reads_the_same_under_a_decimal_comma, &read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
