/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The tables of chain links against the shape of a link in steel, and against a published table.
 */
#include "rig/link.h"

#include "rig/support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#define STEEL_KG_M3 7850.0
#define PI 3.14159265358979323846

/* A link is two half circles about the wire's axis and two straights: its mass, a pitch apart. All in mm. */
static double shape_kg_per_m(double wire, double pitch, double width)
{
    double d = wire / 1000.0;
    double p = pitch / 1000.0;
    double w = width / 1000.0;
    return STEEL_KG_M3 * (PI * d * d / 4.0) * (PI * (w + d) + 2.0 * (p - w)) / p;
}

static const struct bp_link *find(enum bp_link_standard standard, double wire)
{
    for (size_t i = 0; i < bp_link_count; i++) {
        if (bp_links[i].standard == standard && fabs(bp_links[i].wire_mm - wire) < 1e-9) {
            return &bp_links[i];
        }
    }
    fail_msg("no such link");
    return NULL;
}

/* Inside widths as suppliers give them for these five links. */
static void link_tables_agree_with_the_shape_of_a_link_in_steel(void **state)
{
    (void)state;
    static const struct {
        enum bp_link_standard standard;
        double wire, width;
    } known[] = {{BP_LINK_DIN766, 8, 9.6},
                 {BP_LINK_DIN766, 13, 15.6},
                 {BP_LINK_DIN766, 16, 19.2},
                 {BP_LINK_DIN763, 6, 13.2},
                 {BP_LINK_EN818_2, 13, 16.3}};
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        const struct bp_link *link = find(known[i].standard, known[i].wire);
        double shape = shape_kg_per_m(link->wire_mm, link->pitch_mm, known[i].width);
        assert_true(fabs(shape / link->kg_per_m - 1.0) < 0.05);
    }
}

/* Every row, so that a slip in copying any of them shows: inside width by each standard's usual share of the
 * wire (DIN 766 1.2, DIN 763 and 764 some 1.3 to 2.2, EN 818-2 1.25); wider tolerance, since the width is a
 * guess. */
static void link_every_row_weighs_what_a_link_of_its_size_can(void **state)
{
    (void)state;
    for (size_t i = 0; i < bp_link_count; i++) {
        const struct bp_link *link = &bp_links[i];
        double narrow = shape_kg_per_m(link->wire_mm, link->pitch_mm, 1.2 * link->wire_mm);
        double wide = shape_kg_per_m(link->wire_mm, link->pitch_mm, 2.2 * link->wire_mm);
        if (!(link->kg_per_m > 0.90 * narrow && link->kg_per_m < 1.05 * wide)) {
            fail_msg("row %zu: %g kg/m, by its shape %g to %g", i, link->kg_per_m, narrow, wide);
        }
    }
}

/* lb per 100 ft times 0.45359237/30.48, worked by hand. */
static void link_grade_80_rows_are_converted_exactly(void **state)
{
    (void)state;
    support_near(find(BP_LINK_EN818_2, 7)->kg_per_m, 1.0417, 5e-5);
    support_near(find(BP_LINK_EN818_2, 8)->kg_per_m, 1.3691, 5e-5);
    support_near(find(BP_LINK_EN818_2, 10)->kg_per_m, 2.1132, 5e-5);
    support_near(find(BP_LINK_EN818_2, 13)->kg_per_m, 3.6311, 5e-5);
    support_near(find(BP_LINK_EN818_2, 16)->kg_per_m, 5.2979, 5e-5);
}

/* McMaster, Cronin & McGuigan 2009 by way of NSCA's Essentials, 4th ed., Table 16.1: kg of a metre. Twice
 * what a link of that wire can weigh: the table is of a pair of chains, one on each side. Links of proof-coil
 * proportions, pitch 3 and width 1.25 times the wire. */
