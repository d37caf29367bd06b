/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The benchmark's parts: accuracy against the simulator's truth, and time.
 */
#ifndef BENCH_BENCH_H
#define BENCH_BENCH_H

#include "barplumb/analyse.h"
#include "barplumb/text.h"
#include "simulate/simulate.h"

#include <stdbool.h>
#include <stdint.h>

/* Makes a trace of a simulated log as the importer would: one clock, the gyroscope brought to the
 * accelerometer's times, clipping and rounding judged by what the readings show. Arrays live in arena. False
 * when memory is out. */
bool bench_trace(const struct sim_log *log, struct bp_arena *arena, struct bp_trace *trace);

/* Which found rep is which true rep: found[t] is the index in the summary, SIZE_MAX for a lost one. Returns
 * how many found reps are no true rep (invented). A missed rep that is not called missed, or the reverse,
 * counts as lost and invented. */
size_t bench_match(const struct sim_truth *truth, const struct bp_summary *summary, size_t *found);

/* Analyses `sets` random sets with seeds from `first_seed` on and prints the errors against truth. only: 0
 * all sets, 'g' with gyroscope, 'a' accelerometer alone. limits: returns 1 when the outcome is outside what
 * the project promises (99 % of sets with a gyroscope and 95 % without have every rep found and none
 * invented; mean velocity within 0.015 and 0.02 m/s rms). Else 0. */
int bench_accuracy(size_t sets, uint64_t first_seed, char only, bool verbose, bool limits);

/* Measures `sets` study sets from `first_seed` on as logs with and without gravity, gyroscope and the phone's
 * own attitude, and prints how far mean velocity is off. 1 when memory is out. */
int bench_attitude(size_t sets, uint64_t first_seed, bool verbose);

/* Times the way from CSV bytes to summary for logs of growing length and prints milliseconds of CPU. */
int bench_speed(void);

/* Times the importer on a text log of seven columns beside other readers of text, and prints MB/s. path NULL:
 * a log of 200 MB, made of simulated sets, in a temporary file. */
int bench_import(const char *path);

/* Reads `count` random decimals with the importer's reader and with strtod and compares every bit. Prints how
 * many the fast path took; 1 when one differs. */
int bench_decimals(uint64_t count, uint64_t seed);

/* A six-axis CSV as a phone writes it: its header, and a simulated log's rows from start_s on. Returns when
 * the next log's rows may begin, s. */
void bench_write_header(struct bp_text *csv);
double bench_write_rows(const struct sim_log *log, double start_s, struct bp_text *csv);

#endif
