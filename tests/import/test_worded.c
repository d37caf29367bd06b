/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Logs with words or brackets about their numbers: read like the table they are without, or refused where
 * they could mean something else.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/failing_import.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS = 60 };
static const double RATE_HZ = 50.0;

/* A row in which 't' stands for the time in seconds, 'm' for it in milliseconds, 'c' for a time of day, 'x',
 * 'y', 'z' for acceleration, 'u', 'v', 'w' for rates of turn, each behind a '%'; 'n' for the row's number. */
static void put_row(struct bp_text *text, const char *form, size_t row, char point)
{
    double t = (double)row / RATE_HZ, f[3], turn[3];
    motion_force(t, true, f);
    motion_turn(t, turn);
    for (; *form != '\0'; form++) {
        char number[48];
        if (*form != '%') {
            bp_text_put_char(text, *form);
            continue;
        }
        switch (*++form) {
        case 'n':
            snprintf(number, sizeof number, "%zu", row);
            break;
        case 'm':
            snprintf(number, sizeof number, "%.0f", t * 1000.0);
            break;
        case 'c':
            snprintf(number, sizeof number, "10:59:%09.6f", 58.0 + t);
            break;
        case 't':
            bp_number_write(t, 6, number, sizeof number);
            break;
        default:
            bp_number_write(*form >= 'x' ? f[*form - 'x'] : turn[*form - 'u'], 9, number, sizeof number);
        }
        for (char *c = number; *c != '\0'; c++) {
            bp_text_put_char(text, *c == '.' ? point : *c);
        }
    }
    bp_text_put_char(text, '\n');
}

static enum bp_code read_rows(struct imported *in, const char *before, const char *form, char point)
{
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, before);
    for (size_t i = 0; i < ROWS; i++) {
        put_row(&text, form, i, point);
    }
    enum bp_code code = support_text(in, text.data);
    bp_text_free(&text);
    return code;
}

/* ---- read ---- */

struct log {
    const char *before, *form;
    bool turns; /* it has rates of turn too */
};

static void read_all(struct imported *in, const struct log *logs, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (read_rows(in, logs[i].before, logs[i].form, '.') != BP_OK) {
            fail_msg("%s: %s", logs[i].form, in->error.text);
        }
        support_moves(&in->trace, ROWS, RATE_HZ, 0.0, 1.0, 6e-9);
        if (logs[i].turns) {
            support_turns(&in->trace, 0.0, 6e-9);
        }
        assert_string_equal(in->trace.recognised.container, "text, with words in its rows");
    }
}

static void import_reads_what_the_rows_themselves_name(void **state)
{
    static const struct log logs[] = {
        {"", "t=%t,ax=%x,ay=%y,az=%z,gx=%u,gy=%v,gz=%w", true},
        {"", "t=%t;ax=%x;ay=%y;az=%z", false},
        {"hello\nready\n\n", "t=%t ax=%x ay=%y az=%z", false},
        {"", "t= %t\tax= %x\tay=   %y\taz=%z", false},
        {"", "%c -> X:%x,Y:%y,Z:%z", false},
        {"", "%c INFO imu: acc x=%x y=%y z=%z", false},
        {"", "Time: %m ms  Accel X: %x Y: %y Z: %z  Gyro X: %u Y: %v Z: %w", true},
        {"", "#%n t=%t ax=%x ay=%y az=%z", false},
        {"", "%m: ax=%xm/s2 ay=%ym/s2 az=%zm/s2", false},
        {"", "[%t] acc=(%x, %y, %z) gyr=(%u, %v, %w)", true},
        {"", "2026-03-01T%cZ acc(%x %y %z)", false},
        {"", "t=%te0 ax=%xE+0 ay=%ye-0 az=%z", false},
        {"", "<i n=\"%n\" ><at>%t</at><x>%x</x><y>%y</y><z>%z</z></i>", false},
        {"", "acc: [%x; %y; %z] t: %t", false},
        {"", "(%t, (%x, %y, %z), (%u, %v, %w))", true},
        {"", "{t:%t, ax:%x, ay:%y, az:%z}", false},
        {"<?xml version=\"1.0\"?>\n<log>\n", "  <sample t=\"%t\" ax=\"%x\" ay='%y' az=\"%z\"/>", false},
        {"<log>\n", "<s><time>%t</time><x>%x</x><y>%y</y><z>%z</z></s>", false},
    };
    read_all(*state, logs, sizeof logs / sizeof logs[0]);
}

