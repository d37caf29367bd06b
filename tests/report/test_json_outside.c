/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Our JSON read back by jansson, a reader that is not ours, which also refuses a key given twice.
 */
#include "barplumb/report.h"
#include "report/samples.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <jansson.h>
#include <string.h>

static json_t *read_back(void (*fill)(struct sample *), bool indent)
{
    struct bp_text out;
    struct sample sample;
    json_error_t error;
    bp_text_init(&out);
    fill(&sample);
    bp_report_set_json(&sample.summary, indent, &out);
    json_t *document = json_loadb(out.data, out.length, JSON_REJECT_DUPLICATES, &error);
    if (document == NULL) {
        fail_msg("%d:%d: %s", error.line, error.column, error.text);
    }
    bp_text_free(&out);
    return document;
}

/* The keys of the contract stand first and in its order; what was added comes after them. */
static void expect_keys(json_t *object, const char *const *keys, size_t count)
{
    void *at = json_object_iter(object);
    for (size_t i = 0; i < count; i++, at = json_object_iter_next(object, at)) {
        assert_non_null(at);
        assert_string_equal(json_object_iter_key(at), keys[i]);
    }
}
#define EXPECT_KEYS(object, ...)                                                                             \
    do {                                                                                                     \
        static const char *const keys[] = {__VA_ARGS__};                                                     \
        expect_keys(object, keys, sizeof keys / sizeof keys[0]);                                             \
    } while (0)

static void json_outside_finds_the_keys_of_the_contract_in_order(void **state)
{
    (void)state;
    json_t *document = read_back(sample_full, true);
    EXPECT_KEYS(document, "schema", "log", "set", "reps");
    EXPECT_KEYS(json_object_get(document, "log"), "path", "rows", "rate_hz", "duration_s", "gyroscope",
                "findings");
    EXPECT_KEYS(json_array_get(json_object_get(json_object_get(document, "log"), "findings"), 0), "code",
                "severity", "at_s", "text");
    EXPECT_KEYS(json_object_get(document, "set"), "lift", "setup", "reps", "mean_velocity_m_s",
                "best_velocity_m_s", "velocity_loss_pct", "shake_mm", "shake_m_s2", "shake_hz",
                "clatter_m_s2", "smoothness");
    json_t *rep = json_array_get(json_object_get(document, "reps"), 1);
    EXPECT_KEYS(rep, "index", "descent_start_s", "turnaround_s", "drive_start_s", "drive_end_s",
                "descent_time_s", "pause_s", "drive_time_s", "range_m", "mean_velocity_m_s",
                "peak_velocity_m_s", "propulsive_velocity_m_s", "sticking", "ranges", "shake_mm",
                "shake_mm_s", "shake_m_s2", "shake_hz", "clatter_m_s2", "sway_area_cm2", "smoothness",
                "tilt_deg");
    EXPECT_KEYS(json_object_get(rep, "sticking"), "start_s", "end_s", "start_pct", "end_pct",
                "peak_before_m_s", "low_m_s");
    EXPECT_KEYS(json_array_get(json_object_get(rep, "ranges"), 0), "name", "from_pct", "to_pct",
                "mean_velocity_m_s", "shake_mm", "load_kg", "power_w");
    EXPECT_KEYS(json_object_get(rep, "range_m"), "value", "low", "high");
    json_decref(document);
}

static double number_at(json_t *object, const char *key, const char *part)
{
    return json_number_value(json_object_get(json_object_get(object, key), part));
}

static void json_outside_reads_the_figures_that_were_given(void **state)
{
    (void)state;
    json_t *document = read_back(sample_full, false);
    json_t *reps = json_object_get(document, "reps");
    assert_int_equal(json_array_size(reps), SAMPLE_REPS);
    json_t *rep = json_array_get(reps, 1);
    assert_true(number_at(rep, "mean_velocity_m_s", "value") == 0.42);
    assert_true(number_at(rep, "mean_velocity_m_s", "low") == 0.4158);
    assert_true(number_at(rep, "mean_velocity_m_s", "high") == 0.4242);
    assert_true(json_is_null(json_object_get(json_array_get(reps, 0), "sticking")));
    json_t *missed = json_array_get(reps, SAMPLE_REPS - 1);
    assert_true(json_is_true(json_object_get(missed, "missed")));
    assert_true(json_is_null(json_object_get(missed, "mean_velocity_m_s")));
    assert_true(json_is_null(json_object_get(missed, "drive_end_s")));
    assert_int_equal(json_array_size(json_object_get(missed, "ranges")), 0);
    json_decref(document);
}

static void json_outside_reads_unknown_as_null(void **state)
{
    (void)state;
    json_t *document = read_back(sample_bare, false);
    json_t *set = json_object_get(document, "set");
    assert_true(json_is_null(json_object_get(set, "setup")));
    assert_true(json_is_null(json_object_get(set, "shake_hz")));
    json_t *mean = json_object_get(set, "mean_velocity_m_s");
    assert_true(json_number_value(json_object_get(mean, "value")) == 0.5422);
    assert_true(json_is_null(json_object_get(mean, "low")));
    assert_true(json_is_null(json_object_get(mean, "high")));
    json_decref(document);
}

static void json_outside_reads_hostile_text_as_it_was(void **state)
{
    (void)state;
    json_t *document = read_back(sample_hostile, true);
    json_t *path = json_object_get(json_object_get(document, "log"), "path");
    assert_string_equal(json_string_value(path),
                        "=cmd|'/c x'!A1,\"q\"\n\033[2J\\\xEF\xBF\xBD\xEF\xBF\xBD\xC3\xA9.csv");
    json_decref(document);
}

static void json_outside_reads_a_check(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample_check sample;
    bp_text_init(&out);
    sample_check(&sample);
    bp_report_check_json("l1.csv", &sample.trace, &sample.check, false, &out);
    json_t *document = json_loadb(out.data, out.length, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(document);
    EXPECT_KEYS(document, "schema", "log", "verdict");
    assert_string_equal(json_string_value(json_object_get(document, "verdict")), "fit with reservations");
    json_t *stuck = json_object_get(json_object_get(document, "sensors"), "stuck");
    assert_int_equal(json_array_size(stuck), 1);
    assert_string_equal(json_string_value(json_array_get(stuck, 0)), "gy");
    json_decref(document);
    bp_text_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(json_outside_finds_the_keys_of_the_contract_in_order),
        cmocka_unit_test(json_outside_reads_the_figures_that_were_given),
        cmocka_unit_test(json_outside_reads_unknown_as_null),
        cmocka_unit_test(json_outside_reads_hostile_text_as_it_was),
        cmocka_unit_test(json_outside_reads_a_check),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
