/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Mutation of good logs: a simulated log spoilt in one way, and what the importer and the analysis make of
 * it.
 */
#ifndef BENCH_MUTATE_H
#define BENCH_MUTATE_H

#include "simulate/simulate.h"
#include "simulate/write.h"

#include "barplumb/random.h"
#include "barplumb/text.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { MUTATE_TEXT = 160 };

/* One row of a log: accelerations in 0 to 2, rates of turn in 3 to 5. */
struct mutant_row {
    double t, v[6], gravity[3];
};

/* A log being spoilt. Rows have room for twice as many as the log began with. */
struct mutant {
    struct bp_random random;
    size_t count, room;
    struct mutant_row *rows;
    bool gyroscope;
    double set_from_s, set_to_s; /* from the first rep's beginning to the last one's end */
    struct sim_layout layout;
    int cut_column; /* of the text, 0-based; -1: none */
    size_t bad_rows, bad_from;
    int bad_column; /* cells of this column are spoilt in the text, bad_rows from bad_from on */
    const char *bad_cell;
    bool bad_scattered; /* anywhere, not one below the other */
    /* Where what happened at t stands on the spoilt clock: as it was before at_s, then stretched and shifted
     * from there; what happened in the shift itself, when it is negative, is gone. */
    double at_s, stretch, shift_s;
    char what[MUTATE_TEXT];
};

struct mutation {
    const char *name;
    bool needs_gyroscope;
    void (*spoil)(struct mutant *m);
};
extern const struct mutation mutations_of_rows[], mutations_of_values[], mutations_of_text[];
extern const size_t mutations_of_rows_count, mutations_of_values_count, mutations_of_text_count;

/* ---- helpers for mutations (mutate_log.c) ---- */

double mutate_between(struct mutant *m, double low, double high);
/* low to high, both included. */
int mutate_count(struct mutant *m, int low, int high);
/* A time within the set. */
double mutate_time(struct mutant *m);
/* The first row at or after t; the last row when there is none. */
size_t mutate_row(const struct mutant *m, double t);
/* low to high, evenly in the logarithm. */
double mutate_ratio(struct mutant *m, double low, double high);
/* What was done, for people: printf-formatted. */
#if defined(__GNUC__)
__attribute__((format(printf, 2, 3)))
#endif
void mutate_say(struct mutant *m, const char *format, ...);

/* Takes the rows of log; false when memory is out. */
bool mutant_init(struct mutant *m, const struct sim_log *log, const struct sim_truth *truth, uint64_t seed);
void mutant_free(struct mutant *m);
/* The spoilt log as CSV; marks text failed when memory is out. */
void mutant_write(struct mutant *m, struct bp_text *text);
/* The truth on the spoilt clock. */
void mutant_truth(const struct mutant *m, const struct sim_truth *truth, struct sim_truth *moved);

/* Spoils `count` good logs, seeds from first_seed on, and prints what became of them by kind. limits:
 * returns 1 when more silent wrong numbers came out than tests allow. */
int bench_mutate(size_t count, uint64_t first_seed, bool verbose, bool limits);
/* The same logs unspoilt: how many carry a finding of which code. */
int bench_mutate_none(size_t count, uint64_t first_seed, bool verbose);

#endif
