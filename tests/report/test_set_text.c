/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/report.h"
#include "report/expected.h"
#include "report/samples.h"
#include "report/survive.h"

#include "report/utf8.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <string.h>

static const struct bp_report_settings plain = {false, 0};

static void put_sample(struct bp_text *out)
{
    struct sample sample;
    sample_full(&sample);
    bp_report_set_text(&sample.summary, &plain, out);
}

static void set_text_of_a_full_set_reads_as_agreed(void **state)
{
    (void)state;
    struct bp_text out;
    bp_text_init(&out);
    put_sample(&out);
    expected_check("report/set_full.txt", &out);
    bp_text_free(&out);
}

static void set_text_of_a_bare_set_leaves_out_what_is_not_known(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_bare(&sample);
    bp_report_set_text(&sample.summary, &plain, &out);
    expected_check("report/set_bare.txt", &out);
    assert_null(strstr(out.data, "nan"));
    assert_null(strstr(out.data, "unknown"));
    assert_null(strstr(out.data, "velocity loss"));
    assert_null(strstr(out.data, "±"));
    assert_non_null(strstr(out.data, "intervals are not estimated"));
    bp_text_free(&out);
}

static void set_text_says_which_set_of_the_log_it_is(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_full(&sample);
    sample.summary.log.part = 2;
    sample.summary.log.parts = 3;
    sample.summary.log.part_from_s = 312.4375;
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_non_null(strstr(out.data, "\nset 2 of 3, from 312.4 s\n"));
    bp_text_free(&out);
}

static void expect_narrow_lines(const char *text)
{
    while (*text != '\0') {
        char line[1024];
        size_t length = strcspn(text, "\n");
        assert_true(length < sizeof line);
        memcpy(line, text, length);
        line[length] = '\0';
        if (bp_utf8_width(line) > 80) {
            fail_msg("%zu columns: %s", bp_utf8_width(line), line);
        }
        if (length > 0 && line[length - 1] == ' ') {
            /* the picture's rows may end in blanks where a rep has no speed */
            assert_non_null(strstr(line, "▁"));
        }
        text += length + (text[length] == '\n');
    }
}

static void set_text_fits_eighty_columns(void **state)
{
    (void)state;
    void (*const samples[])(struct sample *) = {sample_full, sample_bare, sample_hostile};
    for (size_t i = 0; i < 3; i++) {
        struct bp_text out;
        struct sample sample;
        bp_text_init(&out);
        samples[i](&sample);
        memset(sample.summary.set.setup, 'w', 30);
        bp_report_set_text(&sample.summary, &plain, &out);
        expect_narrow_lines(out.data);
        bp_text_free(&out);
    }
}

static void set_text_sends_no_escape_unless_colour_is_asked_for(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    const struct bp_report_settings colour = {true, 0};
    bp_text_init(&out);
    sample_hostile(&sample);
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_null(memchr(out.data, '\033', out.length));
    assert_null(strstr(out.data, "\xC2\x9B"));
    size_t before = out.length;
    bp_report_set_text(&sample.summary, &colour, &out);
    assert_non_null(memchr(out.data + before, '\033', out.length - before));
    assert_null(strstr(out.data + before, "\033[2J")); /* the path's own */
    bp_text_free(&out);
}

static void set_text_of_an_unknown_load_has_no_third_table(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_bare(&sample);
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_null(strstr(out.data, "Load, force and power"));
    bp_text_free(&out);
}

static void set_text_tells_the_load_by_range_only_where_it_varies(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_full(&sample);
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_non_null(strstr(out.data, "gained on the way up 19.6"));
    assert_non_null(strstr(out.data, "  1      95.0 ±0.6  103.0 ±0.6  111.0 ±0.6"));
    assert_non_null(strstr(out.data, "as heavy as other setups at lockout"));
    expect_narrow_lines(out.data);
    bp_text_free(&out);
    sample.summary.set.load_varies = false;
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_null(strstr(out.data, "gained on the way"));
    assert_non_null(strstr(out.data, "  1  103.2 ±0.6"));
    expect_narrow_lines(out.data);
    bp_text_free(&out);
}

/* The line that begins so, and whether it holds `word`. */
static bool line_of(const char *text, const char *begin, const char *word)
{
    const char *line = strstr(text, begin), *found = line != NULL ? strstr(line, word) : NULL;
    assert_non_null(line);
    return found != NULL && found < strchr(line, '\n');
}

static void set_text_names_a_frequency_only_where_the_reps_agree(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_full(&sample);
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_true(line_of(out.data, "  shake 3", "mostly at 2.1 ±0.1 Hz"));
    sample.reps[1].shake_hz = (struct bp_quantity){3.4, 3.2, 3.6};
    bp_text_free(&out);
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_true(line_of(out.data, "  shake 3", "at no one frequency"));
    assert_false(line_of(out.data, "  shake 3", "Hz"));
    bp_text_free(&out);
}

