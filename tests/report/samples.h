/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Hand-built summaries with invented figures: what the writers are shown in their tests.
 */
#ifndef BARPLUMB_TESTS_REPORT_SAMPLES_H
#define BARPLUMB_TESTS_REPORT_SAMPLES_H

#include "barplumb/check.h"
#include "barplumb/summary.h"

enum { SAMPLE_REPS = 4 };

struct sample {
    struct bp_summary summary;
    struct bp_rep_figures reps[SAMPLE_REPS];
};

/* Bench with chains, gyroscope, every figure with its interval; the last rep missed. */
void sample_full(struct sample *sample);
/* One squat rep, no gyroscope, no intervals, whatever can be unknown is. */
void sample_bare(struct sample *sample);
/* Path and setup made to break a writer: quotes, escapes, a formula, half a character. */
void sample_hostile(struct sample *sample);

struct sample_check {
    struct bp_trace trace; /* facts only; no samples behind it */
    struct bp_check check;
    struct bp_spell spells[2];
};
void sample_check(struct sample_check *sample);

#endif
