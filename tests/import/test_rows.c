/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The quick way through plain rows reads what the careful way reads, bit for bit: each log is read once as it
 * is and once with its first cell in quotes, which sends every row of the block the careful way.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS = 20000 }; /* several blocks */

static uint64_t next_random(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return *seed;
}

/* How a log is written. */
struct look {
    const char *header, *separator, *line_end, *blank, *front, *tail;
    char point;
    int decimals; /* the most; fewer at random where loose */
    bool loose;   /* signs, decimals, exponents, empty cells, blank lines and remarks at random */
};

static void put_value(struct bp_text *text, double value, const struct look *l, uint64_t *seed)
{
    size_t from;
    bp_text_put(text, l->blank);
    from = text->length;
    int decimals = l->loose ? 1 + (int)(next_random(seed) % (uint64_t)l->decimals) : l->decimals;
    if (l->loose && next_random(seed) % 8 == 0) {
        char number[40];
        bp_number_write(value * 1000.0, decimals < 9 ? decimals : 9, number, sizeof number);
        bp_text_put(text, number);
        bp_text_put(text, next_random(seed) % 2 == 0 ? "e-3" : "E-03");
    } else {
        bp_text_put_number(text, value, decimals < 9 ? decimals : 9);
        for (int k = 9; k < decimals; k++) { /* more digits than are exact */
            bp_text_put_char(text, (char)('0' + next_random(seed) % 10));
        }
    }
    for (size_t k = from; k < text->length; k++) {
        text->data[k] = text->data[k] == '.' ? l->point : text->data[k];
    }
}

/* quoted: the first cell of the time column. */
static void make_log(struct bp_text *text, const struct look *l, bool quoted)
{
    uint64_t seed = 77;
    bp_text_init(text);
    bp_text_put(text, l->header);
    bp_text_put(text, l->line_end);
    for (int i = 0; i < ROWS; i++) {
        double t = i / 100.0, force[3], turn[3];
        motion_force(t, true, force);
        motion_turn(t, turn);
        bp_text_put(text, l->front);
        bp_text_put(text, quoted ? "\"" : "");
        size_t from = text->length;
        bp_text_put_number(text, t, 3);
        for (size_t k = from; k < text->length; k++) {
            text->data[k] = text->data[k] == '.' ? l->point : text->data[k];
        }
        bp_text_put(text, quoted ? "\"" : "");
        bool hole = l->loose && i % 500 == 7;
        for (int c = 0; c < 6; c++) {
            bp_text_put(text, l->separator);
            if (!(hole && c == i / 500 % 6)) {
                put_value(text, c < 3 ? force[c] : turn[c - 3], l, &seed);
            }
        }
        bp_text_put(text, l->tail);
        bp_text_put(text, l->line_end);
        if (l->loose && i % 700 == 3) {
            bp_text_put(text, i % 1400 == 3 ? "# a remark, 1, 2, 3" : "");
            bp_text_put(text, l->line_end);
        }
    }
    assert_false(text->failed);
}

static void assert_same(const struct bp_trace *a, const struct bp_trace *b)
{
    assert_int_equal(a->count, b->count);
    assert_int_equal(a->findings.count, b->findings.count);
    for (size_t i = 0; i < a->findings.count; i++) {
        assert_string_equal(a->findings.list[i].text, b->findings.list[i].text);
    }
    assert_memory_equal(a->time_s, b->time_s, a->count * sizeof(double));
    assert_memory_equal(a->marks, b->marks, a->count);
    for (int k = 0; k < 3; k++) {
        assert_memory_equal(a->force[k], b->force[k], a->count * sizeof(double));
        assert_memory_equal(a->turn[k], b->turn[k], a->count * sizeof(double));
    }
}

