/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Mutations of the text: digits, cells, columns.
 */
#include "bench/mutate.h"

static void decimals_cut(struct mutant *m)
{
    m->layout.decimals = mutate_count(m, 0, 2);
    mutate_say(m, "readings written with %d decimals", m->layout.decimals);
}

static void time_decimals_cut(struct mutant *m)
{
    double step = mutate_ratio(m, 0.01, 1.0);
    for (size_t i = 0; i < m->count; i++) {
        m->rows[i].t = step * (double)(long long)(m->rows[i].t / step);
    }
    mutate_say(m, "times cut to steps of %.3f s", step);
}

static void column_lost(struct mutant *m)
{
    m->cut_column = mutate_count(m, 0, m->gyroscope ? 6 : 3);
    mutate_say(m, "column %d lost", m->cut_column);
}

static void cells_bad(struct mutant *m)
{
    static const char *const cells[] = {"", "NaN", "null", "-", "1e999", "12.3.4"};
    m->bad_cell = cells[mutate_count(m, 0, 5)];
    m->bad_rows = (size_t)mutate_count(m, 1, 12);
    m->bad_column = mutate_count(m, 0, m->gyroscope ? 6 : 3);
    m->bad_scattered = mutate_between(m, 0, 1) < 0.5;
    m->bad_from = m->bad_scattered ? 1 : mutate_row(m, mutate_time(m));
    mutate_say(m, "%zu cells of column %d are '%s', %s", m->bad_rows, m->bad_column, m->bad_cell,
               m->bad_scattered ? "here and there" : "one below the other");
}

const struct mutation mutations_of_text[] = {
    {"decimals of readings cut", false, decimals_cut},
    {"decimals of times cut", false, time_decimals_cut},
    {"a column lost", false, column_lost},
    {"cells that are no numbers", false, cells_bad},
};
const size_t mutations_of_text_count = sizeof mutations_of_text / sizeof *mutations_of_text;
