/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/write.h"

#include "barplumb/units.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sndfile.h>

/* Three samples with round numbers. */
static double time_s[3] = {0.0, 0.01, 0.0203},
              force[3][3] = {{1, -2, 0.5}, {0, 0.25, -4}, {9.80665, 10, 19.6133}};
static double gravity[3][3] = {{0, 0, 0}, {0, 0, 0}, {9.80665, 9.80665, 9.80665}};
static double turn[3][3] = {{0.1, 0, -0.1}, {0, 1, 2}, {0, 0, 0}};

static struct sim_log log_of(bool gyroscope)
{
    struct sim_log log = {.count = 3, .time_s = time_s, .gyroscope = gyroscope, .nominal_rate_hz = 100.0};
    for (int k = 0; k < 3; k++) {
        log.force[k] = force[k];
        log.gravity[k] = gravity[k];
        log.turn[k] = gyroscope ? turn[k] : NULL;
    }
    log.turn_count = gyroscope ? 3 : 0;
    return log;
}

static void assert_csv(bool gyroscope, const struct sim_layout *layout, const char *expected)
{
    struct bp_text text;
    struct sim_log log = log_of(gyroscope);
    bp_text_init(&text);
    sim_write_csv(&log, layout, &text);
    assert_false(text.failed);
    assert_string_equal(text.data, expected);
    bp_text_free(&text);
}

static void csv_has_seconds_and_si_units_unless_told_otherwise(void **state)
{
    (void)state;
    struct sim_layout layout = sim_layout_defaults;
    layout.decimals = 3;
    assert_csv(false, &layout,
               "time (s),acceleration x (m/s^2),acceleration y (m/s^2),acceleration z (m/s^2)\n"
               "0.000000000,1.000,0.000,9.807\n"
               "0.010000000,-2.000,0.250,10.000\n"
               "0.020300000,0.500,-4.000,19.613\n");
}

static void csv_writes_g_degrees_milliseconds_and_the_decimal_comma(void **state)
{
    (void)state;
    struct sim_layout layout = {.time_unit = SIM_TIME_MS,
                                .in_g = true,
                                .degrees = true,
                                .separator = ';',
                                .point = ',',
                                .header = true,
                                .decimals = 2};
    assert_csv(true, &layout,
               "time (ms);acceleration x (g);acceleration y (g);acceleration z (g);"
               "gyroscope x (deg/s);gyroscope y (deg/s);gyroscope z (deg/s)\n"
               "0,000000;0,10;0,00;1,00;5,73;0,00;0,00\n"
               "10,000000;-0,20;0,03;1,02;0,00;57,30;0,00\n"
               "20,300000;0,05;-0,41;2,00;-5,73;114,59;0,00\n");
}

static void csv_adds_the_epoch_without_losing_a_nanosecond(void **state)
{
    (void)state;
    struct sim_layout layout = {.time_unit = SIM_TIME_NS,
                                .start_epoch_s = 1700000000.5,
                                .separator = '\t',
                                .point = '.',
                                .decimals = 0};
    assert_csv(false, &layout,
               "1700000000500000000\t1\t0\t10\n"
               "1700000000510000000\t-2\t0\t10\n"
               "1700000000520300000\t1\t-4\t20\n");
}

static void csv_takes_gravity_out_and_puts_it_beside(void **state)
{
    (void)state;
    struct sim_layout layout = {.gravity = SIM_GRAVITY_APART,
                                .separator = ',',
                                .point = '.',
                                .decimals = 3,
                                .header = true,
                                .time_unit = SIM_TIME_US};
    assert_csv(false, &layout,
               "time (us),linear acceleration x (m/s^2),linear acceleration y (m/s^2),"
               "linear acceleration z (m/s^2),gravity x (m/s^2),gravity y (m/s^2),gravity z (m/s^2)\n"
               "0.000,1.000,0.000,0.000,0.000,0.000,9.807\n"
               "10000.000,-2.000,0.250,0.193,0.000,0.000,9.807\n"
               "20300.000,0.500,-4.000,9.807,0.000,0.000,9.807\n");
    layout.header = false;
    layout.gravity = SIM_GRAVITY_AGAINST;
    assert_csv(false, &layout,
               "0.000,1.000,0.000,0.000,0.000,0.000,-9.807\n"
               "10000.000,-2.000,0.250,0.193,0.000,0.000,-9.807\n"
               "20300.000,0.500,-4.000,9.807,0.000,0.000,-9.807\n");
    layout.gravity = SIM_GRAVITY_REMOVED;
    assert_csv(false, &layout,
               "0.000,1.000,0.000,0.000\n10000.000,-2.000,0.250,0.193\n"
               "20300.000,0.500,-4.000,9.807\n");
}

