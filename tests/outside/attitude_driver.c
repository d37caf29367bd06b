/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every convention of one form of attitude, by src/import, for attitude_against_scipy.py: reads rows of four
 * readings from standard input and writes, for each convention, what it is (w last, inverse, factor, order,
 * axes, signs) and "up" of each row, all as raw doubles. Exit status 2 for a bad call, 1 for a failed one.
 */
#include "import/attitude.h"

#include <stdio.h>
#include <stdlib.h>

enum { ROWS_MAX = 1000 };

static int write_all(enum bp_attitude_form form, double (*rows)[4], size_t count)
{
    struct bp_convention c;
    for (int i = 0; bp_convention_at(form, 0, i, &c); i++) {
        const double what[6] = {c.w_last, c.inverse, c.factor, c.order, c.axes, c.signs};
        if (fwrite(what, sizeof what, 1, stdout) != 1) {
            return 1;
        }
        for (size_t r = 0; r < count; r++) {
            double up[3];
            if (!bp_convention_up(&c, rows[r], up) || fwrite(up, sizeof up, 1, stdout) != 1) {
                return 1;
            }
        }
    }
    return 0;
}

int main(int argc, char **argv)
{
    static double rows[ROWS_MAX][4];
    if (argc != 2 || argv[1][0] < '1' || argv[1][0] > '4') {
        return 2;
    }
    size_t count = fread(rows, sizeof rows[0], ROWS_MAX, stdin);
    return write_all((enum bp_attitude_form)(argv[1][0] - '0'), rows, count);
}