static void import_reads_cells_with_units_lists_or_names_in_them_below_a_header(void **state)
{
    static const struct log logs[] = {
        {"time,x,y,z\n", "%t s,%x m/s2,%y m/s2,%z m/s2", false},
        {"time;ax;ay;az;gx;gy;gz\n",
         "%t s;%x m/s\xc2\xb2;%y m/s\xc2\xb2;%z m/s\xc2\xb2;%u rad/s;%v rad/s;%w rad/s", true},
        {"time,acceleration,gyroscope\n", "%t,\"[%x, %y, %z]\",\"[%u, %v, %w]\"", true},
        {"time;acc;gyro\n", "%t;[%x,%y,%z];[%u,%v,%w]", true},
        {"acc|time\n", "{'x': %x, 'y': %y, 'z': %z}|%t", false},
        {"#,time,acceleration,note\n", "%n,%t,[%x; %y; %z],", false},
        {"time,gyroscope,acceleration\n", "%t,\"(x=%u y=%v z=%w)\",\"(x=%x y=%y z=%z)\"", true},
    };
    read_all(*state, logs, sizeof logs / sizeof logs[0]);
}

/* g in every cell: what the rows say of units is believed, and checked against gravity. */
static void import_takes_the_unit_that_stands_in_the_cells(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "time,x,y,z\n");
    for (size_t i = 0; i < ROWS; i++) {
        char row[96];
        double f[3];
        motion_force((double)i / RATE_HZ, true, f);
        snprintf(row, sizeof row, "%zums,%.9fg,%.9fg,%.9fg\n", 20 * i, f[0] / 9.80665, f[1] / 9.80665,
                 f[2] / 9.80665);
        bp_text_put(&text, row);
    }
    assert_int_equal(support_text(in, text.data), BP_OK);
    support_moves(&in->trace, ROWS, RATE_HZ, 0.0, 1.0, 1e-8);
    assert_null(support_finding(&in->trace, "units-inferred"));
    bp_text_free(&text);
}

/* Blanks may be more or fewer, and a last line may lack its end. */
static void import_takes_rows_for_alike_but_for_blanks(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    for (size_t i = 0; i < ROWS; i++) {
        put_row(&text, i % 2 == 0 ? "t=%t  ax= %x ay=%y az=%z\r" : "t=%t ax=  %x\tay=%y az=%z \r", i, '.');
    }
    text.length -= 2;
    assert_int_equal(support_bytes(in, text.data, text.length), BP_OK);
    support_moves(&in->trace, ROWS, RATE_HZ, 0.0, 1.0, 6e-9);
    bp_text_free(&text);
}

/* More than the first block, which is looked through for rows. */
static void import_reads_a_long_log_with_words_in_its_rows_to_the_end(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    for (size_t i = 0; i < 20000; i++) {
        put_row(&text, "time=%t, ax=%x, ay=%y, az=%z", i, '.');
    }
    assert_true(text.length > 1000000);
    assert_int_equal(support_text(in, text.data), BP_OK);
    support_moves(&in->trace, 20000, RATE_HZ, 0.0, 1.0, 6e-9);
    bp_text_free(&text);
}

static void import_tells_of_rows_that_are_not_like_the_others(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    for (size_t i = 0; i < 400; i++) {
        put_row(&text, i == 200 ? "t=%t ax=lost" : "t=%t ax=%x ay=%y az=%z", i, '.');
    }
    assert_int_equal(support_text(in, text.data), BP_OK);
    assert_int_equal(in->trace.count, 399);
    const struct bp_finding *aside = support_finding(&in->trace, "asides");
    assert_non_null(aside);
    assert_non_null(strstr(aside->text, "ax=lost"));
    bp_text_free(&text);
}

