/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the summary tests share: a simulated set, analysed, beside its truth.
 */
#ifndef BARPLUMB_TESTS_SUMMARY_SETS_H
#define BARPLUMB_TESTS_SUMMARY_SETS_H

#include "barplumb/analyse.h"
#include "simulate/simulate.h"

/* cmocka compares in single precision; this does not. */
#define assert_near(value, expected, tolerance) assert_true(fabs((value) - (expected)) <= (tolerance))

struct set {
    struct bp_arena arena;
    struct bp_trace trace;
    struct bp_analyse_settings settings;
    struct bp_summary summary;
    struct bp_error error;
    struct sim_truth truth;
};

/* cmocka setup and teardown: *state is a struct set with an empty arena. */
int set_up(void **state);
int set_down(void **state);

/* Simulates scenario into set->trace and set->truth; the settings are the defaults with its lift. */
void set_simulate(struct set *set, const struct sim_scenario *scenario);

/* The analysis of set->trace. */
enum bp_code set_analyse(struct set *set);

/* True when the summary's findings hold one of that code. */
bool set_found(const struct set *set, const char *code);

#endif
