/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/words.h"

#include "barplumb/units.h"

#include <string.h>

static struct bp_heading read(const char *text)
{
    struct bp_heading h;
    memset(&h, 0xA5, sizeof h);
    bp_import_read_heading(text, strlen(text), &h);
    return h;
}

static void headings_are_recognised_by_words_axis_and_unit(void **state)
{
    static const struct {
        const char *text;
        enum bp_kind kind;
        int axis;
        const char *unit;
        bool linear;
    } list[] = {
        {"Time (s)", BP_KIND_TIME, -1, "s", false},
        {"seconds_elapsed", BP_KIND_TIME, -1, "s", false},
        {"Time since start in ms ", BP_KIND_TIME, -1, "ms", false},
        {"timestamp [ns]", BP_KIND_TIME, -1, "ns", false},
        {"time (\xc2\xb5s)", BP_KIND_TIME, -1, "us", false},
        {"epoch (ms)", BP_KIND_TIME, -1, "ms", false},
        {"time_s", BP_KIND_TIME, -1, "s", false},
        {"TimeInterval", BP_KIND_TIME, -1, NULL, false},
        {"accelerometerTimestamp_sinceReboot(s)", BP_KIND_TIME, -1, "s", false},
        {"locationTimestamp(s)", BP_KIND_OTHER, -1, "s", false},
        {"Acceleration x (m/s^2)", BP_KIND_FORCE, 0, "m/s2", false},
        {"ACCELEROMETER Y (m/s\xc2\xb2)", BP_KIND_FORCE, 1, "m/s2", false},
        {"ACCELEROMETER Y (m/s\xb2)", BP_KIND_FORCE, 1, "m/s2", false}, /* Latin-1 */
        {"acc_z (m s\xe2\x81\xbb\xc2\xb2)", BP_KIND_FORCE, 2, "m/s2", false},
        {"acc_x_ms2", BP_KIND_FORCE, 0, "m/s2", false},
        {"accel_x [mm/s2]", BP_KIND_FORCE, 0, "mm/s2", false},
        {"AccX", BP_KIND_FORCE, 0, NULL, false},
        {"IMUAccY", BP_KIND_FORCE, 1, NULL, false},
        {"ax", BP_KIND_FORCE, 0, NULL, false},
        {"gFz", BP_KIND_FORCE, 2, "g", false},
        {"x (in G's)", BP_KIND_FORCE, 0, "g", false},
        {"x-axis (g)", BP_KIND_FORCE, 0, "g", false},
        {"z_times_g", BP_KIND_FORCE, 2, "g", false},
        {"X (mg)", BP_KIND_FORCE, 0, "mg", false},
        {"Linear Acceleration x (m/s^2)", BP_KIND_FORCE, 0, "m/s2", true},
        {"userAcceleration.y (G)", BP_KIND_FORCE, 1, "g", true},
        {"accelerationIncludingGravity z", BP_KIND_FORCE, 2, NULL, false},
        {"acceleration x without gravity", BP_KIND_FORCE, 0, NULL, true},
        {"GRAVITY X (m/s\xc2\xb2)", BP_KIND_GRAVITY, 0, "m/s2", false},
        {"estGravityVectorZ", BP_KIND_GRAVITY, 2, NULL, false},
        {"Gyroscope x (rad/s)", BP_KIND_TURN, 0, "rad/s", false},
        {"y-axis (deg/s)", BP_KIND_TURN, 1, "deg/s", false},
        {"rotation rate z (\xc2\xb0/s)", BP_KIND_TURN, 2, "deg/s", false},
        {"gyr_y_rads", BP_KIND_TURN, 1, "rad/s", false},
        {"estAngularRateX", BP_KIND_TURN, 0, NULL, false},
        {"wz", BP_KIND_TURN, 2, NULL, false},
        {"gyrox", BP_KIND_TURN, 0, NULL, false},
        {"gx", BP_KIND_G, 0, NULL, false},
        {"x", BP_KIND_NONE, 0, NULL, false},
        {"index", BP_KIND_NONE, -1, NULL, false},
        {"Absolute acceleration (m/s^2)", BP_KIND_OTHER, -1, "m/s2", false},
        {"g_measured", BP_KIND_OTHER, -1, NULL, false},
        {"MAGNETIC FIELD X (\xce\xbcT)", BP_KIND_OTHER, 0, NULL, false},
        {"x (uT)", BP_KIND_OTHER, 0, NULL, false},
        {"deltaVelX", BP_KIND_OTHER, 0, NULL, false},
        {"ORIENTATION Z (azimuth \xc2\xb0)", BP_KIND_OTHER, 2, NULL, false},
        {"Beschleunigung x (m/s^2)", BP_KIND_FORCE, 0, "m/s2", false},
        {"Velocidad angular y (rad/s)", BP_KIND_TURN, 1, "rad/s", false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct bp_heading h = read(list[i].text);
        if (h.kind != list[i].kind || h.axis != list[i].axis || h.linear != list[i].linear) {
            fail_msg("'%s': kind %d axis %d linear %d", list[i].text, (int)h.kind, h.axis, (int)h.linear);
        }
        if (list[i].kind != BP_KIND_OTHER) {
            assert_true((h.unit == NULL) == (list[i].unit == NULL));
            if (h.unit != NULL) {
                assert_string_equal(h.unit->name, list[i].unit);
            }
        }
    }
}

static void estimated_columns_have_more_demerits_than_plain_ones(void **state)
{
    (void)state;
    assert_true(read("estCompensatedAccelX").demerits > read("scaledAccelX").demerits);
    assert_true(read("scaledAccelX").demerits > read("AccelX").demerits);
    assert_string_equal(read("scaledAccelX").stem, read("scaledAccelY").stem);
}

static void headings_of_any_length_are_read(void **state)
{
    char text[700];
    (void)state;
    memset(text, 'a', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    assert_int_equal(read(text).kind, BP_KIND_NONE);
    for (size_t i = 0; i < sizeof text - 1; i++) {
        text[i] = i % 2 == 0 ? 'Q' : ' ';
    }
    assert_int_equal(read(text).kind, BP_KIND_NONE);
    assert_true(strlen(read(text).stem) < BP_STEM_BYTES);
    for (size_t i = 0; i + 1 < sizeof text - 1; i += 2) { /* two bytes a letter */
        memcpy(text + i, "\xc3\xa9", 2);
    }
    assert_int_equal(read(text).kind, BP_KIND_NONE);
    assert_int_equal(read("").kind, BP_KIND_NONE);
    assert_int_equal(read(")").kind, BP_KIND_NONE);
    assert_int_equal(read("ax)").kind, BP_KIND_FORCE);
    assert_int_equal(read("a{ {").axis, -1);
    assert_int_equal(read("x acc_y").axis, 0); /* the first */
    assert_int_equal(read("gx (furlong)").kind, BP_KIND_G);
    assert_int_equal(read("gx (g)").kind, BP_KIND_FORCE);
    assert_int_equal(read("gx (deg/s)").kind, BP_KIND_TURN);
    assert_true(read("quatX").attitude);
    assert_int_equal(read("\xc3\xa9\xc3").axis, -1); /* a character that is cut */
}

static void elapsed_time_is_told_from_the_time_of_day(void **state)
{
    (void)state;
    assert_true(read("elapsed (s)").elapsed);
    assert_true(read("relative_time").elapsed);
    assert_false(read("timestamp").elapsed);
}

static void headings_of_any_bytes_and_length_are_read(void **state)
{
    char text[1000];
    struct bp_heading h;
    (void)state;
    for (size_t i = 0; i < sizeof text; i++) {
        text[i] = (char)(i * 37 + 11);
    }
    for (size_t n = 0; n < sizeof text; n += 7) {
        memset(&h, 0xA5, sizeof h);
        bp_import_read_heading(text, n, &h);
        assert_in_range(h.kind, BP_KIND_NONE, BP_KIND_OTHER);
        assert_true(h.axis >= -1 && h.axis <= 2);
        assert_non_null(memchr(h.stem, '\0', sizeof h.stem));
    }
}

static void file_names_hint_at_the_sensor(void **state)
{
    static const struct {
        const char *path;
        enum bp_kind kind;
        bool linear;
    } list[] = {
        {"set/Accelerometer.csv", BP_KIND_FORCE, false},
        {"set/TotalAcceleration.csv", BP_KIND_FORCE, false},
        {"Linear Accelerometer.csv", BP_KIND_FORCE, true},
        {"Gyroscope_25.000Hz_1.4.4.csv", BP_KIND_TURN, false},
        {"Gravity.csv", BP_KIND_GRAVITY, false},
        {"Magnetometer.csv", BP_KIND_OTHER, false},
        {"2025-01-01 bench time.csv", BP_KIND_NONE, false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct bp_heading h;
        bp_import_read_file_name(list[i].path, &h);
        if (h.kind != list[i].kind || h.linear != list[i].linear) {
            fail_msg("'%s': kind %d linear %d", list[i].path, (int)h.kind, (int)h.linear);
        }
    }
}

static void units_have_their_exact_factors(void **state)
{
    static const struct {
        const char *text;
        enum bp_kind kind;
        double factor;
    } list[] = {
        {"s", BP_KIND_TIME, 1.0},
        {"ms", BP_KIND_TIME, 1e-3},
        {"us", BP_KIND_TIME, 1e-6},
        {"ns", BP_KIND_TIME, 1e-9},
        {"m/s2", BP_KIND_FORCE, 1.0},
        {"m/s^2", BP_KIND_FORCE, 1.0},
        {"mm/s2", BP_KIND_FORCE, 1e-3},
        {"g", BP_KIND_FORCE, 9.80665}, /* 3rd CGPM 1901 */
        {"mg", BP_KIND_FORCE, 9.80665e-3},
        {"rad/s", BP_KIND_TURN, 1.0},
        {"deg/s", BP_KIND_TURN, 0.017453292519943295}, /* pi/180 */
    };
    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        const struct bp_unit *u = bp_import_unit_named(list[i].text, strlen(list[i].text), list[i].kind);
        assert_non_null(u);
        assert_true(u->factor - list[i].factor <= 2e-16 * list[i].factor &&
                    list[i].factor - u->factor <= 2e-16 * list[i].factor);
    }
    assert_null(bp_import_unit_named("g", 1, BP_KIND_TIME));
    assert_null(bp_import_unit_named("furlong", 7, BP_KIND_FORCE));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(headings_are_recognised_by_words_axis_and_unit),
        cmocka_unit_test(estimated_columns_have_more_demerits_than_plain_ones),
        cmocka_unit_test(headings_of_any_length_are_read),
        cmocka_unit_test(elapsed_time_is_told_from_the_time_of_day),
        cmocka_unit_test(headings_of_any_bytes_and_length_are_read),
        cmocka_unit_test(file_names_hint_at_the_sensor),
        cmocka_unit_test(units_have_their_exact_factors),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
