/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Damaged sheets, and memory that runs out.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/failing_alloc.h"

#include "barplumb/random.h"
#include "barplumb/sheet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { MUTATIONS = 2000, BYTES_MAX = 4096 };
#define SECONDS_MOST 30.0 /* of one sheet, with sanitizers on a slow machine; a fraction of one is usual */

static const char *const seeds[] = {
    "date,lifter,lift,setup,bar (kg),plates lb,rig,log,target,notes,effort\n"
    "2024-03-09,L1,bench,chains,20,90,c.ini,a.csv,0.45,\"b\"\"b\",8\n3/25/"
    "2024,L2,squat,straight,20,110,,b.csv,,x,9\n",
    "\xef\xbb\xbf\nDatum;log;plates;date\r\n1;a.csv;62,5;9.3.2024\r\n2;\"b\r\n.csv\";60;10.3.2024\r\n",
    "log\tnotes\tset up\n#remark\na\t\"x\ty\"\tbands up\n\nb\t\t\n",
};

static void mutate(char *bytes, size_t *count, struct bp_random *random)
{
    static const char spice[] = ",;\t\n\r\"#-/.\\0\xff(9";
    size_t changes = 1 + (size_t)(bp_random_next(random) % 8);
    for (size_t c = 0; c<changes && * count> 2; c++) {
        size_t at = (size_t)(bp_random_next(random) % *count);
        size_t length = 1 + (size_t)(bp_random_next(random) % 30);
        length = length < *count - at ? length : *count - at;
        switch (bp_random_next(random) % 4) {
        case 0:
            bytes[at] = (char)bp_random_next(random);
            break;
        case 1:
            bytes[at] = spice[bp_random_next(random) % (sizeof spice - 1)];
            break;
        case 2:
            memmove(bytes + at, bytes + at + length, *count - at - length);
            *count -= length;
            break;
        default:
            if (*count + length <= BYTES_MAX) {
                memmove(bytes + at + length, bytes + at, *count - at);
                *count += length;
            }
        }
    }
}

/* Every promise of sheet.h that can be looked at. */
static void hold_promises(const struct bp_sheet *s)
{
    assert_true(s->row_count + s->error_count > 0);
    for (size_t i = 0; i < s->row_count; i++) {
        const struct bp_sheet_row *row = &s->rows[i];
        assert_true(row->log[0] != '\0' && row->log_path[0] != '\0');
        assert_true(strlen(row->lifter) + strlen(row->setup) + strlen(row->notes) + strlen(row->rig_path) <
                    BYTES_MAX);
        assert_true(isnan(row->bar_kg) || (row->bar_kg >= 0.0 && row->bar_kg <= 1000.0));
        assert_true(row->dated == (row->date[0] != '\0'));
        assert_true(row->line > s->header_line);
        for (size_t k = 0; k < s->extra_count; k++) {
            assert_true(strlen(row->extra[k]) < BYTES_MAX && strlen(s->extra_names[k]) < BYTES_MAX);
        }
    }
    for (size_t i = 0; i < s->error_count && i < BP_SHEET_ERRORS_KEPT; i++) {
        assert_true(s->errors[i].code != BP_OK && s->errors[i].line > 0 && s->errors[i].text[0] != '\0');
    }
}

static void two_thousand_damaged_sheets_never_break_the_reader(void **state)
{
    struct bp_random random;
    struct bp_arena arena;
    char bytes[BYTES_MAX];
    size_t read = 0, partly = 0, refused = 0;
    (void)state;
    bp_random_init(&random, 1871, 0);
    bp_arena_init(&arena);
    for (int i = 0; i < MUTATIONS; i++) {
        const char *seed = seeds[bp_random_next(&random) % (sizeof seeds / sizeof seeds[0])];
        size_t count = strlen(seed);
        struct bp_sheet sheet;
        struct bp_error error;
        memcpy(bytes, seed, count);
        mutate(bytes, &count, &random);
        char *exact = malloc(count > 0 ? count : 1); /* so that a read past its end is caught */
        assert_non_null(exact);
        memcpy(exact, bytes, count);
        bp_arena_reset(&arena);
        enum bp_code code = bp_sheet_parse(exact, count, "sheet.csv", &arena, &sheet, &error);
        free(exact); /* nothing of the sheet may point into it */
        if (code == BP_OK) {
            hold_promises(&sheet);
            read++;
            partly += sheet.error_count > 0;
        } else {
            assert_true(code == error.code && code != BP_ERR_MEMORY && sheet.row_count == 0);
            refused++;
        }
    }
    bp_arena_free(&arena);
    assert_true(read > 200 && partly > 100 && refused > 100);
}

/* Sixteen MiB of what makes a reader look far ahead again and again: refused, and soon. */
static void sheets_made_to_take_long_do_not(void **state)
{
    static const char *const patterns[] = {"a,\"x\ny\",", "\"\n", "\"",   "a,\"\n",
                                           "#\"\n",       ",,\n", "\"\"", ";\"\r"};
    char *bytes = malloc(BP_SHEET_BYTES_MAX);
    (void)state;
    assert_non_null(bytes);
    for (size_t k = 0; k < sizeof patterns / sizeof patterns[0]; k++) {
        struct bp_arena arena;
        struct bp_sheet sheet;
        struct bp_error error;
        size_t length = strlen(patterns[k]), head = k % 2 == 0 ? 4 : 0;
        memcpy(bytes, "log\n", head);
        for (size_t i = head; i < BP_SHEET_BYTES_MAX; i++) {
            bytes[i] = patterns[k][(i - head) % length];
        }
        clock_t start = clock();
        bp_arena_init(&arena);
        assert_int_not_equal(bp_sheet_parse(bytes, BP_SHEET_BYTES_MAX, "s", &arena, &sheet, &error), BP_OK);
        bp_arena_free(&arena);
        assert_true((double)(clock() - start) / CLOCKS_PER_SEC < SECONDS_MOST);
    }
    free(bytes);
}

static void memory_that_runs_out_is_reported_whichever_allocation_fails(void **state)
{
    struct bp_text text;
    (void)state;
    bp_text_init(&text);
    bp_text_put(&text, "log,notes\n");
    for (int i = 0; i < 3000; i++) {
        bp_text_put(&text, "a.csv,some words that take some memory\n");
    }
    bool failed = true;
    size_t n = 0;
    for (; failed && n < 100; n++) {
        struct bp_arena arena;
        struct bp_sheet sheet;
        struct bp_error error;
        bp_arena_init(&arena);
        failing_alloc_arm(n);
        enum bp_code code = bp_sheet_parse(text.data, text.length, "s", &arena, &sheet, &error);
        failed = failing_alloc_disarm();
        assert_int_equal(code, failed ? BP_ERR_MEMORY : BP_OK);
        assert_int_equal(sheet.row_count, failed ? 0 : 3000);
        bp_arena_free(&arena);
    }
    assert_false(failed);
    assert_true(n > 1);
    bp_text_free(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_thousand_damaged_sheets_never_break_the_reader),
        cmocka_unit_test(sheets_made_to_take_long_do_not),
        cmocka_unit_test(memory_that_runs_out_is_reported_whichever_allocation_fails),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
