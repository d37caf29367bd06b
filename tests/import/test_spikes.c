/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Wild readings, a clock that is set back, a logger that stands still or writes a buffer twice, and flat tops
 * below the known limits of sensors.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/support.h"

#include <math.h>
#include <string.h>

#define HEADER "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n"

static void put_row(struct bp_text *text, double t, const double f[3])
{
    bp_text_put_number(text, t, 4);
    for (int a = 0; a < 3; a++) {
        bp_text_put(text, ",");
        bp_text_put_number(text, f[a], 6);
    }
    bp_text_put(text, "\n");
}

static void import_bytes(struct imported *in, struct bp_text *text)
{
    support_text(in, text->data);
    bp_text_free(text);
    if (in->code != BP_OK) {
        fail_msg("%s: %s", bp_code_name(in->code), in->error.text);
    }
    support_sound_trace(&in->trace);
}

static void import_interpolates_a_wild_reading_and_names_it(void **state)
{
    static const double wild[] = {-3, 25, 4e5};
    struct imported *in = *state;
    for (size_t k = 0; k < sizeof wild / sizeof *wild; k++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, HEADER);
        for (size_t i = 0; i < 1000; i++) {
            double f[3];
            motion_force((double)i / 100.0, true, f);
            f[0] += i == 400 ? wild[k] : 0;
            put_row(&text, (double)i / 100.0, f);
        }
        import_bytes(in, &text);
        support_moves(&in->trace, 1000, 100.0, 0.0, 1.0, 0.007); /* a line misses a bend by h^2 f''/2 */
        const struct bp_finding *found = support_finding(&in->trace, "spike");
        assert_non_null(found);
        assert_int_equal(found->severity, BP_RESERVATION);
        assert_true(fabs(found->at_s - 4.0) < 1e-9);
        assert_true(in->trace.marks[400] & BP_MARK_MENDED);
    }
}

static void import_leaves_a_knock_alone(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 2000; i++) {
        double f[3], since = (double)i / 200.0 - 5;
        motion_force((double)i / 200.0, true, f);
        f[2] += since > 0 ? 20 * exp(-since / 0.01) * cos(2 * 3.14159265 * 60 * since) : 0;
        put_row(&text, (double)i / 200.0, f);
    }
    import_bytes(in, &text);
    assert_null(support_finding(&in->trace, "spike"));
}

static void import_sets_a_clock_on_again_that_was_set_back(void **state)
{
    struct imported *in = *state;
    static const double back[] = {0.05, 0.317, 1.805};
    for (size_t k = 0; k < sizeof back / sizeof *back; k++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, HEADER);
        for (size_t i = 0; i < 1000; i++) {
            double f[3], t = (double)i / 100.0;
            motion_force(t, true, f);
            put_row(&text, i < 500 ? t : t - back[k], f);
        }
        import_bytes(in, &text);
        support_moves(&in->trace, 1000, 100.0, 0.0, 1.0, 1e-4);
        assert_int_equal(support_finding(&in->trace, "clock-set-back")->severity, BP_RESERVATION);
        assert_null(support_finding(&in->trace, "time-order"));
    }
}

/* Rows of another order that are no clock set back: a batch that comes late, and one that is sent twice. */
static void import_sorts_late_batches_as_before(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 1000; i++) {
        size_t from = i < 500 || i >= 580 ? i : i < 540 ? i + 40 : i - 40;
        text_row(&text, (double)from / 100.0, 6);
    }
    import_bytes(in, &text);
    support_moves(&in->trace, 1000, 100.0, 0.0, 1.0, 1e-6);
    assert_null(support_finding(&in->trace, "clock-set-back"));
    assert_non_null(support_finding(&in->trace, "time-order"));

    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 1050; i++) {
        text_row(&text, (double)(i < 550 ? i : i - 50) / 100.0, 6);
    }
    import_bytes(in, &text);
    support_moves(&in->trace, 1000, 100.0, 0.0, 1.0, 1e-6);
    assert_null(support_finding(&in->trace, "clock-set-back"));
}

static void import_sees_a_flat_top_below_any_sensors_end_in_a_fine_log(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    double limit = 0;
    for (size_t i = 0; i < 1000; i++) {
        double f[3];
        motion_force((double)i / 100.0, true, f);
        limit = fmax(limit, f[2]);
    }
    for (size_t i = 0; i < 1000; i++) {
        double f[3];
        motion_force((double)i / 100.0, true, f);
        f[2] = fmin(f[2], limit - 0.3);
        put_row(&text, (double)i / 100.0, f);
    }
    import_bytes(in, &text);
    assert_non_null(support_finding(&in->trace, "clipped"));
    assert_true(fabs(in->trace.force_limit - (limit - 0.3)) < 1e-5);

    text_motion(&text, HEADER, 1000, 100.0);
    import_bytes(in, &text);
    assert_null(support_finding(&in->trace, "clipped"));
}

