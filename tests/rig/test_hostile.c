/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Files that are broken, hostile or not there; and no memory.
 */
#include "barplumb/random.h"

#include "base/failing_alloc.h"
#include "rig/support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { FIXTURE_BYTES = 4096, MUTATIONS = 2000, CHANGES_MAX = 4 };

static const char *const fixtures[] = {"bench-chains.ini",
                                       "bench-chains-looked-up.ini",
                                       "bench-bands-straight-down.ini",
                                       "bench-bands-angled.ini",
                                       "bench-bands-crossed.ini",
                                       "bench-bands-from-above.ini",
                                       "bench-chains-and-bands.ini",
                                       "gym-stock.ini",
                                       "squat-chains.ini"};
enum { FIXTURES = sizeof fixtures / sizeof fixtures[0] };

static size_t load(const char *name, char *bytes)
{
    char path[512];
    snprintf(path, sizeof path, "%s/fixtures/rigs/%s", BARPLUMB_SOURCE_DIR, name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    size_t count = fread(bytes, 1, FIXTURE_BYTES, file);
    assert_true(count > 0 && count < FIXTURE_BYTES);
    assert_int_equal(fclose(file), 0);
    return count;
}

static size_t below(struct bp_random *random, size_t limit)
{
    return (size_t)(bp_random_next(random) % limit);
}

/* One change: a byte replaced, a piece cut out, a piece said twice, or something typical put in. */
static size_t change(struct bp_random *random, char *bytes, size_t count)
{
    static const char *const typical[] = {"\n", ";", "[",  "]",  "=",          ":",   ",",
                                          "-",  "0", "9",  " ",  "\xC2\xB1",   "+-",  "nan",
                                          "%",  "x", "\r", "\t", "[band b]\n", "e99", "\xC3"};
    size_t at = below(random, count);
    size_t left = count - at;
    size_t piece = 1 + below(random, left < 30 ? left : 30);
    const char *put = typical[below(random, sizeof typical / sizeof typical[0])];
    size_t length = strlen(put);
    switch (below(random, 4)) {
    case 0:
        bytes[at] = (char)below(random, 256);
        return count;
    case 1:
        memmove(bytes + at, bytes + at + piece, left - piece);
        return count - piece > 0 ? count - piece : 1;
    case 2:
        memmove(bytes + at + piece, bytes + at, left);
        return count + piece;
    default:
        memmove(bytes + at + length, bytes + at, left);
        memcpy(bytes + at, put, length);
        return count + length;
    }
}

static bool is_sound(const struct bp_rig *rig)
{
    bool sound = rig->bar_kg.value > 0.0 && rig->chain_count <= BP_CHAINS_MAX &&
                 rig->band_count <= BP_BANDS_MAX && rig->plate_count <= BP_PLATES_MAX &&
                 strlen(rig->name) < BP_RIG_NAME;
    for (size_t i = 0; i < rig->chain_count; i++) {
        const struct bp_chain *chain = &rig->chains[i];
        sound = sound && chain->length_m > 0.0 && chain->kg_per_m.value > 0.0 &&
                chain->leader_m.value >= 0.0 && chain->pieces > 0;
    }
    for (size_t i = 0; i < rig->band_count; i++) {
        const struct bp_band *band = &rig->bands[i];
        sound = sound && band->peg_count >= 1 && band->peg_count <= BP_PEGS_MAX && band->pieces > 0 &&
                band->stretching.count >= 2 && band->stretching.count <= BP_BAND_POINTS_MAX;
        for (size_t k = 1; sound && k < band->stretching.count; k++) {
            const struct bp_band_point *points = band->stretching.points;
            sound = points[k].length_m > points[k - 1].length_m &&
                    points[k].pull_n.value >= points[k - 1].pull_n.value;
        }
    }
    return sound;
}

/* The bytes stand at the end of a block of their own size, so that a read past them is seen. */
static void rig_survives_two_thousand_broken_files(void **state)
{
    struct rig_read *read = *state;
    struct bp_random random;
    bp_random_init(&random, 20261125, 1);
    size_t accepted = 0;
    size_t refused = 0;
    for (size_t turn = 0; turn < MUTATIONS; turn++) {
        char bytes[2 * FIXTURE_BYTES];
        size_t count = load(fixtures[turn % FIXTURES], bytes);
        for (size_t k = 1 + below(&random, CHANGES_MAX); k > 0; k--) {
            count = change(&random, bytes, count);
        }
        char *exact = malloc(count);
        assert_non_null(exact);
        memcpy(exact, bytes, count);
        support_parse_bytes(read, exact, count);
        free(exact);
        if (read->code == BP_OK) {
            accepted++;
            assert_true(is_sound(&read->rig));
        } else {
            refused++;
            assert_true(read->error.line > 0);
            assert_true(read->error.text[0] != '\0');
            assert_true(support_rig_is_zero(&read->rig));
        }
    }
    print_message("%zu read, %zu refused\n", accepted, refused);
    /* The test tests something: neither all well nor all lost. */
    assert_true(accepted > 100);
    assert_true(refused > 500);
}

static void rig_survives_being_cut_off_anywhere(void **state)
{
    struct rig_read *read = *state;
    for (size_t i = 0; i < FIXTURES; i++) {
        char bytes[FIXTURE_BYTES];
        size_t count = load(fixtures[i], bytes);
        for (size_t cut = 0; cut < count; cut++) {
            support_parse_bytes(read, bytes, cut);
            assert_true(read->code == BP_OK ? is_sound(&read->rig) : read->error.line > 0);
        }
    }
}

static void rig_refuses_binary_and_endless_files(void **state)
{
    struct rig_read *read = *state;
    static const char binary[] = "[bar]\nmass = 20\n\0\1\2\3";
    support_parse_bytes(read, binary, sizeof binary - 1);
    assert_int_equal(read->code, BP_ERR_FORMAT);
    assert_int_equal(read->error.line, 3);
    static char endless[65537];
    memset(endless, '\n', sizeof endless);
    support_parse_bytes(read, endless, sizeof endless);
    assert_int_equal(read->code, BP_ERR_LIMIT);
    support_parse_bytes(read, endless, sizeof endless - 1);
    assert_int_equal(read->code, BP_ERR_EMPTY);
}

static void read_path(struct rig_read *read, const char *path)
{
    memset(read, 0xA5, sizeof *read);
    read->code = bp_rig_read(path, &read->rig, &read->error);
    assert_int_equal(read->code, read->error.code);
    if (read->code != BP_OK) {
        assert_true(support_rig_is_zero(&read->rig));
    }
}

static void rig_says_why_a_file_cannot_be_read(void **state)
{
    struct rig_read *read = *state;
    char folder[] = "/tmp/barplumb-rig-XXXXXX";
    char path[64];
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/rig.ini", folder);

    read_path(read, path);
    assert_int_equal(read->code, BP_ERR_OPEN);
    assert_non_null(strstr(read->error.text, "no such file"));
    assert_string_equal(read->error.path, path);

    read_path(read, folder);
    assert_int_equal(read->code, BP_ERR_OPEN);
    assert_non_null(strstr(read->error.text, "folder"));

    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_true(fputs("[bar]\nmass = 20\n", file) >= 0);
    assert_int_equal(fclose(file), 0);
    read_path(read, path);
    assert_int_equal(read->code, BP_OK);

    if (geteuid() != 0) { /* root may read anything */
        assert_int_equal(chmod(path, 0), 0);
        read_path(read, path);
        assert_int_equal(read->code, BP_ERR_OPEN);
        assert_non_null(strstr(read->error.text, "may not"));
    }
    assert_int_equal(unlink(path), 0);
    assert_int_equal(rmdir(folder), 0);

    /* The first page of a process is never there: its memory opens as a file and cannot be read. */
    if (access("/proc/self/mem", R_OK) == 0) {
        read_path(read, "/proc/self/mem");
        assert_int_equal(read->code, BP_ERR_READ);
    }

    read_path(read, NULL);
    assert_int_equal(read->code, BP_ERR_ARGUMENT);
    assert_int_equal(bp_rig_parse(NULL, 0, "x", &read->rig, &read->error), BP_ERR_ARGUMENT);
    assert_int_equal(bp_rig_parse("", 0, "x", &read->rig, NULL), BP_ERR_EMPTY);
    assert_int_equal(bp_rig_parse("[bar]\nmas = 3\n", 14, "x", &read->rig, NULL), BP_ERR_FORMAT);
    assert_int_equal(bp_rig_parse("[bar]\nmass = 3,\n", 16, "x", &read->rig, NULL), BP_ERR_NUMBER);
}

static void rig_reports_each_allocation_that_fails(void **state)
{
    struct rig_read *read = *state;
    char path[512];
    snprintf(path, sizeof path, "%s/fixtures/rigs/bench-chains.ini", BARPLUMB_SOURCE_DIR);
    size_t failed = 0;
    bool happened = true;
    for (size_t n = 0; happened; n++) {
        memset(read, 0xA5, sizeof *read);
        failing_alloc_arm(n);
        read->code = bp_rig_read(path, &read->rig, &read->error);
        happened = failing_alloc_disarm();
        if (happened) {
            failed++;
            assert_true(read->code == BP_ERR_MEMORY || read->code == BP_ERR_OPEN);
            assert_true(support_rig_is_zero(&read->rig));
        } else {
            assert_int_equal(read->code, BP_OK);
        }
    }
    assert_true(failed >= 2);
}

int main(void)
{
    static struct rig_read read;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_prestate(rig_survives_two_thousand_broken_files, &read),
        cmocka_unit_test_prestate(rig_survives_being_cut_off_anywhere, &read),
        cmocka_unit_test_prestate(rig_refuses_binary_and_endless_files, &read),
        cmocka_unit_test_prestate(rig_says_why_a_file_cannot_be_read, &read),
        cmocka_unit_test_prestate(rig_reports_each_allocation_that_fails, &read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