static void import_reads_plain_rows_as_it_reads_careful_ones(void **state)
{
#define NAMES "t,ax,ay,az,gx,gy,gz"
    static const struct look looks[] = {
        {NAMES, ",", "\n", "", "", "", '.', 8, false},
        {NAMES, ",", "\r\n", "", "", "", '.', 6, false},
        {NAMES, ",", "\r", "", "", "", '.', 6, false},
        {NAMES, ",", "\n", " ", "", "", '.', 6, false},
        {NAMES, ",", "\n", "", "", ",", '.', 6, false},
        {"n,word,t,ax,ay,az,gx,gy,gz,more", ",", "\n", "", "17,walk,", ",", '.', 6, false},
        {"n,word,t,ax,ay,az,gx,gy,gz,more", ",", "\r\n", "", "17,walk,", ",run", '.', 6, false},
        {NAMES, ",", "\n", "", "", "", '.', 16, true},
        {NAMES, ",", "\r\n", "", "", "", '.', 12, true},
        {"t;ax;ay;az;gx;gy;gz", ";", "\n", "", "", "", ',', 16, true},
        {"n\tt\tax\tay\taz\tgx\tgy\tgz", "\t", "\n", "", "-3\t", "", ',', 9, true},
    };
    struct imported *plain = state[0];
    for (size_t i = 0; i < sizeof looks / sizeof looks[0]; i++) {
        struct bp_text text;
        void *fresh;
        support_setup(&fresh);
        struct imported *careful = fresh;
        make_log(&text, &looks[i], false);
        assert_int_equal(support_bytes(plain, text.data, text.length), BP_OK);
        bp_text_free(&text);
        make_log(&text, &looks[i], true);
        assert_int_equal(support_bytes(careful, text.data, text.length), BP_OK);
        bp_text_free(&text);
        assert_int_equal(plain->trace.count, ROWS);
        assert_same(&plain->trace, &careful->trace);
        support_teardown(&fresh);
    }
}

/* A row that is wrong in the middle of plain ones is told with its line and column, wherever blocks end. */
static void import_names_the_place_of_a_wrong_row_among_plain_ones(void **state)
{
    static const struct {
        const char *row;
        enum bp_code code;
        size_t column;
    } list[] = {
        {"9.99,1,2\n", BP_ERR_COLUMNS, 3},
        {"9.99,1,2,3,4\n", BP_ERR_COLUMNS, 5},
        {"9.99,1,2,3,4,5\n", BP_ERR_COLUMNS, 5},
    };
    struct imported *in = *state;
    for (size_t k = 0; k < sizeof list / sizeof list[0]; k++) {
        for (size_t at = 5000; at < ROWS; at += 1234) {
            struct bp_text text;
            text_motion(&text, "t,ax,ay,az\n", at, 100.0);
            bp_text_put(&text, list[k].row);
            for (size_t i = at; i < at + 10; i++) {
                text_row(&text, (double)i / 100.0, 6);
            }
            support_bytes(in, text.data, text.length);
            bp_text_free(&text);
            support_refused(in, list[k].code, at + 2, list[k].column, NULL);
        }
    }
}

static void import_holds_to_its_limits_on_plain_rows(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    text_motion(&text, "t,ax,ay,az\n", ROWS, 100.0);
    in->settings.rows_max = ROWS - 1;
    support_bytes(in, text.data, text.length);
    support_refused(in, BP_ERR_LIMIT, ROWS + 1, 0, "rows");
    in->settings.rows_max = ROWS;
    assert_int_equal(support_bytes(in, text.data, text.length), BP_OK);
    in->settings.line_bytes_max = 20;
    support_bytes(in, text.data, text.length);
    support_refused(in, BP_ERR_LIMIT, 0, 0, "longer than 20 bytes");
    in->settings.line_bytes_max = 0;
    in->settings.columns_max = 3;
    support_bytes(in, text.data, text.length);
    support_refused(in, BP_ERR_LIMIT, 0, 0, "more than 3 columns");
    in->settings.columns_max = 4;
    assert_int_equal(support_bytes(in, text.data, text.length), BP_OK);
    bp_text_free(&text);
}

/* The last line has no end; the recording was cut off in it. */
static void import_reads_a_log_cut_off_at_any_byte(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    text_motion(&text, "t,ax,ay,az\n", 300, 100.0);
    for (size_t cut = text.length - 120; cut <= text.length; cut++) {
        char *exact = malloc(cut); /* a read past its end is caught */
        assert_non_null(exact);
        memcpy(exact, text.data, cut);
        assert_int_equal(support_bytes(in, exact, cut), BP_OK);
        size_t whole = 0; /* lines with an end, but the header */
        for (size_t i = 0; i < cut; i++) {
            whole += text.data[i] == '\n';
        }
        whole--;
        /* A last row without its end is whole where only its last digits are gone; else it is left out, and
         * told. */
        bool told = support_finding(&in->trace, "truncated") != NULL ||
                    support_finding(&in->trace, "ends-cut") != NULL; /* its last cell empty */
        bool ended = text.data[cut - 1] == '\n';
        assert_true(in->trace.count == whole || (!ended && in->trace.count == whole + 1));
        assert_true(told == (!ended && in->trace.count == whole));
        free(exact);
    }
    bp_text_free(&text);
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_reads_plain_rows_as_it_reads_careful_ones),
        FRESH(import_names_the_place_of_a_wrong_row_among_plain_ones),
        FRESH(import_holds_to_its_limits_on_plain_rows),
        FRESH(import_reads_a_log_cut_off_at_any_byte),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