/* A log with a sensor's noise, so that no reading repeats by chance. */
static void put_noisy_row(struct bp_text *text, size_t i, size_t reading)
{
    double f[3];
    motion_force((double)reading / 100.0, true, f);
    for (size_t a = 0; a < 3; a++) {
        f[a] += 0.01 * sin(1e4 * (double)(3 * reading + a) * (double)(reading + 1));
    }
    put_row(text, (double)i / 100.0, f);
}

static void import_takes_a_stretch_that_repeats_one_reading_for_a_gap(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 1000; i++) {
        put_noisy_row(&text, i, i >= 300 && i <= 320 ? 300 : i);
    }
    import_bytes(in, &text);
    assert_int_equal(in->trace.count, 980);
    assert_true(fabs(in->trace.time_s[300] - 3.0) < 1e-9 && fabs(in->trace.time_s[301] - 3.21) < 1e-9);
    assert_true(in->trace.marks[301] & BP_MARK_AFTER_GAP);
    const struct bp_finding *found = support_finding(&in->trace, "frozen");
    assert_non_null(found);
    assert_true(fabs(found->at_s - 3.0) < 1e-9);
    assert_int_equal(found->severity, BP_RESERVATION);

    bp_text_init(&text); /* every reading four times: a slow sensor, which the check tells */
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 1000; i++) {
        put_noisy_row(&text, i, i / 4 * 4);
    }
    import_bytes(in, &text);
    assert_int_equal(in->trace.count, 1000);
    assert_null(support_finding(&in->trace, "frozen"));
}

/* Rows 300 to 339 come again in place of what followed them, or before it: later times, the same readings. */
static void import_takes_out_a_buffer_that_is_written_twice(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 1000; i++) {
        put_noisy_row(&text, i, i < 340 ? i : i - 40);
    }
    import_bytes(in, &text);
    assert_int_equal(in->trace.count, 960);
    const struct bp_finding *found = support_finding(&in->trace, "block-repeated");
    assert_non_null(found);
    assert_int_equal(found->severity, BP_RESERVATION);
    assert_true(fabs(found->at_s - 3.4) < 1e-9);
    assert_true(fabs(in->trace.time_s[339] - 3.39) < 1e-9 && fabs(in->trace.time_s[340] - 3.8) < 1e-9);
    for (size_t i = 0; i < in->trace.count; i++) {
        assert_int_equal((in->trace.marks[i] & BP_MARK_SPOILT) != 0, i == 340);
    }
}

/* Five stretches that stand still, and five buffers written twice: three are told of with their times, the
 * rest counted. */
static void import_counts_what_it_does_not_name(void **state)
{
    struct imported *in = *state;
    for (int copied = 0; copied < 2; copied++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, HEADER);
        for (size_t i = 0; i < 3000; i++) {
            size_t within = i % 600;
            size_t still = within >= 300 && within <= 320 ? i - within + 300 : i;
            put_noisy_row(&text, i, copied == 0 ? still : within >= 340 && within < 380 ? i - 40 : i);
        }
        import_bytes(in, &text);
        assert_int_equal(in->trace.count, copied == 0 ? 3000 - 5 * 20 : 3000 - 5 * 40);
        size_t found = 0;
        const char *last = "";
        for (size_t f = 0; f < in->trace.findings.count; f++) {
            const struct bp_finding *finding = &in->trace.findings.list[f];
            if (strcmp(finding->code, copied == 0 ? "frozen" : "block-repeated") == 0) {
                last = finding->text;
                found++;
            }
        }
        assert_int_equal(found, 4);
        assert_non_null(strstr(last, "2 more"));
    }
}

static void import_leaves_alone_what_repeats_by_chance(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 1000; i++) { /* a phone at rest, rounded so that few readings differ */
        const double f[3] = {0.1 * (double)(i % 3), 0.1 * (double)(i / 3 % 2), 9.8};
        put_row(&text, (double)i / 100.0, f);
    }
    import_bytes(in, &text);
    assert_int_equal(in->trace.count, 1000);
    assert_null(support_finding(&in->trace, "block-repeated"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(import_interpolates_a_wild_reading_and_names_it),
        cmocka_unit_test(import_leaves_a_knock_alone),
        cmocka_unit_test(import_sets_a_clock_on_again_that_was_set_back),
        cmocka_unit_test(import_sorts_late_batches_as_before),
        cmocka_unit_test(import_takes_a_stretch_that_repeats_one_reading_for_a_gap),
        cmocka_unit_test(import_takes_out_a_buffer_that_is_written_twice),
        cmocka_unit_test(import_counts_what_it_does_not_name),
        cmocka_unit_test(import_leaves_alone_what_repeats_by_chance),
        cmocka_unit_test(import_sees_a_flat_top_below_any_sensors_end_in_a_fine_log),
    };
    return cmocka_run_group_tests(tests, support_setup, support_teardown);
}
