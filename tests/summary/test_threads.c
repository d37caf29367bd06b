/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The headers say: thread-safe for different arenas. Several threads go the whole way of a log at once, each
 * with its own arena, and write what one alone writes. tools/race runs this under ThreadSanitizer.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include "barplumb/analyse.h"
#include "barplumb/report.h"

#include "simulate/simulate.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { THREADS = 4, TIMES = 3 };

struct job {
    const struct bp_text *log;
    struct bp_text report; /* of the last time */
    bool good;
};

/* Everything of one log: its import, the analysis with a rig and with traces, each report. */
static bool go_the_whole_way(const struct bp_text *log, struct bp_text *report)
{
    const struct bp_report_settings plain = {false, 0};
    struct bp_analyse_settings settings = bp_analyse_defaults;
    struct bp_arena arena;
    struct bp_trace trace;
    struct bp_summary summary;
    struct bp_rig rig;
    struct bp_error error;
    bp_rig_straight(60.0, 0.3, &rig);
    settings.rig = &rig;
    settings.keep_traces = true;
    bp_arena_init(&arena);
    bool good = bp_import_csv_bytes("log", log->data, log->length, NULL, &arena, &trace, &error) == BP_OK &&
                bp_analyse_trace(&trace, &settings, &arena, &summary, &error) == BP_OK;
    if (good) {
        bp_report_set_text(&summary, &plain, report);
        bp_report_set_csv(&summary, report);
        bp_report_set_json(&summary, true, report);
        good = !bp_report_has_page() || bp_report_set_html(&summary, NULL, report, &error) == BP_OK;
    }
    bp_arena_free(&arena);
    return good && !report->failed;
}

static void *run(void *argument)
{
    struct job *job = argument;
    job->good = true;
    for (int i = 0; i < TIMES && job->good; i++) {
        bp_text_free(&job->report);
        job->good = go_the_whole_way(job->log, &job->report);
    }
    return NULL;
}

static void simulate_log(struct bp_text *text)
{
    struct sim_scenario scenario = sim_scenario_defaults;
    struct sim_log log;
    static struct sim_truth truth;
    scenario.rate_hz = 100;
    assert_int_equal(sim_run(&scenario, &log, &truth), SIM_OK);
    bp_text_put(text, "time (s),ax (m/s2),ay (m/s2),az (m/s2),gx (rad/s),gy (rad/s),gz (rad/s)\n");
    for (size_t i = 0; i < log.count; i++) {
        bp_text_put_number(text, log.time_s[i], 6);
        for (int a = 0; a < 6; a++) {
            bp_text_put_char(text, ',');
            bp_text_put_number(text, a < 3 ? log.force[a][i] : log.turn[a - 3][i], 6);
        }
        bp_text_put_char(text, '\n');
    }
    assert_false(text->failed);
    sim_log_free(&log);
}

static void threads_write_what_one_alone_writes(void **state)
{
    (void)state;
    struct bp_text log, alone;
    struct job jobs[THREADS];
    pthread_t threads[THREADS];
    bp_text_init(&log);
    bp_text_init(&alone);
    simulate_log(&log);
    assert_true(go_the_whole_way(&log, &alone));
    for (int t = 0; t < THREADS; t++) {
        jobs[t].log = &log;
        bp_text_init(&jobs[t].report);
        assert_int_equal(pthread_create(&threads[t], NULL, run, &jobs[t]), 0);
    }
    for (int t = 0; t < THREADS; t++) {
        assert_int_equal(pthread_join(threads[t], NULL), 0);
        assert_true(jobs[t].good);
        assert_int_equal(jobs[t].report.length, alone.length);
        assert_memory_equal(jobs[t].report.data, alone.data, alone.length);
        bp_text_free(&jobs[t].report);
    }
    bp_text_free(&alone);
    bp_text_free(&log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(threads_write_what_one_alone_writes)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
