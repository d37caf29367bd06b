/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Mutations of rows and of their times.
 */
#include "bench/mutate.h"

#include <math.h>
#include <string.h>

static void remove_rows(struct mutant *m, size_t first, size_t end)
{
    memmove(m->rows + first, m->rows + end, (m->count - end) * sizeof *m->rows);
    m->count -= end - first;
}

/* Room for n rows before row at; as many as there is room for. Returns how many. */
static size_t insert_rows(struct mutant *m, size_t at, size_t n)
{
    n = m->count + n > m->room ? m->room - m->count : n;
    memmove(m->rows + at + n, m->rows + at, (m->count - at) * sizeof *m->rows);
    m->count += n;
    return n;
}

static void swap_rows(struct mutant *m, size_t i, size_t j)
{
    struct mutant_row held = m->rows[i];
    m->rows[i] = m->rows[j];
    m->rows[j] = held;
}

/* Moves all times from row `first` on. */
static void shift_times(struct mutant *m, size_t first, double by_s)
{
    for (size_t i = first; i < m->count; i++) {
        m->rows[i].t += by_s;
    }
}

static void rows_dropped(struct mutant *m)
{
    double share = mutate_ratio(m, 0.005, 0.3);
    size_t kept = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (i == 0 || mutate_between(m, 0, 1) >= share) {
            m->rows[kept++] = m->rows[i];
        }
    }
    m->count = kept;
    mutate_say(m, "%.1f %% of rows dropped at random", 100 * share);
}

static void block_dropped(struct mutant *m)
{
    double at = mutate_time(m), length = mutate_ratio(m, 0.03, 2.0);
    remove_rows(m, mutate_row(m, at), mutate_row(m, at + length));
    mutate_say(m, "%.2f s of rows dropped at %.2f s, the clock goes on", length, at);
}

static void rows_doubled(struct mutant *m)
{
    double share = mutate_ratio(m, 0.002, 0.2);
    for (size_t i = 0; i < m->count && m->count < m->room; i++) {
        if (mutate_between(m, 0, 1) < share && insert_rows(m, i, 1) == 1) {
            m->rows[i] = m->rows[i + 1];
            i++;
        }
    }
    mutate_say(m, "%.1f %% of rows written twice", 100 * share);
}

static void rows_swapped(struct mutant *m)
{
    int pairs = mutate_count(m, 1, 40), far = mutate_count(m, 1, 30);
    for (int k = 0; k < pairs; k++) {
        size_t i = (size_t)mutate_count(m, 0, (int)m->count - far - 1);
        swap_rows(m, i, i + (size_t)far);
    }
    mutate_say(m, "%d pairs of rows %d apart swapped, times and all", pairs, far);
}

static void readings_swapped(struct mutant *m)
{
    int pairs = mutate_count(m, 1, 10), far = mutate_count(m, 20, 200);
    for (int k = 0; k < pairs; k++) {
        size_t i = mutate_row(m, mutate_time(m)), j = i + (size_t)far;
        j = j < m->count ? j : m->count - 1;
        double t = m->rows[i].t;
        swap_rows(m, i, j);
        m->rows[j].t = m->rows[i].t;
        m->rows[i].t = t;
    }
    mutate_say(m, "readings of %d pairs of rows %d apart swapped, times left", pairs, far);
}

static void clock_forward(struct mutant *m)
{
    m->at_s = mutate_time(m);
    m->shift_s = mutate_ratio(m, 0.03, 30);
    shift_times(m, mutate_row(m, m->at_s), m->shift_s);
    mutate_say(m, "clock jumps forward by %.2f s at %.2f s", m->shift_s, m->at_s);
}

static void clock_backward(struct mutant *m)
{
    double by = mutate_ratio(m, 0.01, 10);
    m->at_s = mutate_time(m);
    m->shift_s = -by;
    shift_times(m, mutate_row(m, m->at_s), -by);
    mutate_say(m, "clock jumps backward by %.2f s at %.2f s", by, m->at_s);
}

