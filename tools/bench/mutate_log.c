/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A log being spoilt: taken from the simulator's arrays, and written as CSV again.
 */
#include "bench/mutate.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { STREAM = 1000 }; /* of the seed: none that the simulator draws from */

double mutate_between(struct mutant *m, double low, double high)
{
    return bp_random_between(&m->random, low, high);
}

int mutate_count(struct mutant *m, int low, int high)
{
    int drawn = low + (int)floor(mutate_between(m, 0, high - low + 1));
    return drawn > high ? high : drawn;
}

double mutate_time(struct mutant *m)
{
    return mutate_between(m, m->set_from_s, m->set_to_s);
}

double mutate_ratio(struct mutant *m, double low, double high)
{
    return exp(mutate_between(m, log(low), log(high)));
}

size_t mutate_row(const struct mutant *m, double t)
{
    size_t i = 0;
    while (i + 1 < m->count && m->rows[i].t < t) {
        i++;
    }
    return i;
}

void mutate_say(struct mutant *m, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    vsnprintf(m->what, sizeof m->what, format, list);
    va_end(list);
}

static double begins(const struct sim_rep_truth *rep)
{
    return isfinite(rep->descent_start_s) ? fmin(rep->descent_start_s, rep->turnaround_s)
                                          : rep->drive_start_s;
}

bool mutant_init(struct mutant *m, const struct sim_log *log, const struct sim_truth *truth, uint64_t seed)
{
    const struct sim_rep_truth *last = &truth->reps[truth->rep_count - 1];
    *m = (struct mutant){.count = log->count,
                         .room = 2 * log->count,
                         .gyroscope = log->gyroscope,
                         .set_from_s = begins(&truth->reps[0]),
                         .set_to_s = isfinite(last->drive_end_s) ? last->drive_end_s : last->turnaround_s,
                         .layout = sim_layout_defaults,
                         .cut_column = -1,
                         .stretch = 1};
    bp_random_init(&m->random, seed, STREAM);
    m->rows = calloc(m->room, sizeof *m->rows);
    for (size_t i = 0; m->rows && i < log->count; i++) {
        m->rows[i].t = log->time_s[i];
        for (int a = 0; a < 3; a++) {
            m->rows[i].v[a] = log->force[a][i];
            m->rows[i].v[3 + a] = log->gyroscope ? log->turn[a][i] : 0;
            m->rows[i].gravity[a] = log->gravity[a][i];
        }
    }
    return m->rows != NULL;
}

void mutant_free(struct mutant *m)
{
    free(m->rows);
    m->rows = NULL;
}

/* ---- as text ---- */

static bool to_log(const struct mutant *m, struct sim_log *log, double *arrays)
{
    size_t n = m->count;
    *log = (struct sim_log){.count = n, .turn_count = n, .gyroscope = m->gyroscope, .time_s = arrays};
    for (int a = 0; a < 3; a++) {
        log->force[a] = arrays + (size_t)(1 + a) * n;
        log->turn[a] = arrays + (size_t)(4 + a) * n;
        log->gravity[a] = arrays + (size_t)(7 + a) * n;
    }
    for (size_t i = 0; i < n; i++) {
        log->time_s[i] = fmax(m->rows[i].t, 0);
        for (int a = 0; a < 3; a++) {
            log->force[a][i] = m->rows[i].v[a];
            log->turn[a][i] = m->rows[i].v[3 + a];
            log->gravity[a][i] = m->rows[i].gravity[a];
        }
    }
    return true;
}

static bool is_bad(struct mutant *m, size_t row, int column, size_t *left)
{
    if (column != m->bad_column || row < m->bad_from || *left == 0) {
        return false;
    }
    if (m->bad_scattered && mutate_between(m, 0, 1) > 0.02) {
        return false;
    }
    (*left)--;
    return true;
}

/* Copies the cells of one line, but for those that are cut or spoilt. */
static void put_line(struct mutant *m, const char *line, size_t length, size_t row, size_t *left,
                     struct bp_text *text)
{
    int column = 0;
    bool first = true;
    for (size_t from = 0; from <= length; column++) {
        const char *end = memchr(line + from, m->layout.separator, length - from);
        size_t to = end ? (size_t)(end - line) : length;
        if (column != m->cut_column) {
            if (!first) {
                bp_text_put_char(text, m->layout.separator);
            }
            first = false;
            if (row > 0 && is_bad(m, row, column, left)) {
                bp_text_put(text, m->bad_cell);
            } else {
                for (size_t i = from; i < to; i++) {
                    bp_text_put_char(text, line[i]);
                }
            }
        }
        from = to + 1;
    }
    bp_text_put_char(text, '\n');
}

static void rewrite(struct mutant *m, const struct bp_text *plain, struct bp_text *text)
{
    size_t row = 0, left = m->bad_rows;
    for (size_t from = 0; from < plain->length; row++) {
        const char *end = memchr(plain->data + from, '\n', plain->length - from);
        size_t length = (end ? (size_t)(end - plain->data) : plain->length) - from;
        put_line(m, plain->data + from, length, row, &left, text);
        from += length + 1;
    }
}

void mutant_write(struct mutant *m, struct bp_text *text)
{
    struct sim_log log;
    struct bp_text plain;
    double *arrays = calloc(m->count * 10 + 1, sizeof *arrays);
    bp_text_init(&plain);
    if (arrays && to_log(m, &log, arrays)) {
        sim_write_csv(&log, &m->layout, &plain);
    }
    if (!arrays || plain.failed) {
        text->failed = true;
    } else {
        rewrite(m, &plain, text);
    }
    bp_text_free(&plain);
    free(arrays);
}

/* ---- the truth on the spoilt clock ---- */

static double moved_time(const struct mutant *m, double t)
{
    return t <= m->at_s ? t : fmax(m->at_s, m->at_s + (t - m->at_s) * m->stretch + m->shift_s);
}

void mutant_truth(const struct mutant *m, const struct sim_truth *truth, struct sim_truth *moved)
{
    *moved = *truth;
    for (size_t r = 0; r < truth->rep_count; r++) {
        struct sim_rep_truth *rep = &moved->reps[r];
        double *const times[] = {&rep->descent_start_s, &rep->descent_end_s, &rep->turnaround_s,
                                 &rep->drive_start_s,   &rep->drive_end_s,   &rep->top_s};
        for (size_t k = 0; k < sizeof times / sizeof *times; k++) {
            *times[k] = moved_time(m, *times[k]);
        }
    }
}