/* Reads the next number of a row; at moves behind the separator. */
static double next_cell(const char **at)
{
    double value = (double)NAN;
    size_t used = bp_number_read(*at, strcspn(*at, ",\n"), '.', &value);
    *at += used + 1;
    return value;
}

static void sign_conventions_are_exact_negatives(void **state)
{
    (void)state;
    struct sim_scenario scenario = sim_scenario_defaults;
    struct sim_log log;
    scenario.reps = 1;
    assert_int_equal(sim_run(&scenario, &log, NULL), SIM_OK);
    for (int gravities = 0; gravities < SIM_GRAVITY_COUNT; gravities++) {
        struct bp_text plus, minus;
        struct sim_layout layout = sim_layout_defaults;
        layout.header = false;
        layout.gravity = (enum sim_gravity_columns)gravities;
        int forces = layout.gravity == SIM_GRAVITY_APART || layout.gravity == SIM_GRAVITY_AGAINST ? 6 : 3;
        bp_text_init(&plus);
        bp_text_init(&minus);
        sim_write_csv(&log, &layout, &plus);
        layout.minus = true;
        sim_write_csv(&log, &layout, &minus);
        const char *a = plus.data, *b = minus.data;
        for (size_t i = 0; i < log.count; i++) {
            for (int cell = 0; cell < 1 + forces + 3; cell++) {
                double p = next_cell(&a), m = next_cell(&b);
                bool acceleration = cell > 0 && cell <= forces;
                assert_true(p == (acceleration ? -m : m));
            }
        }
        bp_text_free(&plus);
        bp_text_free(&minus);
    }
    sim_log_free(&log);
}

static void gyroscope_of_its_own_rate_is_written_apart(void **state)
{
    (void)state;
    struct bp_text text;
    struct sim_log log = log_of(true);
    static double turn_time_s[2] = {0.004, 0.017};
    struct sim_layout layout = sim_layout_defaults;
    log.turn_time_s = turn_time_s;
    log.turn_count = 2;
    layout.decimals = 1;
    bp_text_init(&text);
    sim_write_turn_csv(&log, &layout, &text);
    assert_string_equal(text.data, "time (s),gyroscope x (rad/s),gyroscope y (rad/s),gyroscope z (rad/s)\n"
                                   "0.004000000,0.1,0.0,0.0\n0.017000000,0.0,1.0,0.0\n");
    bp_text_free(&text);
    bp_text_init(&text);
    sim_write_csv(&log, &layout, &text);
    assert_null(strstr(text.data, "gyroscope"));
    bp_text_free(&text);
}

/* Braces and brackets balance outside strings, and no number is written as nan. */
static void assert_sound_json(const char *json)
{
    int depth = 0;
    bool string = false;
    for (const char *c = json; *c; c++) {
        string ^= *c == '"';
        depth += string ? 0 : (*c == '{' || *c == '[') - (*c == '}' || *c == ']');
        assert_true(depth >= 0);
    }
    assert_int_equal(depth, 0);
    assert_false(string);
    assert_null(strstr(json, "nan"));
    assert_null(strstr(json, "inf"));
    assert_null(strstr(json, ",,"));
}