static void link_published_masses_by_wire_are_of_a_pair_of_chains(void **state)
{
    (void)state;
    static const struct {
        double wire, kg_of_a_metre;
    } printed[] = {{12.7, 7.4}, {22.2, 21.6}, {25.4, 28.0}};
    for (size_t i = 0; i < sizeof printed / sizeof printed[0]; i++) {
        double shape = shape_kg_per_m(printed[i].wire, 3.0 * printed[i].wire, 1.25 * printed[i].wire);
        assert_true(fabs(printed[i].kg_of_a_metre / 2.0 / shape - 1.0) < 0.15);
        assert_false(fabs(printed[i].kg_of_a_metre / shape - 1.0) < 0.15);
    }
}

#define CHAIN "[bar]\nmass=20\nlockout=110\n[chain a]\nlength=2 m\n"

static void link_is_looked_up_with_the_uncertainty_of_the_tables(void **state)
{
    struct rig_read *read = *state;
    static const char *const spellings[] = {"link = 13x36\n", "link = 13 x 36 mm\nstandard = DIN 766\n",
                                            "link = 13 \xC3\x97 36\nstandard = din766\n",
                                            "link = 1.3 cm x 3.6 cm\n"};
    for (size_t i = 0; i < sizeof spellings / sizeof spellings[0]; i++) {
        char text[200];
        snprintf(text, sizeof text, CHAIN "%s", spellings[i]);
        support_accept(read, text);
        support_near(read->rig.chains[0].kg_per_m.value, 3.8, 0.0);
        support_near(read->rig.chains[0].kg_per_m.sd, 3.8 * 0.05 / 1.96, 1e-12);
    }
}

static void link_in_two_standards_must_be_told_apart(void **state)
{
    struct rig_read *read = *state;
    support_refuse(read, CHAIN "link = 8x24\n", BP_ERR_FORMAT, 6, "din766", "en818-2");
    support_accept(read, CHAIN "link = 8x24\nstandard = EN 818-2\n");
    support_near(read->rig.chains[0].kg_per_m.value, 92 * 0.45359237 / 30.48, 1e-15);
    support_accept(read, CHAIN "link = 8x24\nstandard = din 766\n");
    support_near(read->rig.chains[0].kg_per_m.value, 1.4, 0.0);
}

static void link_in_no_table_names_the_nearest(void **state)
{
    struct rig_read *read = *state;
    support_refuse(read, CHAIN "link = 13x37\n", BP_ERR_ARGUMENT, 6, "13x36 din766, 13x39 en818-2",
                   "[chain a] link");
    support_refuse(read, CHAIN "link = 6x20\nstandard = din766\n", BP_ERR_ARGUMENT, 6, "6x18.5 din766", NULL);
    support_refuse(read, CHAIN "link = 13x36\nstandard = din763\n", BP_ERR_ARGUMENT, 6, "din763", NULL);
    assert_null(strstr(read->error.text, "din766"));
    support_refuse(read, CHAIN "link = 13\n", BP_ERR_FORMAT, 6, "13x36", NULL);
    support_refuse(read, CHAIN "link = x36\n", BP_ERR_NUMBER, 6, "number", NULL);
    support_refuse(read, CHAIN "link = 0x36\n", BP_ERR_ARGUMENT, 6, "not more than 0", NULL);
    support_refuse(read, CHAIN "link = 13x36\nstandard = iso\n", BP_ERR_ARGUMENT, 7, "standard",
                   "din766|din763");
    support_refuse(read, CHAIN "link = 13x36\nstandard = whatever the shop has\n", BP_ERR_ARGUMENT, 7,
                   "standard", "shop");
}

int main(void)
{
    static struct rig_read read;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(link_tables_agree_with_the_shape_of_a_link_in_steel),
        cmocka_unit_test(link_every_row_weighs_what_a_link_of_its_size_can),
        cmocka_unit_test(link_grade_80_rows_are_converted_exactly),
        cmocka_unit_test(link_published_masses_by_wire_are_of_a_pair_of_chains),
        cmocka_unit_test_prestate(link_is_looked_up_with_the_uncertainty_of_the_tables, &read),
        cmocka_unit_test_prestate(link_in_two_standards_must_be_told_apart, &read),
        cmocka_unit_test_prestate(link_in_no_table_names_the_nearest, &read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