/* Whether the table's column `first` stands before its column `second`. */
static bool stands_before(const struct sample *sample, const char *first, const char *second)
{
    struct bp_text out;
    bp_text_init(&out);
    bp_report_set_text(&sample->summary, &plain, &out);
    const char *line = strstr(out.data, "rep      range");
    assert_non_null(line);
    const char *a = strstr(line, first), *b = strstr(line, second);
    assert_true(a != NULL && b != NULL);
    bool before = a < b;
    bp_text_free(&out);
    return before;
}

static void set_text_has_the_descent_where_the_lift_has_it(void **state)
{
    (void)state;
    struct sample sample;
    sample_full(&sample);
    assert_true(stands_before(&sample, "descent", "pause"));
    assert_true(stands_before(&sample, "pause", "drive"));
    sample.summary.set.lift = BP_DEADLIFT;
    assert_true(stands_before(&sample, "pause", "drive"));
    assert_true(stands_before(&sample, "drive", "descent"));
}

static void set_text_sends_no_control_character_of_a_range_name(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_full(&sample);
    for (size_t r = 0; r < SAMPLE_REPS; r++) {
        sample.reps[r].ranges[0].name = "off\033[2Jchest";
    }
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_null(strchr(out.data, '\033'));
    assert_non_null(strstr(out.data, "off?[2Jchest"));
    bp_text_free(&out);
}

static void set_text_tells_how_far_a_missed_rep_came(void **state)
{
    (void)state;
    static const struct {
        double range, half;
        const char *said;
    } cases[] = {{0.255, 0.005, "  4  missed at 62 ±1 % of the way up\n"},
                 {0.001, 0.005, "  4  missed at the bottom\n"},
                 {0.402, 0.015, "  4  missed, though the bar came all the way up\n"},
                 {0.430, 0.005, "  4  missed, though the bar came all the way up\n"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct bp_text out;
        struct sample sample;
        double range = cases[i].range, half = cases[i].half;
        bp_text_init(&out);
        sample_full(&sample);
        sample.reps[SAMPLE_REPS - 1].range_m = (struct bp_quantity){range, range - half, range + half};
        bp_report_set_text(&sample.summary, &plain, &out);
        assert_non_null(strstr(out.data, cases[i].said));
        bp_text_free(&out);
    }
}

static void set_text_of_missed_reps_alone_has_no_empty_lines(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_bare(&sample);
    sample.reps[0].missed = true;
    sample.summary.set.reps = 0;
    sample.summary.set.missed = 1;
    sample.summary.set.mean_velocity_m_s = sample.summary.set.best_velocity_m_s = bp_quantity_unknown();
    sample.reps[0].mean_velocity_m_s = sample.reps[0].peak_velocity_m_s = bp_quantity_unknown();
    sample.reps[0].propulsive_velocity_m_s = bp_quantity_unknown();
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_non_null(strstr(out.data, "  1  missed\n"));
    assert_non_null(strstr(out.data, "The set: 0 reps and 1 missed\n  apparent shake 5.50 mm\n\nThis"));
    bp_text_free(&out);
}

static void set_text_shows_a_propulsive_velocity_only_where_it_differs(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_full(&sample);
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_non_null(strstr(out.data, "prop."));
    for (size_t r = 0; r < SAMPLE_REPS; r++) {
        sample.reps[r].propulsive_velocity_m_s = sample.reps[r].mean_velocity_m_s;
    }
    bp_text_free(&out);
    bp_report_set_text(&sample.summary, &plain, &out);
    assert_null(strstr(out.data, "prop."));
    assert_non_null(strstr(out.data, "The mean propulsive velocity is the mean"));
    bp_text_free(&out);
}

static void set_text_wraps_to_the_width_it_is_given(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    const struct bp_report_settings wide = {false, 200};
    bp_text_init(&out);
    sample_full(&sample);
    bp_report_set_text(&sample.summary, &wide, &out);
    assert_non_null(strstr(out.data, "are missing; the figures of the rep in which they fall are wider\n"));
    bp_text_free(&out);
}

static void set_text_survives_each_allocation_failing(void **state)
{
    (void)state;
    survive_check(put_sample);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(set_text_of_a_full_set_reads_as_agreed),
        cmocka_unit_test(set_text_of_a_bare_set_leaves_out_what_is_not_known),
        cmocka_unit_test(set_text_says_which_set_of_the_log_it_is),
        cmocka_unit_test(set_text_fits_eighty_columns),
        cmocka_unit_test(set_text_sends_no_escape_unless_colour_is_asked_for),
        cmocka_unit_test(set_text_of_an_unknown_load_has_no_third_table),
        cmocka_unit_test(set_text_tells_the_load_by_range_only_where_it_varies),
        cmocka_unit_test(set_text_names_a_frequency_only_where_the_reps_agree),
        cmocka_unit_test(set_text_has_the_descent_where_the_lift_has_it),
        cmocka_unit_test(set_text_sends_no_control_character_of_a_range_name),
        cmocka_unit_test(set_text_tells_how_far_a_missed_rep_came),
        cmocka_unit_test(set_text_of_missed_reps_alone_has_no_empty_lines),
        cmocka_unit_test(set_text_shows_a_propulsive_velocity_only_where_it_differs),
        cmocka_unit_test(set_text_wraps_to_the_width_it_is_given),
        cmocka_unit_test(set_text_survives_each_allocation_failing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
