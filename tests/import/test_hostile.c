/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Damaged logs, and memory that runs out: never a crash, never a trace that breaks its guarantees.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/failing_alloc.h"
#include "import/support.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { SEEDS_MAX = 40, SEED_BYTES_MAX = 6000, MUTATIONS = 2500 };
#define SECONDS_MOST 5 /* with sanitizers on a slow machine */

static uint64_t next_random(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return *seed;
}

struct seed {
    char bytes[SEED_BYTES_MAX];
    size_t count;
};

/* The beginnings of the layout fixtures. */
static size_t read_seeds(struct seed *seeds)
{
    char folder[512], path[1024];
    size_t count = 0;
    snprintf(folder, sizeof folder, "%s/fixtures/layouts", BARPLUMB_SOURCE_DIR);
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    for (struct dirent *e; (e = readdir(dir)) != NULL && count < SEEDS_MAX;) {
        snprintf(path, sizeof path, "%s/%s", folder, e->d_name);
        FILE *file = strstr(e->d_name, ".csv") != NULL ? fopen(path, "rb") : NULL;
        if (file != NULL) {
            seeds[count].count = fread(seeds[count].bytes, 1, SEED_BYTES_MAX, file);
            count++;
            fclose(file);
        }
    }
    closedir(dir);
    assert_true(count > 15);
    return count;
}

/* One to eight changes: bytes turned, taken out, doubled, or swapped for what logs break on. */
static size_t mutate(char *bytes, size_t count, uint64_t *random)
{
    static const char *const spice[] = {",",     ";",    "\t",   "\n", "\r",   "\"",   "nan",
                                        "inf",   "-",    "e999", "#",  ":",    "\"\"", "1e308",
                                        ",,,,,", "time", "(s)",  "x",  "\xff", "\xc2", "0"};
    size_t changes = 1 + next_random(random) % 8;
    for (size_t c = 0; c < changes && count > 8; c++) {
        size_t at = next_random(random) % (count - 1), length = 1 + next_random(random) % 40;
        length = at + length < count ? length : count - at;
        const char *word = spice[next_random(random) % (sizeof spice / sizeof spice[0])];
        switch (next_random(random) % 4) {
        case 0:
            bytes[at] = (char)next_random(random);
            break;
        case 1:
            memmove(bytes + at, bytes + at + length, count - at - length);
            count -= length;
            break;
        case 2:
            length = strlen(word) < count - at ? strlen(word) : count - at;
            memcpy(bytes + at, word, length);
            break;
        default:
            if (count + length <= SEED_BYTES_MAX) {
                memmove(bytes + at + length, bytes + at, count - at);
                count += length;
            }
        }
    }
    return count;
}

static void import_never_breaks_on_damaged_logs(void **state)
{
    struct imported *in = *state;
    struct seed *seeds = calloc(SEEDS_MAX, sizeof *seeds);
    char *bytes = malloc(SEED_BYTES_MAX);
    uint64_t random = 0x5eed5eed5eedULL;
    size_t read = 0, refused = 0;
    time_t start = time(NULL);
    assert_non_null(seeds);
    assert_non_null(bytes);
    size_t count = read_seeds(seeds);
    for (int i = 0; i < MUTATIONS && time(NULL) - start < SECONDS_MOST; i++) {
        const struct seed *seed = &seeds[next_random(&random) % count];
        memcpy(bytes, seed->bytes, seed->count);
        size_t n = mutate(bytes, seed->count, &random);
        /* exactly as long as it is, so that a read past its end is caught */
        char *exact = malloc(n);
        assert_non_null(exact);
        memcpy(exact, bytes, n);
        in->settings.line_bytes_max = i % 5 == 0 ? 100 : 0;
        if (support_bytes(in, exact, n) == BP_OK) {
            support_sound_trace(&in->trace);
            read++;
        } else {
            assert_true(in->code < BP_CODE_COUNT && in->code != BP_ERR_MEMORY);
            support_refused(in, in->code, 0, 0, NULL);
            refused++;
        }
        free(exact);
    }
    free(bytes);
    free(seeds);
    /* both ends of the importer were exercised */
    assert_true(read > 50);
    assert_true(refused > 50);
}

static void import_reports_memory_whichever_allocation_fails(void **state)
{
    static const char *const logs[] = {"10-many-sensors.csv", "07-linear-and-gravity",
                                       "06-three-digits.csv", "21-one-value-a-row.csv",
                                       "23-interleaved.csv",  "25-zip-named.CSV"};
    (void)state;
    for (size_t l = 0; l < sizeof logs / sizeof logs[0]; l++) {
        bool failed = true;
        for (size_t n = 0; failed && n < 200; n++) {
            struct imported *in;
            void *fresh;
            support_setup(&fresh); /* an arena that holds no block yet */
            in = fresh;
            failing_alloc_arm(n);
            enum bp_code code = support_file(in, logs[l]);
            failed = failing_alloc_disarm();
            if (failed && code != BP_OK) {
                support_refused(in, BP_ERR_MEMORY, 0, 0, "memory");
            } else {
                assert_int_equal(code, BP_OK); /* the C library's own, which it did without */
            }
            support_teardown(&fresh);
        }
        assert_false(failed);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(import_never_breaks_on_damaged_logs),
        cmocka_unit_test(import_reports_memory_whichever_allocation_fails),
    };
    return cmocka_run_group_tests(tests, support_setup, support_teardown);
}
