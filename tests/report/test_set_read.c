/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/report.h"

#include "report/samples.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <stdio.h>
#include <string.h>

struct back {
    struct bp_arena arena;
    struct bp_summary summary;
    struct bp_error error;
    struct bp_text document;
};

static int set_up(void **state)
{
    static struct back back;
    memset(&back, 0, sizeof back);
    bp_arena_init(&back.arena);
    bp_text_init(&back.document);
    *state = &back;
    return 0;
}

static int tear_down(void **state)
{
    struct back *back = *state;
    bp_arena_free(&back->arena);
    bp_text_free(&back->document);
    return 0;
}

static enum bp_code read_back(struct back *back, const char *bytes, size_t count)
{
    return bp_report_set_read(bytes, count, &back->arena, &back->summary, &back->error);
}

static void expect_same_document(struct back *back, const struct bp_summary *summary, bool indent)
{
    struct bp_text again;
    bp_text_init(&again);
    bp_text_free(&back->document);
    bp_report_set_json(summary, indent, &back->document);
    assert_int_equal(read_back(back, back->document.data, back->document.length), BP_OK);
    bp_report_set_json(&back->summary, indent, &again);
    assert_string_equal(again.data, back->document.data);
    bp_text_free(&again);
}

static void a_set_read_back_is_written_the_same(void **state)
{
    struct back *back = *state;
    static struct sample sample;
    sample_full(&sample);
    expect_same_document(back, &sample.summary, false);
    expect_same_document(back, &sample.summary, true);
    sample_bare(&sample);
    expect_same_document(back, &sample.summary, false);
}

static void a_part_of_a_log_comes_back(void **state)
{
    struct back *back = *state;
    static struct sample sample;
    sample_full(&sample);
    sample.summary.log.part = 2;
    sample.summary.log.parts = 3;
    sample.summary.log.part_from_s = 312.4375;
    expect_same_document(back, &sample.summary, false);
    assert_non_null(strstr(back->document.data, "\"part\":2,\"parts\":3,\"part_from_s\":312.4375"));
    assert_int_equal(back->summary.log.part, 2);
    assert_int_equal(back->summary.log.parts, 3);
    assert_true(back->summary.log.part_from_s == 312.4375);
    sample_full(&sample);
    expect_same_document(back, &sample.summary, false);
    assert_null(strstr(back->document.data, "part"));
    assert_int_equal(back->summary.log.parts, 0);
}

static void a_hostile_name_comes_back_whole(void **state)
{
    struct back *back = *state;
    static struct sample sample;
    sample_hostile(&sample);
    snprintf(sample.summary.log.path, sizeof sample.summary.log.path, "\"</script>\n\033[2J\\%s", "é");
    sample.summary.set.setup[0] = '\0';
    expect_same_document(back, &sample.summary, false);
    assert_string_equal(back->summary.log.path, sample.summary.log.path);
}

static void figures_and_findings_come_back(void **state)
{
    struct back *back = *state;
    static struct sample sample;
    sample_full(&sample);
    expect_same_document(back, &sample.summary, false);
    const struct bp_summary *summary = &back->summary;
    assert_int_equal(summary->rep_count, SAMPLE_REPS);
    assert_true(summary->reps[3].missed && !bp_quantity_known(summary->reps[3].mean_velocity_m_s));
    assert_true(fabs(summary->reps[1].ranges[2].force_n.high - 1139.5) < 1e-9);
    assert_string_equal(summary->reps[1].ranges[2].name, "lockout");
    assert_int_equal(summary->set.matched, BP_MATCHED_LOCKOUT);
    assert_int_equal(summary->findings.count, 2);
    assert_int_equal(summary->findings.list[0].severity, BP_RESERVATION);
    assert_string_equal(summary->findings.list[0].code, "gap");
    assert_true(isnan(summary->findings.list[1].at_s));
}

static void keys_it_does_not_know_are_passed_over(void **state)
{
    struct back *back = *state;
    const char *bytes = "{\"schema\":\"barplumb.set/1\",\"later\":[1],\"log\":{\"path\":\"a\"},"
                        "\"set\":{\"lift\":\"squat\",\"reps\":1},\"reps\":[{\"index\":1,\"new\":{}}]}";
    assert_int_equal(read_back(back, bytes, strlen(bytes)), BP_OK);
    assert_int_equal(back->summary.set.lift, BP_SQUAT);
    assert_false(bp_quantity_known(back->summary.reps[0].mean_velocity_m_s));
    assert_true(isnan(back->summary.reps[0].drive_end_s));
}

static void what_is_no_set_is_refused(void **state)
{
    struct back *back = *state;
    const char *const bad[] = {
        "",
        "[]",
        "{\"schema\":\"barplumb.set/1\"",
        "{\"schema\":\"barplumb.check/1\",\"log\":{},\"set\":{\"lift\":\"squat\"},\"reps\":[]}",
        "{\"schema\":\"barplumb.set/1\",\"log\":{},\"set\":{\"lift\":\"curl\"},\"reps\":[]}",
        "{\"schema\":\"barplumb.set/1\",\"log\":{},\"set\":{\"lift\":\"squat\"},\"reps\":7}",
        "{\"schema\":\"barplumb.set/1\",\"log\":7,\"set\":{\"lift\":\"squat\"},\"reps\":[]}"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_int_equal(read_back(back, bad[i], strlen(bad[i])), BP_ERR_FORMAT);
        assert_true(back->error.text[0] != '\0');
        assert_int_equal(back->summary.rep_count, 0);
    }
}

static void more_reps_than_anybody_lifts_are_refused(void **state)
{
    struct back *back = *state;
    enum { REPS = 10001 };
    bp_text_put(&back->document,
                "{\"schema\":\"barplumb.set/1\",\"log\":{},\"set\":{\"lift\":\"squat\"},\"reps\":[");
    for (int r = 0; r < REPS; r++) {
        bp_text_put(&back->document, r < REPS - 1 ? "{}," : "{}]}");
    }
    assert_int_equal(read_back(back, back->document.data, back->document.length), BP_ERR_LIMIT);
    assert_int_equal(back->summary.rep_count, 0);
    assert_true(back->arena.taken_bytes < 1000000);
}

/* A seventh of them, so that it is quick. */
static void no_prefix_of_a_document_is_taken_for_one(void **state)
{
    struct back *back = *state;
    static struct sample sample;
    sample_full(&sample);
    bp_report_set_json(&sample.summary, false, &back->document);
    size_t whole = back->document.length - 1; /* the newline at its end may be missing */
    for (size_t count = 0; count < whole; count += 7) {
        bp_arena_reset(&back->arena);
        assert_int_equal(read_back(back, back->document.data, count), BP_ERR_FORMAT);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_set_read_back_is_written_the_same, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_part_of_a_log_comes_back, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_hostile_name_comes_back_whole, set_up, tear_down),
        cmocka_unit_test_setup_teardown(figures_and_findings_come_back, set_up, tear_down),
        cmocka_unit_test_setup_teardown(keys_it_does_not_know_are_passed_over, set_up, tear_down),
        cmocka_unit_test_setup_teardown(what_is_no_set_is_refused, set_up, tear_down),
        cmocka_unit_test_setup_teardown(more_reps_than_anybody_lifts_are_refused, set_up, tear_down),
        cmocka_unit_test_setup_teardown(no_prefix_of_a_document_is_taken_for_one, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