static double far_from_one(struct mutant *m, double least, double most)
{
    double factor = mutate_ratio(m, 1 + least, 1 + most);
    return mutate_between(m, 0, 1) < 0.5 ? factor : 1 / factor;
}

static void stretch_from(struct mutant *m, double at)
{
    m->at_s = at;
    for (size_t i = mutate_row(m, at); i < m->count; i++) {
        m->rows[i].t = at + (m->rows[i].t - at) * m->stretch;
    }
}

static void clock_stretched_half(struct mutant *m)
{
    m->stretch = far_from_one(m, 0.02, 1.0);
    stretch_from(m, mutate_time(m));
    mutate_say(m, "clock runs %.3f times as long from %.2f s on", m->stretch, m->at_s);
}

static void clock_stretched(struct mutant *m)
{
    m->stretch = far_from_one(m, 0.02, 1.0);
    stretch_from(m, 0);
    mutate_say(m, "clock runs %.3f times as long throughout", m->stretch);
}

static void rate_halved(struct mutant *m)
{
    double at = mutate_time(m);
    size_t kept = mutate_row(m, at);
    for (size_t i = kept; i < m->count; i += 2) {
        m->rows[kept++] = m->rows[i];
    }
    m->count = kept;
    mutate_say(m, "every other row dropped from %.2f s on", at);
}

static void block_cut_out(struct mutant *m)
{
    double length = mutate_ratio(m, 0.03, 2.0);
    m->at_s = mutate_time(m);
    size_t first = mutate_row(m, m->at_s), end = mutate_row(m, m->at_s + length);
    m->shift_s = m->rows[first].t - m->rows[end].t;
    shift_times(m, end, m->shift_s);
    remove_rows(m, first, end);
    mutate_say(m, "%.2f s cut out at %.2f s without trace in the clock", length, m->at_s);
}

static void block_twice_on(struct mutant *m)
{
    double length = mutate_ratio(m, 0.03, 1.5);
    m->at_s = mutate_time(m);
    size_t first = mutate_row(m, m->at_s), end = mutate_row(m, m->at_s + length);
    size_t n = insert_rows(m, first, end - first);
    memcpy(m->rows + first, m->rows + first + n, n * sizeof *m->rows);
    m->shift_s = m->rows[first + 2 * n].t - m->rows[first].t;
    shift_times(m, first + n, m->shift_s);
    mutate_say(m, "%.2f s written twice at %.2f s, the clock goes on", length, m->at_s);
}

static void block_twice_same(struct mutant *m)
{
    double at = mutate_time(m), length = mutate_ratio(m, 0.03, 5);
    size_t first = mutate_row(m, at), end = mutate_row(m, at + length);
    size_t n = insert_rows(m, first, end - first);
    memcpy(m->rows + first, m->rows + first + n, n * sizeof *m->rows);
    mutate_say(m, "%.2f s written twice at %.2f s with the same times", length, at);
}

static void turned_round(struct mutant *m)
{
    for (size_t i = 0; 2 * i + 1 < m->count; i++) {
        swap_rows(m, i, m->count - 1 - i);
    }
    mutate_say(m, "rows written from last to first");
}

const struct mutation mutations_of_rows[] = {
    {"rows dropped here and there", false, rows_dropped},
    {"a block dropped, clock goes on", false, block_dropped},
    {"rows written twice", false, rows_doubled},
    {"rows swapped with their times", false, rows_swapped},
    {"readings swapped, times left", false, readings_swapped},
    {"clock jumps forward", false, clock_forward},
    {"clock jumps backward", false, clock_backward},
    {"clock stretched from half-way on", false, clock_stretched_half},
    {"clock stretched throughout", false, clock_stretched},
    {"rate halved half-way", false, rate_halved},
    {"a block cut out without trace", false, block_cut_out},
    {"a block twice, clock goes on", false, block_twice_on},
    {"a block twice, same times", false, block_twice_same},
    {"rows in reverse order", false, turned_round},
};
const size_t mutations_of_rows_count = sizeof mutations_of_rows / sizeof *mutations_of_rows;
