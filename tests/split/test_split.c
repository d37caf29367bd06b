/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "split/session.h"

#include "barplumb/random.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void survey(void **state)
{
    struct session *s = *state;
    int from = atoi(getenv("FROM") ? getenv("FROM") : "1"), to = atoi(getenv("TO") ? getenv("TO") : "10");
    bool table = getenv("TABLE") != NULL, walk = getenv("WALK") != NULL;
    int sets = 0, found = 0, wrong_count = 0, reps_ok = 0, alone_ok = 0, both_wrong = 0, lost = 0, norep = 0;
    for (int seed = from; seed <= to; seed++) {
        struct sim_scenario first, next;
        session_clear(s, (uint64_t)seed);
        sim_scenario_random((uint64_t)seed, &first);
        if (first.turn_rate_hz > 0)
            first.turn_rate_hz = 0;
        struct bp_random r;
        bp_random_init(&r, (uint64_t)seed, 77);
        int n = 2 + (int)bp_random_between(&r, 0, 3);
        double turn = 0;
        for (int k = 0; k < n; k++) {
            session_vary(&first, (uint64_t)(seed * 100 + k), &next);
            if (sim_scenario_fault(&next))
                printf("%d fault %s\n", seed, sim_scenario_fault(&next));
            session_add_set(s, &next, turn);
            if (k + 1 < n) {
                session_add_rest(s, bp_random_between(&r, 0, 10));
                if (table)
                    session_add_turn(s, bp_random_between(&r, 2, 4));
                if (walk) {
                    session_add_turn(s, 3);
                    session_add_walk(s, 20);
                    session_add_turn(s, 3);
                }
                session_add_rest(s, bp_random_between(&r, 30, 90));
                if (walk) {
                    session_add_turn(s, 3);
                    session_add_walk(s, 20);
                    session_add_turn(s, 3);
                    session_add_rest(s, 30);
                }
                turn = table ? bp_random_between(&r, 2, 4) : 1;
            }
        }
        struct bp_parts parts;
        struct bp_error error;
        assert_int_equal(bp_split_trace(&s->trace, NULL, &s->arena, &parts, &error), BP_OK);
        sets += n;
        if ((int)parts.count != n) {
            wrong_count++;
            printf("seed %d: %d sets, %zu parts, left %zu lift %d\n", seed, n, parts.count, parts.left_count,
                   first.lift);
        }
        for (int k = 0; k < n; k++) {
            double at = s->begins_s[k] + s->truth[k].reps[0].drive_start_s;
            struct bp_trace *part = NULL;
            for (size_t p = 0; p < parts.count; p++) {
                double f = parts.list[p].from_s;
                if (at > f && at < f + parts.list[p].time_s[parts.list[p].count - 1])
                    part = &parts.list[p];
            }
            if (!part) {
                lost++;
                continue;
            }
            found++;
            if (getenv("ANALYSE")) {
                struct bp_analyse_settings st = bp_analyse_defaults;
                struct bp_summary a, b;
                struct bp_error e;
                st.lift = first.lift;
                st.lift_given = true;
                bp_analyse_trace(part, &st, &s->arena, &a, &e);
                if (a.rep_count == 0)
                    printf("   %s\n", e.text);
                bp_analyse_trace(&s->alone[k], &st, &s->arena, &b, &e);
                size_t want = s->truth[k].rep_count;
                reps_ok += a.rep_count == want;
                alone_ok += b.rep_count == want;
                both_wrong += a.rep_count != want && b.rep_count != want;
                if (getenv("VERB"))
                    printf("part %.1f..%.1f set %.1f..%.1f still %.1f handling %.1f %.1f; drive %.1f\n",
                           part->from_s, part->from_s + part->time_s[part->count - 1], s->begins_s[k],
                           s->begins_s[k] + s->truth[k].duration_s, first.still_start_s,
                           first.handling_start_s, first.handling_end_s, at);
                if (a.rep_count != want)
                    printf("seed %d set %d: truth %zu, part %zu, alone %zu (gyro %d)\n", seed, k, want,
                           a.rep_count, b.rep_count, first.gyroscope);
            }
        }
        if (getenv("ANALYSE")) {
            for (size_t p = 0; p < parts.count; p++) {
                double f = parts.list[p].from_s, t = f + parts.list[p].time_s[parts.list[p].count - 1];
                bool any = false;
                for (int k = 0; k < n; k++) {
                    double at = s->begins_s[k] + s->truth[k].reps[0].drive_start_s;
                    any |= at > f && at < t;
                }
                if (!any) {
                    struct bp_analyse_settings st = bp_analyse_defaults;
                    struct bp_summary a;
                    struct bp_error e;
                    st.lift = first.lift;
                    st.lift_given = true;
                    enum bp_code c = bp_analyse_trace(&parts.list[p], &st, &s->arena, &a, &e);
                    printf("   extra part: code %d reps %zu\n", c, a.rep_count);
                    norep++;
                }
            }
        }
    }
    printf(
        "sets %d found %d lost %d wrong-count sessions %d | reps ok %d alone ok %d both wrong %d extra %d\n",
        sets, found, lost, wrong_count, reps_ok, alone_ok, both_wrong, norep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test_setup_teardown(survey, session_up, session_down)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
