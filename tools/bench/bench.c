/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench: accuracy against the simulator's truth over random sets, whether intervals hold the truth, and CPU
 * time. Not part of the product.
 */
#include "bench/bench.h"
#include "bench/mutate.h"
#include "bench/study.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int usage(FILE *out, int status)
{
    fputs(
        "Usage: bench accuracy [SETS [FIRST_SEED]] [--gyroscope|--accelerometer] [--verbose] [--limits]\n"
        "       bench study [SETS [FIRST_SEED]] [--jobs N] [--markdown] [--plain-scenarios] [--figure NAME]\n"
        "                   [--verbose]\n"
        "       bench attitude [SETS [FIRST_SEED]] [--verbose]\n"
        "       bench mutate [LOGS [FIRST_SEED]] [--unspoilt] [--verbose] [--limits]\n"
        "       bench speed\n"
        "       bench import [FILE]\n"
        "       bench decimals [COUNT [SEED]]\n"
        "Accuracy over random simulated sets (400 from seed 1 on); how often each figure's interval holds "
        "the\n"
        "truth, under many conditions (200 sets from seed 1 on); what a phone's own attitude is worth; what "
        "becomes of good logs spoilt in one "
        "way\n"
        "each (400 from seed 1 on); CPU time from CSV bytes to figures; the importer beside other readers "
        "(on a\n"
        "log of 200 MB made for it, or FILE: seven columns below one line); or whether it rounds random\n"
        "decimals (10 million) as strtod does.\n",
        out);
    return status;
}

int main(int argc, char **argv)
{
    unsigned long long numbers[2] = {400, 1};
    size_t given = 0;
    bool verbose = false, limits = false, unspoilt = false;
    char only = 0;
    if (argc < 2 || strcmp(argv[1], "--help") == 0) {
        return usage(argc < 2 ? stderr : stdout, argc < 2 ? 2 : 0);
    }
    if (strcmp(argv[1], "study") == 0) {
        int status = study_main(argc - 2, argv + 2);
        return status < 0 ? usage(stderr, 2) : status;
    }
    if (strcmp(argv[1], "import") == 0) {
        return argc > 3 ? usage(stderr, 2) : bench_import(argc == 3 ? argv[2] : NULL);
    }
    for (int a = 2; a < argc; a++) {
        char *end = argv[a];
        unsigned long long number = strtoull(argv[a], &end, 10);
        if (strcmp(argv[a], "--verbose") == 0) {
            verbose = true;
        } else if (strcmp(argv[a], "--limits") == 0) {
            limits = true;
        } else if (strcmp(argv[a], "--unspoilt") == 0) {
            unspoilt = true;
        } else if (strcmp(argv[a], "--gyroscope") == 0 || strcmp(argv[a], "--accelerometer") == 0) {
            only = argv[a][2];
        } else if (*argv[a] && !*end && given < 2) {
            numbers[given++] = number;
        } else {
            return usage(stderr, 2);
        }
    }
    if (strcmp(argv[1], "accuracy") == 0) {
        return bench_accuracy((size_t)numbers[0], numbers[1], only, verbose, limits);
    }
    if (strcmp(argv[1], "attitude") == 0) {
        return bench_attitude((size_t)numbers[0], numbers[1], verbose);
    }
    if (strcmp(argv[1], "decimals") == 0) {
        return bench_decimals(given > 0 ? numbers[0] : 10000000, numbers[1]);
    }
    if (strcmp(argv[1], "mutate") == 0) {
        return unspoilt ? bench_mutate_none((size_t)numbers[0], numbers[1], verbose)
                        : bench_mutate((size_t)numbers[0], numbers[1], verbose, limits);
    }
    return strcmp(argv[1], "speed") == 0 ? bench_speed() : usage(stderr, 2);
}
