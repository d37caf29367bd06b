/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a heading, a date, a number and a file name are taken for.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "sheet/parts.h"

#include <math.h>
#include <string.h>

static struct bp_cell cell(const char *text)
{
    return (struct bp_cell){text, strlen(text)};
}

static void headings_are_known_by_their_words_in_any_case_and_dress(void **state)
{
    static const struct {
        const char *text;
        enum bp_sheet_role role;
        double factor;
    } headings[] = {
        {"date", BP_SHEET_DATE, 0},
        {"Session_Date", BP_SHEET_DATE, 0},
        {"LIFTER", BP_SHEET_LIFTER, 0},
        {"Exercise", BP_SHEET_LIFT, 0},
        {"set-up", BP_SHEET_SETUP, 0},
        {"bar (kg)", BP_SHEET_BAR, 1.0},
        {"Bar Mass [lb]", BP_SHEET_BAR, 0.45359237},
        {"barMass", BP_SHEET_BAR, 0},
        {"plates lb", BP_SHEET_PLATES, 0.45359237},
        {"plate_weight_kg", BP_SHEET_PLATES, 1.0},
        {"  Rig file ", BP_SHEET_RIG, 0},
        {"Recording", BP_SHEET_LOG, 0},
        {"target speed (cm/s)", BP_SHEET_TARGET, 0.01},
        {"target m/s", BP_SHEET_TARGET, 1.0},
        {"Comments", BP_SHEET_NOTES, 0},
        {"plates (stone)", BP_SHEET_PLATES, 0}, /* the unit is not known: the cells may say theirs */
        {"effort", BP_SHEET_EXTRA, 0},
        {"date lb", BP_SHEET_EXTRA, 0}, /* a day has no pounds */
        {"", BP_SHEET_EXTRA, 0},
        {"((((", BP_SHEET_EXTRA, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof headings / sizeof headings[0]; i++) {
        struct bp_cell c = cell(headings[i].text);
        struct bp_sheet_heading h = bp_sheet_read_heading(&c);
        assert_int_equal(h.role, headings[i].role);
        assert_true(fabs(h.factor - headings[i].factor) < 1e-12);
    }
}

/* Days since 1970 from `date -u -d … +%s` divided by 86400. */
static void dates_are_read_where_they_mean_one_day(void **state)
{
    static const struct {
        const char *text, *iso;
        long day;
    } dates[] = {
        {"2024-03-09", "2024-03-09", 19791},       {"2024-3-9", "2024-03-09", 19791},
        {"2024/03/09", "2024-03-09", 19791},       {"2024-03-09T18:30:00Z", "2024-03-09", 19791},
        {"2024-03-09 18:30", "2024-03-09", 19791}, {"9.3.2024", "2024-03-09", 19791},
        {"09.03.24", "2024-03-09", 19791},         {"9. 3. 2024", "2024-03-09", 19791},
        {"25/3/2024", "2024-03-25", 19807},        {"3/25/2024", "2024-03-25", 19807},
        {"25-03-2024", "2024-03-25", 19807},       {"4/4/2024", "2024-04-04", 19817},
        {"2024-02-29", "2024-02-29", 19782},       {"1970-01-01", "1970-01-01", 0},
        {"31.12.2099", "2099-12-31", 47481},
    };
    (void)state;
    for (size_t i = 0; i < sizeof dates / sizeof dates[0]; i++) {
        struct bp_cell c = cell(dates[i].text);
        struct bp_trouble trouble;
        char iso[16] = "x";
        long day = -1;
        assert_true(bp_sheet_date(&c, &day, iso, &trouble));
        assert_string_equal(iso, dates[i].iso);
        assert_int_equal(day, dates[i].day);
    }
}

static void dates_that_mean_two_days_or_none_are_refused_with_the_way_to_write_them(void **state)
{
    static const struct {
        const char *text, *part;
    } dates[] = {
        {"3/4/2024", "write 2024-03-04 or 2024-04-03"},
        {"03-04-24", "2024-03-04 or 2024-04-03"},
        {"30.2.2024", "not a day"},
        {"2023-02-29", "not a day"},
        {"2024-13-01", "not a day"},
        {"13/13/2024", "not a day"},
        {"31/4/2024", "not a day"},
        {"0.1.2024", "not a day"},
        {"1066-10-14", "not a day"},
        {"yesterday", "not a date"},
        {"2024", "not a date"},
        {"2024-03", "not a date"},
        {"2024-03/09", "not a date"},
        {"9.3.2024x", "not a date"},
        {"9.3.", "not a date"},
        {"99999-1-1", "not a date"},
        {"45360", "not a date"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof dates / sizeof dates[0]; i++) {
        struct bp_cell c = cell(dates[i].text);
        struct bp_trouble trouble = {BP_OK, ""};
        char iso[16];
        long day;
        assert_false(bp_sheet_date(&c, &day, iso, &trouble));
        assert_int_equal(trouble.code, BP_ERR_TIME);
        assert_non_null(strstr(trouble.text, dates[i].part));
    }
}

static void a_bracket_that_never_closes_reaches_no_further_than_its_heading(void **state)
{
    (void)state;
    static const char text[] = "bar (kg)(lb";
    for (size_t count = 8; count < sizeof text; count++) {
        struct bp_cell c = {text, count};
        struct bp_sheet_heading h = bp_sheet_read_heading(&c);
        assert_int_equal(h.role, BP_SHEET_BAR);
        assert_true(fabs(h.factor - 1.0) < 1e-12);
    }
}

static void masses_carry_their_unit_or_the_headings(void **state)
{
    static const struct {
        const char *text;
        double factor, kg;
    } masses[] = {
        {"60", 0, 60.0},
        {"60.5", 0, 60.5},
        {"60,5", 0, 60.5},
        {"60 kg", 0.45359237, 60.0},
        {"135 lb", 0, 61.23496995},
        {"135lbs", 1.0, 61.23496995},
        {"135", 0.45359237, 61.23496995},
        {"0", 0, 0.0},
        {"20 Kilos", 0, 20.0},
        {"+7.5", 0, 7.5},
    };
    static const struct {
        const char *text;
        enum bp_code code;
    } bad[] = {{"heavy", BP_ERR_NUMBER},   {"1.234,5", BP_ERR_NUMBER}, {"-20", BP_ERR_NUMBER},
               {"60 stone", BP_ERR_UNITS}, {"2000", BP_ERR_NUMBER},    {"nan", BP_ERR_NUMBER},
               {"1,2,3", BP_ERR_NUMBER},   {"kg", BP_ERR_NUMBER},      {"1e3", BP_ERR_UNITS}};
    (void)state;
    for (size_t i = 0; i < sizeof masses / sizeof masses[0]; i++) {
        struct bp_cell c = cell(masses[i].text);
        struct bp_trouble trouble;
        double kg = -1.0;
        assert_true(bp_sheet_number(&c, bp_sheet_mass_unit, masses[i].factor, 1000.0, &kg, &trouble));
        assert_true(fabs(kg - masses[i].kg) < 1e-9);
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct bp_cell c = cell(bad[i].text);
        struct bp_trouble trouble = {BP_OK, ""};
        double kg = -1.0;
        assert_false(bp_sheet_number(&c, bp_sheet_mass_unit, 0, 1000.0, &kg, &trouble));
        assert_int_equal(trouble.code, bad[i].code);
        assert_true(kg == -1.0);
    }
}

static void lifts_are_known_by_the_names_coaches_write(void **state)
{
    static const struct {
        const char *text;
        enum bp_lift lift;
    } lifts[] = {{"bench", BP_BENCH},       {"Bench Press", BP_BENCH}, {"back_squat", BP_SQUAT},
                 {"DEADLIFT", BP_DEADLIFT}, {"bent-over row", BP_ROW}, {"press", BP_PRESS}};
    enum bp_lift lift;
    struct bp_cell c = cell("curl");
    (void)state;
    assert_false(bp_sheet_lift(&c, &lift));
    for (size_t i = 0; i < sizeof lifts / sizeof lifts[0]; i++) {
        c = cell(lifts[i].text);
        assert_true(bp_sheet_lift(&c, &lift));
        assert_int_equal(lift, lifts[i].lift);
    }
}

static void file_names_made_from_cells_lead_nowhere_else(void **state)
{
    static const struct {
        const char *text, *name;
    } names[] = {{"L1", "L1"},
                 {"bands down", "bands%20down"},
                 {"../../etc/passwd", "%2E.%2F..%2Fetc%2Fpasswd"},
                 {".hidden", "%2Ehidden"},
                 {"-rf", "%2Drf"},
                 {"a%20b", "a%2520b"},
                 {"", "%"},
                 {"\xc3\xa9", "%C3%A9"}};
    struct bp_text text;
    char *many = NULL;
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        bp_text_init(&text);
        bp_sheet_put_safe_name(&text, names[i].text);
        assert_string_equal(text.data, names[i].name);
        assert_null(strchr(text.data, '/'));
        bp_text_free(&text);
    }
    many = test_malloc(2001);
    memset(many, '/', 2000);
    many[2000] = '\0';
    bp_text_init(&text);
    bp_sheet_put_safe_name(&text, many);
    assert_int_equal(text.length, 120);
    bp_text_free(&text);
    test_free(many);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(headings_are_known_by_their_words_in_any_case_and_dress),
        cmocka_unit_test(dates_are_read_where_they_mean_one_day),
        cmocka_unit_test(dates_that_mean_two_days_or_none_are_refused_with_the_way_to_write_them),
        cmocka_unit_test(a_bracket_that_never_closes_reaches_no_further_than_its_heading),
        cmocka_unit_test(masses_carry_their_unit_or_the_headings),
        cmocka_unit_test(lifts_are_known_by_the_names_coaches_write),
        cmocka_unit_test(file_names_made_from_cells_lead_nowhere_else),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
