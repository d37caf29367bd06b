/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a rig file must not say, and what is answered: code, line, key.
 */
#include "rig/support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <string.h>

#define BAR "[bar]\nmass = 20\nlockout = 110\n"        /* lines 1 to 3 */
#define CHAIN BAR "[chain a]\nlength = 2 m\n"          /* to 5 */
#define HUNG CHAIN "mass-per-metre = 3.8\n"            /* to 6 */
#define BAND BAR "[band a]\npeg = floor\n"             /* to 5 */
#define PULLS BAR "[band a]\npoints = 60: 5, 80: 12\n" /* to 5 */

struct refusal {
    const char *text;
    enum bp_code code;
    size_t line;
    const char *word, *other_word;
};

static void refuse_all(struct rig_read *read, const struct refusal *list, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        support_refuse(read, list[i].text, list[i].code, list[i].line, list[i].word, list[i].other_word);
    }
}
#define REFUSE_ALL(list) refuse_all(*state, list, sizeof(list) / sizeof(list)[0])

static void rig_refuses_a_file_that_is_none(void **state)
{
    static const struct refusal list[] = {
        {"", BP_ERR_EMPTY, 1, "[bar]", "empty"},
        {"\n\n; nothing\n", BP_ERR_EMPTY, 4, "empty", NULL},
        {"[rig]\nname = no bar\n", BP_ERR_FORMAT, 3, "there is no bar", NULL},
        {BAR "\x01\n", BP_ERR_FORMAT, 4, "no text", NULL},
        {BAR "[rig]\nname = \xB1\n", BP_ERR_FORMAT, 5, "UTF-8", NULL},
        {BAR "[rig]\nname = \xC3", BP_ERR_FORMAT, 5, "UTF-8", NULL},
        {"mass = 20\n" BAR, BP_ERR_FORMAT, 1, "before the first section", NULL},
        {BAR "just words\n", BP_ERR_FORMAT, 4, "'key = value'", NULL},
        {BAR "just words\nmass = 3\n", BP_ERR_FORMAT, 4, "'key = value'", NULL},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_sections_it_does_not_know_or_has_already(void **state)
{
    static const struct refusal list[] = {
        {BAR "[rope a]\n", BP_ERR_FORMAT, 4, "no such section", "[chain NAME]"},
        {BAR "[]\n", BP_ERR_FORMAT, 4, "no such section", NULL},
        {BAR "[chain a\n", BP_ERR_FORMAT, 4, "']' is missing", NULL},
        {BAR "[chain a] length = 3\n", BP_ERR_FORMAT, 4, "behind a section's ']'", NULL},
        {BAR "[bar]\nplates = 20\n", BP_ERR_FORMAT, 4, "there already", NULL},
        {HUNG "[Chain A]\nlength = 2 m\n", BP_ERR_FORMAT, 7, "name of its own", NULL},
        {BAR "[stock of gym]\n", BP_ERR_FORMAT, 4, "only chains and bands", NULL},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_keys_it_does_not_know_or_has_already(void **state)
{
    static const struct refusal list[] = {
        {BAR "massa = 3\n", BP_ERR_FORMAT, 4, "[bar] has no key 'massa'",
         "mass, collars, plates, bottom, lockout"},
        {HUNG "width = 3\n", BP_ERR_FORMAT, 7, "[chain a] has no key 'width'", "first-link-at-lockout"},
        {BAR "chest = 30\nbottom = 30\n", BP_ERR_FORMAT, 5, "[bar] chest", "first in line 4"},
        {BAR "chest = 5 m\n", BP_ERR_ARGUMENT, 4, "[bar] chest: ", "4 m"},
        {BAR "Mass = 30\n", BP_ERR_FORMAT, 4, "[bar] mass", "given twice"},
        {PULLS "peg = floor\npeg 1 = floor\n", BP_ERR_FORMAT, 7, "[band a] peg", "given twice"},
        {BAR "= 3\n", BP_ERR_FORMAT, 4, "has no key ''", NULL},
        {BAR "[band a]\npoints =\n60: 5\n", BP_ERR_FORMAT, 6, "has no key '60'", NULL},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_what_lacks_a_needed_key(void **state)
{
    static const struct refusal list[] = {
        {"[rig]\n[bar]\nlockout = 110\n", BP_ERR_FORMAT, 2, "[bar] mass", "missing"},
        {"[bar]\nmass =\n", BP_ERR_NUMBER, 2, "[bar] mass", "missing"},
        {"[bar]\nmass = 20\n[chain a]\nlength=2\nmass-per-metre=3\n", BP_ERR_FORMAT, 1, "[bar]",
         "lockout or both"},
        {BAR "[chain a]\nmass-per-metre = 3\n", BP_ERR_FORMAT, 4, "[chain a] length", "missing"},
        {CHAIN, BP_ERR_FORMAT, 4, "[chain a]", "mass-per-metre, weighed or link"},
        {BAR "[chain a]\n", BP_ERR_FORMAT, 4, "[chain a] length", "missing"},
        {BAND, BP_ERR_FORMAT, 4, "[band a]", "points = "},
        {PULLS, BP_ERR_FORMAT, 4, "[band a] peg", "where does the band end"},
        {BAR "[stock]\n", BP_ERR_FORMAT, 4, "[stock] plates", NULL},
        {BAND "stretches = 10: 5, 20: 12\n", BP_ERR_FORMAT, 6, "[band a] stretches", "rest"},
        {"[bar]\nmass = 20\nbottom = 72\n[chain a]\nlength = 2 m\nmass-per-metre = 3\nfirst-link-at-lockout "
         "= 60\n",
         BP_ERR_FORMAT, 7, "first-link-at-lockout", "lockout is missing"},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_keys_that_exclude_each_other(void **state)
{
    static const struct refusal list[] = {
        {HUNG "link = 13x36\n", BP_ERR_FORMAT, 4, "[chain a]", "more than once"},
        {HUNG "standard = din766\n", BP_ERR_FORMAT, 7, "[chain a] standard", "link"},
        {HUNG "leader = 30\nfirst-link-at-lockout = 80\n", BP_ERR_FORMAT, 8, "first-link-at-lockout",
         "keep one"},
        {PULLS "peg = floor\nrest = 50\nstretches = 10: 5, 20: 12\n", BP_ERR_FORMAT, 8, "stretches",
         "keep one"},
        {PULLS "peg = floor\npeg 3 = floor\n", BP_ERR_FORMAT, 7, "peg-3", "before it is missing"},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_numbers_that_are_none(void **state)
{
    static const struct refusal list[] = {
        {"[bar]\nmass = heavy\n", BP_ERR_NUMBER, 2, "[bar] mass", "'heavy' is not a number"},
        {"[bar]\nmass = nan\n", BP_ERR_NUMBER, 2, "[bar] mass", "finite"},
        {"[bar]\nmass = inf kg\n", BP_ERR_NUMBER, 2, "[bar] mass", "finite"},
        {"[bar]\nmass = 1e999\n", BP_ERR_NUMBER, 2, "[bar] mass", "finite"},
        {"[bar]\nmass = 20,5 kg\n", BP_ERR_NUMBER, 2, "[bar] mass", "point"},
        {"[bar]\nmass = 20 \xC2\xB1\n", BP_ERR_NUMBER, 2, "[bar] mass", "missing"},
        {"[bar]\nmass = 20 +- nan\n", BP_ERR_NUMBER, 2, "[bar] mass", "finite"},
        {"[bar]\nmass = 20 +- 1 +- 1\n", BP_ERR_UNITS, 2, "[bar] mass", NULL},
        {HUNG "count = 1.5\n", BP_ERR_NUMBER, 7, "[chain a] count", "whole number"},
        {HUNG "count = two\n", BP_ERR_NUMBER, 7, "[chain a] count", "whole number"},
        {HUNG "count = -1\n", BP_ERR_NUMBER, 7, "[chain a] count", NULL},
        {BAND "points = 60: 5, 80: x\n", BP_ERR_NUMBER, 6, "[band a] points", "'x'"},
        {BAND "points = 60: 5,\n  80: 12,\n  100: x\n", BP_ERR_NUMBER, 8, "[band a] points", "'x'"},
        {BAND "points = 60 cm: 5,5 kg, 80 cm: 12 kg\n", BP_ERR_FORMAT, 6, "[band a] points", "'5 kg'"},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_units_of_another_kind(void **state)
{
    static const struct refusal list[] = {
        {"[bar]\nmass = 20 stone\n", BP_ERR_UNITS, 2, "[bar] mass", "'stone'"},
        {"[bar]\nmass = 20 kg # old\n", BP_ERR_FORMAT, 2, "[bar] mass", "';'"},
        {"[bar]\nmass = 20 cm\n", BP_ERR_UNITS, 2, "[bar] mass", "kg, g or lb"},
        {BAR "bottom = 72 kg\n", BP_ERR_UNITS, 4, "[bar] bottom", "m, cm, mm, in or ft"},
        {CHAIN "mass-per-metre = 3.8 kg\n", BP_ERR_UNITS, 6, "mass-per-metre", "kg/m"},
        {CHAIN "mass-per-metre = 3.8 kg/0m\n", BP_ERR_UNITS, 6, "mass-per-metre", "kg/m"},
        {CHAIN "mass-per-metre = 3.8 m/kg\n", BP_ERR_UNITS, 6, "mass-per-metre", "kg/m"},
        {BAND "points = 60: 5 cm, 80: 12\n", BP_ERR_UNITS, 6, "[band a] points", "kgf or lbf"},
        {"[bar]\nmass = 20 kg \xC2\xB1 1 cm\n", BP_ERR_UNITS, 2, "[bar] mass", "'cm'"},
        {"[bar]\nmass = 20 kilogrammes-and-a-good-deal-more-of-it\n", BP_ERR_UNITS, 2, "[bar] mass", NULL},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_values_that_make_no_sense(void **state)
{
    static const struct refusal list[] = {
        {"[bar]\nmass = 0\n", BP_ERR_ARGUMENT, 2, "[bar] mass", "not more than 0"},
        {"[bar]\nmass = -20\n", BP_ERR_ARGUMENT, 2, "[bar] mass", "negative"},
        {"[bar]\nmass = 2000 kg\n", BP_ERR_ARGUMENT, 2, "[bar] mass", "more than 100 kg"},
        {"[bar]\nmass = 20 +- 20\n", BP_ERR_ARGUMENT, 2, "[bar] mass", "as large as itself"},
        {"[bar]\nmass = 20 +- 100 %\n", BP_ERR_ARGUMENT, 2, "[bar] mass", "as large as itself"},
        {"[bar]\nmass = 20 +- -1\n", BP_ERR_ARGUMENT, 2, "[bar] mass", "negative \xC2\xB1"},
        {"[bar]\nmass = 20\ncollars = 0 +- 50\n", BP_ERR_ARGUMENT, 3, "[bar] collars", "more than 20 kg"},
        {"[bar]\nmass = 20\nplates = 12 x 90\n", BP_ERR_ARGUMENT, 3, "[bar] plates", "more than 1000 kg"},
        {"[bar]\nmass = 20\nplates = 0 x 20\n", BP_ERR_ARGUMENT, 3, "[bar] plates", "from 1 to"},
        {"[bar]\nmass = 20\nlockout = 4.1 m\n", BP_ERR_ARGUMENT, 3, "[bar] lockout", "more than 4 m"},
        {"[bar]\nmass = 20\nlockout = 0\n", BP_ERR_ARGUMENT, 3, "[bar] lockout", "not more than 0"},
        {BAR "bottom = 110\n", BP_ERR_ARGUMENT, 3, "[bar] lockout", "not above the bottom"},
        {BAR "[rig]\nmatched = middle\n", BP_ERR_ARGUMENT, 5, "[rig] matched",
         "bottom|chest|halfway|lockout"},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_chains_that_make_no_sense(void **state)
{
    static const struct refusal list[] = {
        {CHAIN "mass-per-metre = 50.1\n", BP_ERR_ARGUMENT, 6, "mass-per-metre", "more than 50 kg/m"},
        {CHAIN "mass-per-metre = 0\n", BP_ERR_ARGUMENT, 6, "mass-per-metre", "not more than 0"},
        {CHAIN "weighed = 101 kg\n", BP_ERR_ARGUMENT, 6, "[chain a] weighed", "more than 50 kg/m"},
        {BAR "[chain a]\nlength = 0\nmass-per-metre = 3\n", BP_ERR_ARGUMENT, 5, "[chain a] length",
         "not more"},
        {BAR "[chain a]\nlength = -1\nmass-per-metre = 3\n", BP_ERR_ARGUMENT, 5, "[chain a] length",
         "negative"},
        {BAR "[chain a]\nlength = 21 m\nmass-per-metre = 3\n", BP_ERR_ARGUMENT, 5, "[chain a] length",
         "20 m"},
        {BAR "[chain a]\nlength = 2 m +- 1 cm\nmass-per-metre = 3\n", BP_ERR_FORMAT, 5, "length",
         "no \xC2\xB1 here"},
        {HUNG "leader = 110\n", BP_ERR_ARGUMENT, 7, "[chain a] leader", "never leaves the floor"},
        {HUNG "leader = -1\n", BP_ERR_ARGUMENT, 7, "[chain a] leader", "negative"},
        {HUNG "first-link-at-lockout = 111\n", BP_ERR_ARGUMENT, 7, "first-link-at-lockout", "above the bar"},
        {HUNG "first-link-at-lockout = 0\n", BP_ERR_ARGUMENT, 7, "first-link-at-lockout", "not more than 0"},
        {HUNG "count = 0\n", BP_ERR_ARGUMENT, 7, "[chain a] count", "from 1 to 50"},
        {HUNG "count = 51\n", BP_ERR_ARGUMENT, 7, "[chain a] count", "from 1 to 50"},
        {HUNG "count = 99999999999999999999999\n", BP_ERR_ARGUMENT, 7, "[chain a] count", "from 1 to 50"},
        {HUNG "side = top\n", BP_ERR_ARGUMENT, 7, "[chain a] side", "both|left|right"},
        {HUNG "side = rights\n", BP_ERR_ARGUMENT, 7, "[chain a] side", "both|left|right"},
        {HUNG "side =\n", BP_ERR_ARGUMENT, 7, "[chain a] side", "both|left|right"},
        {HUNG "fold = triple\n", BP_ERR_ARGUMENT, 7, "[chain a] fold", "single|doubled"},
        {HUNG "count = 2\nown = 3\n", BP_ERR_ARGUMENT, 8, "[chain a] own", "4 hang, and the gym owns 3"},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_pulls_that_make_no_sense(void **state)
{
    static const struct refusal list[] = {
        {BAND "points = 60: 5\n", BP_ERR_ARGUMENT, 6, "[band a] points", "one point"},
        {BAND "rest = 50\npoints = 60: 5\n", BP_ERR_ARGUMENT, 7, "[band a] points", "one point"},
        {BAND "points =\n", BP_ERR_ARGUMENT, 6, "[band a] points", "no point"},
        {BAND "points = 60: 5, 80: 4.9\n", BP_ERR_ARGUMENT, 6, "[band a] points", "pull falls"},
        {BAND "points = 80: 4.9, 60: 5\n", BP_ERR_ARGUMENT, 6, "[band a] points", "pull falls"},
        {BAND "points = 60: 5,\n  80: 12,\n  70: 8\n", BP_ERR_ARGUMENT, 8, "[band a] points", "out of order"},
        {BAND "points = 60: 5, 60: 6\n", BP_ERR_ARGUMENT, 6, "[band a] points", "same length twice"},
        {BAND "points = 60: 0, 80: 0\n", BP_ERR_ARGUMENT, 6, "[band a] points", "pulls nothing"},
        {BAND "points = 60: -5, 80: 0\n", BP_ERR_ARGUMENT, 6, "[band a] points", "negative"},
        {BAND "points = 0: 5, 80: 6\n", BP_ERR_ARGUMENT, 6, "[band a] points", "not more than 0"},
        {BAND "points = 60 5, 80 6\n", BP_ERR_FORMAT, 6, "[band a] points", "length: pull"},
        {BAND "points = 60: 5, 11 m: 6\n", BP_ERR_ARGUMENT, 6, "[band a] points", "more than 10 m"},
        {BAND "points = 60: 5, 80: 600\n", BP_ERR_ARGUMENT, 6, "[band a] points", "5000 N"},
        {BAND "points = 60 +- 1: 5, 80: 6\n", BP_ERR_FORMAT, 6, "[band a] points", "no \xC2\xB1 here"},
        {BAND "rest = 60\npoints = 60: 5, 80: 12\n", BP_ERR_ARGUMENT, 7, "[band a] points", "at rest"},
        {BAND "rest = 70\npoints = 60: 5, 80: 12\n", BP_ERR_ARGUMENT, 7, "[band a] points", "at rest"},
        {BAND "points = 60: 5, 80: 12\npull-uncertainty = 5 kg\n", BP_ERR_ARGUMENT, 7, "pull-uncertainty",
         "as large as a pull"},
        {BAND "points = 60: 5, 80: 12\npull-uncertainty = 100 %\n", BP_ERR_ARGUMENT, 7, "pull-uncertainty",
         "as large as a pull"},
        {BAND "points = 60: 5, 80: 12\npull-uncertainty = 2 kg %\n", BP_ERR_UNITS, 7, "pull-uncertainty",
         "kg %"},
        {BAND "points = 60: 5 +- 1, 80: 12 +- 1\npull-uncertainty = little\n", BP_ERR_NUMBER, 7,
         "pull-uncertainty", "little"},
        {BAND "points = 60: 5, 80: 12\npull-uncertainty = 1 +- 1\n", BP_ERR_FORMAT, 7, "pull-uncertainty",
         NULL},
        {BAND "points = 60: 5, 80: 12\nslackening-points = 60: 6, 80: 13\n", BP_ERR_ARGUMENT, 7,
         "slackening-points", "exchanged"},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_bands_that_lead_nowhere(void **state)
{
    static const struct refusal list[] = {
        {PULLS "peg = 20 cm, 15 cm\n", BP_ERR_FORMAT, 6, "[band a] peg", "which way"},
        {PULLS "peg = 20 in\n", BP_ERR_FORMAT, 6, "[band a] peg", "which way"},
        {PULLS "peg = 20 cm aside\n", BP_ERR_FORMAT, 6, "[band a] peg", "how high"},
        {PULLS "peg = 20 cm aside, 10 cm inward, floor\n", BP_ERR_FORMAT, 6, "[band a] peg", "said twice"},
        {PULLS "peg = floor, 5 cm high\n", BP_ERR_FORMAT, 6, "[band a] peg", "said twice"},
        {PULLS "peg = 5 m high\n", BP_ERR_ARGUMENT, 6, "[band a] peg", "more than 4 m"},
        {PULLS "peg = -5 cm high\n", BP_ERR_ARGUMENT, 6, "[band a] peg", "negative"},
        {PULLS "peg = high\n", BP_ERR_NUMBER, 6, "[band a] peg", "missing"},
        {PULLS "peg =\n", BP_ERR_FORMAT, 6, "[band a] peg", "how high"},
        {PULLS "peg = floor\nwidth = 301\n", BP_ERR_ARGUMENT, 7, "[band a] width", "300 mm"},
        {PULLS "peg = floor\npeg 5 = floor\n", BP_ERR_FORMAT, 7, "peg 5", NULL},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_a_stock_that_makes_no_sense(void **state)
{
    static const struct refusal list[] = {
        {BAR "[stock]\nplates = 20 kg\n", BP_ERR_FORMAT, 5, "[stock] plates", "4 x 20 kg"},
        {BAR "[stock]\nplates = 4 x 20 kg, 2 x 20\n", BP_ERR_ARGUMENT, 5, "[stock] plates", "twice"},
        {BAR "[stock]\nplates = 4 x 0\n", BP_ERR_ARGUMENT, 5, "[stock] plates", "not more than 0"},
        {BAR "[stock]\nplates = 4 x 101\n", BP_ERR_ARGUMENT, 5, "[stock] plates", "100 kg"},
        {BAR "[stock]\nplates = 4 x 20 +- 1\n", BP_ERR_FORMAT, 5, "[stock] plates", "no \xC2\xB1 here"},
        {BAR
         "[stock]\nplates = 1x1,1x2,1x3,1x4,1x5,1x6,1x7,1x8,1x9,1x10,1x11,1x12,1x13,1x14,1x15,1x16,\n 1x17\n",
         BP_ERR_LIMIT, 6, "[stock] plates", "16"},
    };
    REFUSE_ALL(list);
}

static void rig_refuses_more_than_it_can_hold(void **state)
{
    struct rig_read *read = *state;
    char text[4096] = BAR;
    for (int k = 0; k <= BP_CHAINS_MAX; k++) {
        char part[] = "[chain a]\nlength = 2 m\nmass-per-metre = 3.8\n";
        part[7] = (char)('a' + k);
        strcat(text, part);
    }
    support_refuse(read, text, BP_ERR_LIMIT, 4 + 3 * BP_CHAINS_MAX, "at most 8", NULL);

    char points[4096] = BAND "points =\n";
    for (int k = 0; k <= BP_BAND_POINTS_MAX; k++) {
        char part[] = " 10: 1\n";
        part[1] = (char)('1' + k / 10);
        part[2] = (char)('0' + k % 10);
        strcat(points, part);
    }
    support_refuse(read, points, BP_ERR_LIMIT, 7 + BP_BAND_POINTS_MAX, "[band a] points", "at most 24");
    char rested[4096 + 16];
    points[strlen(points) - 7] = '\0'; /* 24 of them, and rest is one more */
    snprintf(rested, sizeof rested, "%srest = 5\n", points);
    support_refuse(read, rested, BP_ERR_LIMIT, 6, "[band a] points", "rest among them");
}

static void rig_refuses_names_and_lines_that_are_too_long(void **state)
{
    struct rig_read *read = *state;
    char text[1024];
    char name[64 + 1];
    memset(name, 'n', 64);
    name[64] = '\0';
    snprintf(text, sizeof text, BAR "[chain %s]\n", name);
    support_refuse(read, text, BP_ERR_LIMIT, 4, "63 bytes", NULL);
    snprintf(text, sizeof text, BAR "[rig]\nname = %s\n", name);
    support_refuse(read, text, BP_ERR_LIMIT, 5, "[rig] name", "63 bytes");
    snprintf(text, sizeof text, BAR "[rig]\nname = %s%s%s\n", name, name, name);
    support_refuse(read, text, BP_ERR_LIMIT, 5, "indented", "190");
    /* A remark may be as long as it likes. */
    snprintf(text, sizeof text, BAR "; %s%s%s%s\n", name, name, name, name);
    support_accept(read, text);
}

int main(void)
{
    static struct rig_read read;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_prestate(rig_refuses_a_file_that_is_none, &read),
        cmocka_unit_test_prestate(rig_refuses_sections_it_does_not_know_or_has_already, &read),
        cmocka_unit_test_prestate(rig_refuses_keys_it_does_not_know_or_has_already, &read),
        cmocka_unit_test_prestate(rig_refuses_what_lacks_a_needed_key, &read),
        cmocka_unit_test_prestate(rig_refuses_keys_that_exclude_each_other, &read),
        cmocka_unit_test_prestate(rig_refuses_numbers_that_are_none, &read),
        cmocka_unit_test_prestate(rig_refuses_units_of_another_kind, &read),
        cmocka_unit_test_prestate(rig_refuses_values_that_make_no_sense, &read),
        cmocka_unit_test_prestate(rig_refuses_chains_that_make_no_sense, &read),
        cmocka_unit_test_prestate(rig_refuses_pulls_that_make_no_sense, &read),
        cmocka_unit_test_prestate(rig_refuses_bands_that_lead_nowhere, &read),
        cmocka_unit_test_prestate(rig_refuses_a_stock_that_makes_no_sense, &read),
        cmocka_unit_test_prestate(rig_refuses_more_than_it_can_hold, &read),
        cmocka_unit_test_prestate(rig_refuses_names_and_lines_that_are_too_long, &read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
