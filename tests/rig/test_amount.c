/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/rig.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

static void amounts_carry_their_unit(void **state)
{
    (void)state;
    const struct {
        const char *text;
        enum bp_amount kind;
        double value;
    } cases[] = {{"140kg", BP_AMOUNT_MASS, 140},
                 {"140 kg", BP_AMOUNT_MASS, 140},
                 {"310lb", BP_AMOUNT_MASS, 310 * 0.45359237}, /* NIST SP 811: exact */
                 {"140", BP_AMOUNT_MASS, 140},
                 {"27cm", BP_AMOUNT_LENGTH, 0.27},
                 {"27", BP_AMOUNT_LENGTH, 0.27},
                 {"0.7 m", BP_AMOUNT_LENGTH, 0.7},
                 {"10in", BP_AMOUNT_LENGTH, 0.254}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double value = 0;
        assert_true(bp_rig_amount(cases[i].text, cases[i].kind, &value));
        assert_true(fabs(value - cases[i].value) < 1e-12);
    }
}

static void what_is_no_amount_leaves_the_value_alone(void **state)
{
    (void)state;
    const char *const bad[] = {"", "kg", "140 stone", "140kg more", "27cm", "--3kg"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double value = 7;
        assert_false(bp_rig_amount(bad[i], BP_AMOUNT_MASS, &value));
        assert_true(value == 7);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(amounts_carry_their_unit),
        cmocka_unit_test(what_is_no_amount_leaves_the_value_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