/* A header keeps its line, so that what is wrong is named by the line it stands in. */
static void import_names_the_line_of_a_row_with_words_that_cannot_be_read(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "time,acceleration\n");
    for (size_t i = 0; i < 40; i++) {
        put_row(&text, i < 20 ? "%t,\"[%x, %y, %z]\"" : "%t,\"[%x, %y, 1.2.3]\"", i, '.');
    }
    assert_int_equal(support_text(in, text.data), BP_ERR_NUMBER);
    assert_int_equal(in->error.line, 22);
    bp_text_free(&text);
}

/* ---- refused ---- */

/* Halves of numbers would be read as numbers. */
static void import_refuses_decimal_commas_among_words(void **state)
{
    static const char *const logs[][2] = {
        {"", "t=%t ax=%x ay=%y az=%z"},
        {"", "t=%t;ax=%x;ay=%y;az=%z"},
        {"", "acc: [%x; %y; %z] t: %t"},
        {"time;acceleration\n", "%t;\"{x: %x; y: %y; z: %z}\""},
        {"time;x;y;z\n", "%t s;%x g;%y g;%z g"},
        {"<log>\n", "<s><time>%t</time><x>%x</x><y>%y</y><z>%z</z></s>"},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
        assert_int_not_equal(read_rows(in, logs[i][0], logs[i][1], ','), BP_OK);
        support_refused(in, BP_ERR_FORMAT, 0, 0, i < 5 ? "no rows" : "XML");
    }
}

static void import_asks_for_what_rows_with_words_do_not_tell(void **state)
{
    struct imported *in = *state;
    assert_int_not_equal(read_rows(in, "", "X: %x Y: %y Z: %z", '.'), BP_OK);
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "--rate");
    in->settings.rate_hz = RATE_HZ;
    assert_int_equal(read_rows(in, "", "X: %x Y: %y Z: %z", '.'), BP_OK);
    support_moves(&in->trace, ROWS, RATE_HZ, 0.0, 1.0, 6e-9);
    in->settings.rate_hz = 0.0;
    assert_int_not_equal(read_rows(in, "", "t=%t red=%x green=%y blue=%z", '.'), BP_OK);
    support_refused(in, BP_ERR_COLUMNS, 0, 0, NULL);
    in->settings.columns = "ax=red,ay=green,az=blue";
    assert_int_equal(read_rows(in, "", "t=%t red=%x green=%y blue=%z", '.'), BP_OK);
    support_moves(&in->trace, ROWS, RATE_HZ, 0.0, 1.0, 6e-9);
}

static void import_takes_no_prose_for_rows(void **state)
{
    static const char *const texts[] = {
        "On 1 May 2 lifters did 3 sets.\nOn 2 May 3 did 4 sets and 5 singles.\nOn 3 May none came.\n",
        "a=1 b=2 c=3\na=1 b=2 c=3\n",
        "a=1 b=2\na=1 b=2\na=1 b=2\na=1 b=2\n",
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        assert_int_not_equal(support_text(in, texts[i]), BP_OK);
    }
}

static void import_reports_memory_whichever_allocation_fails_on_rows_with_words(void **state)
{
    struct bp_text text;
    (void)state;
    bp_text_init(&text);
    for (size_t i = 0; i < ROWS; i++) {
        put_row(&text, "t=%t ax=%x ay=%y az=%z", i, '.');
    }
    const struct failing_bytes log = {text.data, text.length};
    assert_true(failing_import(failing_read_bytes, &log, 200) > 3);
    bp_text_free(&text);
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_reads_what_the_rows_themselves_name),
        FRESH(import_reads_cells_with_units_lists_or_names_in_them_below_a_header),
        FRESH(import_takes_the_unit_that_stands_in_the_cells),
        FRESH(import_takes_rows_for_alike_but_for_blanks),
        FRESH(import_reads_a_long_log_with_words_in_its_rows_to_the_end),
        FRESH(import_tells_of_rows_that_are_not_like_the_others),
        FRESH(import_names_the_line_of_a_row_with_words_that_cannot_be_read),
        FRESH(import_refuses_decimal_commas_among_words),
        FRESH(import_asks_for_what_rows_with_words_do_not_tell),
        FRESH(import_takes_no_prose_for_rows),
        FRESH(import_reports_memory_whichever_allocation_fails_on_rows_with_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