static void truth_names_every_setting_and_every_rep(void **state)
{
    (void)state;
    static struct sim_truth truth;
    struct sim_scenario scenario;
    struct sim_log log;
    struct bp_text text;
    sim_scenario_for(BP_DEADLIFT, &scenario);
    scenario.reps = 3;
    scenario.ending = SIM_MISSED;
    assert_int_equal(sim_run(&scenario, &log, &truth), SIM_OK);
    bp_text_init(&text);
    sim_write_truth(&scenario, &log, &truth, &text);
    assert_false(text.failed);
    assert_sound_json(text.data);
    assert_non_null(strstr(text.data, "{\"schema\":\"barplumb.truth/1\""));
    assert_non_null(strstr(text.data, "\"lift\":\"deadlift\""));
    assert_non_null(strstr(text.data, "\"trouble\":\"none\""));
    assert_non_null(strstr(text.data, "\"pause_s\":null")); /* the first rep from the floor */
    assert_non_null(strstr(text.data, "\"clatter_crest\":"));
    assert_non_null(strstr(text.data, "\"shake_hz\":"));
    assert_non_null(strstr(text.data, "\"force_bias_z\":0.120000000"));
    assert_non_null(strstr(text.data, "\"unrack_start_s\":null"));
    assert_non_null(strstr(text.data, "{\"index\":3,\"missed\":false"));
    assert_non_null(strstr(text.data, "{\"index\":4,\"missed\":true"));
    assert_null(strstr(text.data, "{\"index\":5"));
    bp_text_free(&text);
    sim_log_free(&log);
}

static void wav_gives_back_the_readings_and_the_same_bytes(void **state)
{
    (void)state;
    const char *const paths[2] = {"simulate_test_a.wav", "simulate_test_b.wav"};
    char bytes[2][400];
    size_t sizes[2];
    struct sim_log log = log_of(true);
    for (int i = 0; i < 2; i++) {
        assert_true(sim_write_wav(&log, paths[i]));
        FILE *file = fopen(paths[i], "rb");
        assert_non_null(file);
        sizes[i] = fread(bytes[i], 1, sizeof bytes[i], file);
        fclose(file);
    }
    assert_true(sizes[0] > 72 && sizes[0] < sizeof bytes[0]);
    assert_int_equal(sizes[0], sizes[1]);
    assert_memory_equal(bytes[0], bytes[1], sizes[0]);

    SF_INFO info = {0};
    float frame[6];
    SNDFILE *file = sf_open(paths[0], SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.channels, 6);
    assert_int_equal(info.samplerate, 100);
    assert_int_equal(info.frames, 3);
    for (size_t i = 0; i < 3; i++) {
        assert_int_equal(sf_readf_float(file, frame, 1), 1);
        for (size_t k = 0; k < 3; k++) {
            assert_true(frame[k] == (float)force[k][i] && frame[k + 3] == (float)turn[k][i]);
        }
    }
    sf_close(file);
    remove(paths[0]);
    remove(paths[1]);
}

static void wav_is_refused_where_it_cannot_hold_the_log(void **state)
{
    (void)state;
    struct sim_log log = log_of(true);
    log.nominal_rate_hz = 12.5;
    assert_false(sim_write_wav(&log, "simulate_test_c.wav"));
    log = log_of(true);
    log.turn_time_s = time_s;
    assert_false(sim_write_wav(&log, "simulate_test_c.wav"));
    log = log_of(false);
    assert_false(sim_write_wav(&log, "no such folder/simulate_test_c.wav"));
    assert_null(fopen("simulate_test_c.wav", "rb"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(csv_has_seconds_and_si_units_unless_told_otherwise),
        cmocka_unit_test(csv_writes_g_degrees_milliseconds_and_the_decimal_comma),
        cmocka_unit_test(csv_adds_the_epoch_without_losing_a_nanosecond),
        cmocka_unit_test(csv_takes_gravity_out_and_puts_it_beside),
        cmocka_unit_test(sign_conventions_are_exact_negatives),
        cmocka_unit_test(gyroscope_of_its_own_rate_is_written_apart),
        cmocka_unit_test(truth_names_every_setting_and_every_rep),
        cmocka_unit_test(wav_gives_back_the_readings_and_the_same_bytes),
        cmocka_unit_test(wav_is_refused_where_it_cannot_hold_the_log),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
