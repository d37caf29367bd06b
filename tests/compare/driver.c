/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Runs one function of src/compare on the numbers of the command line and of standard input (raw doubles),
 * and writes its result to standard output as raw doubles, for against_scipy.py. Exit status 2 for a bad
 * call, 1 for a failed one.
 */
#include "barplumb/compare.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { VALUES_MAX = 200, OUT_MAX = 16, ARGUMENTS_MAX = 4 };

static void put_quantity(double *out, struct bp_quantity q)
{
    out[0] = q.value;
    out[1] = q.low;
    out[2] = q.high;
}

/* Two groups of plain values, the first n of them and the rest; paired: value by value, on a day each. */
static size_t compare(const double *values, size_t count, size_t n, bool paired, double *out)
{
    struct bp_compare_figure figure = {.name = "x", .words = "x", .unit = ""};
    struct bp_compare_settings settings = bp_compare_defaults;
    struct bp_observation sets[VALUES_MAX];
    struct bp_compare_result result;
    struct bp_arena arena;
    settings.by = paired ? BP_BY_SETUP : BP_BY_SESSION;
    for (size_t i = 0; i < count; i++) {
        sets[i] = (struct bp_observation){
            .group = i < n ? "a" : "b", .day = (long)(i % n), .set = bp_quantity_plain(values[i])};
    }
    bp_arena_init(&arena);
    size_t written = 0;
    if (bp_compare_figure(&figure, sets, count, &settings, &arena, &result, NULL) == BP_OK) {
        const struct bp_compare_pair *p = &result.pairs[0];
        put_quantity(out, p->difference);
        put_quantity(out + 3, p->effect);
        const double rest[] = {p->standard_error, p->df, p->p, p->permutation_p, (double)p->more_as_seen};
        memcpy(out + 6, rest, sizeof rest);
        written = 11;
    }
    bp_arena_free(&arena);
    return written;
}

static size_t run(const char *action, const double *a, const double *values, size_t count, double *out)
{
    if (strcmp(action, "quantile") == 0) {
        out[0] = bp_student_quantile(a[0], a[1]);
        return 1;
    }
    if (strcmp(action, "shifted") == 0) {
        out[0] = bp_student_shifted_cdf(a[0], a[1], a[2]);
        return 1;
    }
    if (strcmp(action, "anova") == 0) { /* groups of a[0] values each */
        size_t sizes[VALUES_MAX], groups = count / (size_t)a[0];
        for (size_t g = 0; g < groups; g++) {
            sizes[g] = (size_t)a[0];
        }
        struct bp_anova v = bp_anova_one_way(values, sizes, groups);
        out[0] = v.f;
        out[1] = v.p;
        return 2;
    }
    if (strcmp(action, "pairs") == 0 || strcmp(action, "groups") == 0) {
        return compare(values, count, (size_t)a[0], action[0] == 'p', out);
    }
    return 0;
}

int main(int argc, char **argv)
{
    double argument[ARGUMENTS_MAX] = {0}, values[VALUES_MAX], out[OUT_MAX];
    if (argc < 2 || argc > 2 + ARGUMENTS_MAX) {
        fputs("usage: compare_driver ACTION [NUMBER]… <doubles >doubles\n", stderr);
        return 2;
    }
    for (int i = 2; i < argc; i++) {
        argument[i - 2] = strtod(argv[i], NULL);
    }
    size_t count = fread(values, sizeof(double), VALUES_MAX, stdin);
    size_t written = run(argv[1], argument, values, count, out);
    return written > 0 && fwrite(out, sizeof(double), written, stdout) == written ? 0 : 1;
}
