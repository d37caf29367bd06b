/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/columns.h"

#include <math.h>
#include <string.h>

enum { ROWS_MAX = 256 };

/* "20250201120000123": a date and a time of day in digits, which as a number would run on but for the ends of
 * minutes. */
static bool is_run_together(const struct bp_cell *cell)
{
    struct bp_stamp stamp;
    return cell->count >= 14 && cell->at[0] == '2' && cell->at[1] == '0' &&
           bp_import_cell_stamp(cell, &stamp);
}

static void read_row(const struct bp_cell *cells, size_t count, const struct bp_dialect *d,
                     struct bp_sample *sample)
{
    double *row = sample->value + sample->rows * sample->columns;
    for (size_t c = 0; c < sample->columns; c++) {
        struct bp_stamp stamp;
        row[c] = (double)NAN;
        if (c < count &&
            (is_run_together(&cells[c]) || !bp_import_cell_number(&cells[c], d->point, &row[c])) &&
            bp_import_cell_stamp(&cells[c], &stamp)) {
            row[c] = stamp.seconds;
            sample->stamp[c] = true;
            sample->dated[c] = stamp.dated;
            sample->zoned[c] = stamp.zoned;
        }
    }
    sample->rows++;
}

bool bp_import_sample(struct bp_importer *im, const char *block, size_t count,
                      const struct bp_dialect *dialect, size_t columns, struct bp_sample *sample)
{
    struct bp_cell *cells = bp_arena_take(&im->scratch, columns, sizeof *cells);
    *sample = (struct bp_sample){.columns = columns};
    sample->value = bp_arena_doubles(&im->scratch, ROWS_MAX * columns);
    sample->stamp = bp_arena_zero(&im->scratch, columns, sizeof(bool));
    sample->dated = bp_arena_zero(&im->scratch, columns, sizeof(bool));
    sample->zoned = bp_arena_zero(&im->scratch, columns, sizeof(bool));
    if (cells == NULL || sample->value == NULL || sample->stamp == NULL || sample->dated == NULL ||
        sample->zoned == NULL) {
        return false;
    }
    const char *at = block + dialect->data_at, *end = block + count;
    while (at < end && sample->rows < ROWS_MAX) {
        const char *stop = bp_import_line_end(at, end, dialect->line_end, true);
        size_t length = (size_t)(stop - at);
        if (!bp_import_is_remark(at, length) && !bp_import_is_blank(at, length, dialect->separator)) {
            size_t n = bp_import_split(at, length, dialect->separator, cells, columns);
            read_row(cells, n < columns ? n : columns, dialect, sample);
        }
        at = stop + 1;
    }
    return true;
}
