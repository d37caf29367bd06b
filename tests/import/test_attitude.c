/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Attitude in logs of a phone that rolls and pitches: whatever way it is told, the same "up" comes out.
 */
#include "barplumb/units.h"
#include "import/support.h"
#include "motion/rotation.h"

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
#include <sys/stat.h>
#include <unistd.h>

enum { ROWS = 1000 };
static const double RATE = 50;

/* How a log is written. */
struct way {
    const char *header; /* of the attitude's columns */
    char form;          /* q: w x y z, l: x y z w, c: of the inverse, v: x y z, a: roll pitch yaw */
    double angle;       /* of one rad, in the log's unit */
    bool linear, gyroscope;
    double sign;      /* of every acceleration; 0: 1 */
    bool in_g, flips; /* the quaternion's sign changes from row to row */
    double wrong_rad; /* the attitude's own error, about y */
    double stuck_from, stuck_to;
    int every;                 /* a row with an attitude; 0: each */
    double none_from, none_to; /* no attitude in between */
    int zero_every;            /* a row whose attitude is all zeros; 0: none */
    double pace;               /* the attitude's clock over the log's; 0: 1 */
    const char *unit;          /* of the acceleration; NULL: g or m/s^2 */
};

/* Roll, pitch and yaw: a bar that rolls by 10°, a phone strapped on askew. */
static void angles_at(double t, double angle[3], double rate[3])
{
    double w = 2 * BP_PI * 0.4;
    angle[0] = 0.3 + 0.17 * sin(w * t);
    angle[1] = -0.4 + 0.02 * sin(0.7 * w * t);
    angle[2] = 1.1 + 0.05 * t / 20;
    rate[0] = 0.17 * w * cos(w * t);
    rate[1] = 0.02 * 0.7 * w * cos(0.7 * w * t);
    rate[2] = 0.05 / 20;
}

/* Phone to world: Rz(yaw) Ry(pitch) Rx(roll). */
static struct bp_quaternion attitude_at(double t)
{
    double angle[3], rate[3];
    angles_at(t, angle, rate);
    const double x[3] = {angle[0], 0, 0}, y[3] = {0, angle[1], 0}, z[3] = {0, 0, angle[2]};
    return bp_quaternion_times(bp_quaternion_times(bp_quaternion_of(z), bp_quaternion_of(y)),
                               bp_quaternion_of(x));
}

/* A metre a second squared up and down at 0.5 Hz, and less sideways. */
static void acceleration_at(double t, double out[3])
{
    out[0] = 0.2 * sin(2 * BP_PI * 1.3 * t);
    out[1] = 0.1 * cos(2 * BP_PI * 0.9 * t);
    out[2] = sin(2 * BP_PI * 0.5 * t);
}

static void put(struct bp_text *text, double value)
{
    bp_text_put_char(text, ',');
    bp_text_put_number(text, value, 9);
}

static void put_force(struct bp_text *text, const struct way *way, double t)
{
    double a[3], sign = way->sign < 0 ? -1 : 1, unit = way->in_g ? BP_STANDARD_GRAVITY : 1;
    acceleration_at(t, a);
    a[2] += way->linear ? 0 : BP_STANDARD_GRAVITY;
    bp_turn_in(attitude_at(t), a, a);
    for (int i = 0; i < 3; i++) {
        put(text, sign * a[i] / unit);
    }
}

/* The rates of the three angles in the phone's axes: what simulate's rotation.c says, and its test. */
static void put_turn(struct bp_text *text, double t)
{
    double a[3], d[3];
    angles_at(t, a, d);
    put(text, d[0] - d[2] * sin(a[1]));
    put(text, d[1] * cos(a[0]) + d[2] * sin(a[0]) * cos(a[1]));
    put(text, -d[1] * sin(a[0]) + d[2] * cos(a[0]) * cos(a[1]));
}

static void put_attitude(struct bp_text *text, const struct way *way, double t, int row)
{
    double angle[3], rate[3], sign = way->flips && row % 3 == 1 ? -1 : 1;
    const double wrong[3] = {0, way->wrong_rad, 0};
    t = t >= way->stuck_from && t < way->stuck_to ? way->stuck_from : t;
    t *= way->pace > 0 ? way->pace : 1;
    if (way->zero_every > 0 && row % way->zero_every == 0) {
        bp_text_put(text, ",0,0,0,0");
        return;
    }
    if (way->form == 'a') {
        angles_at(t, angle, rate);
        for (int i = 0; i < 3; i++) {
            put(text, angle[i] * way->angle);
        }
        return;
    }
    struct bp_quaternion q = bp_quaternion_times(bp_quaternion_of(wrong), attitude_at(t));
    double part[4] = {q.w, q.x, q.y, q.z};
    for (int i = 1; i < 4 && way->form == 'c'; i++) {
        part[i] = -part[i];
    }
    for (int i = 0; i < (way->form == 'v' ? 3 : 4); i++) {
        int from = way->form == 'l' || way->form == 'v' ? (i + 1) % 4 : i;
        put(text, sign * part[from]);
    }
}

static void write_log(const struct way *way, struct bp_text *text)
{
    const char *unit = way->unit != NULL ? way->unit : way->in_g ? "g" : "m/s^2";
    bp_text_init(text);
    bp_text_put(text, "time (s)");
    for (int a = 0; a < 3; a++) {
        char heading[64];
        snprintf(heading, sizeof heading, ",%s %c (%s)", way->linear ? "linear acceleration" : "acceleration",
                 "xyz"[a], unit);
        bp_text_put(text, heading);
    }
    bp_text_put(text, way->gyroscope ? ",gyro x (rad/s),gyro y (rad/s),gyro z (rad/s)," : ",");
    bp_text_put(text, way->header);
    bp_text_put_char(text, '\n');
    for (int i = 0; i < ROWS; i++) {
        double t = i / RATE;
        bp_text_put_number(text, t, 3);
        put_force(text, way, t);
        if (way->gyroscope) {
            put_turn(text, t);
        }
        if ((way->every == 0 || i % way->every == 0) && !(t >= way->none_from && t < way->none_to)) {
            put_attitude(text, way, t, i);
        } else {
            bp_text_put(text, ",,,,");
        }
        bp_text_put_char(text, '\n');
    }
}

static void read_log(struct imported *in, const struct way *way)
{
    struct bp_text text;
    write_log(way, &text);
    assert_int_equal(support_bytes(in, text.data, text.length), BP_OK);
    bp_text_free(&text);
    support_sound_trace(&in->trace);
}

/* The largest angle between the trace's "up", taken as signed as the log is, and the true one, rad. */
static double worst_up(const struct bp_trace *trace, double sign)
{
    double worst = 0;
    assert_non_null(trace->up[0]);
    for (size_t i = 0; i < trace->count; i++) {
        double up[3] = {0, 0, sign}, off = 0;
        bp_turn_in(attitude_at(trace->time_s[i]), up, up);
        for (int a = 0; a < 3; a++) {
            off += pow(trace->up[a][i] - up[a], 2);
        }
        worst = fmax(worst, sqrt(off));
    }
    return worst;
}

/* And between the force and the true one with gravity in it, m/s^2. */
static double worst_force(const struct bp_trace *trace, double sign)
{
    double worst = 0;
    for (size_t i = 0; i < trace->count; i++) {
        double f[3];
        acceleration_at(trace->time_s[i], f);
        f[2] += BP_STANDARD_GRAVITY;
        bp_turn_in(attitude_at(trace->time_s[i]), f, f);
        for (int a = 0; a < 3; a++) {
            worst = fmax(worst, fabs(trace->force[a][i] - sign * f[a]));
        }
    }
    return worst;
}

static void attitude_is_read_however_it_is_told(void **state)
{
    static const struct way ways[] = {
        {.header = "qw,qx,qy,qz", .form = 'q'},
        {.header = "qw,qx,qy,qz", .form = 'q', .flips = true},
        {.header = "quaternion x,quaternion y,quaternion z,quaternion w", .form = 'l'},
        {.header = "q0,q1,q2,q3", .form = 'q'},
        {.header = "q0,q1,q2,q3", .form = 'l'},
        {.header = "attitude w,attitude x,attitude y,attitude z", .form = 'c'},
        {.header = "rotation vector x,rotation vector y,rotation vector z", .form = 'v'},
        {.header = "roll (rad),pitch (rad),yaw (rad)", .form = 'a', .angle = 1},
        {.header = "roll (deg),pitch (deg),yaw (deg)", .form = 'a', .angle = 1 / BP_DEGREE},
        {.header = "roll degrees,pitch degrees,yaw degrees", .form = 'a', .angle = 1 / BP_DEGREE},
        {.header = "roll radians,pitch radians,yaw radians", .form = 'a', .angle = 1},
        {.header = "roll,pitch,azimuth", .form = 'a', .angle = 1 / BP_DEGREE},
        {.header = "euler x,euler y,euler z", .form = 'a', .angle = -1},
        {.header = "qw,qx,qy,qz", .form = 'q', .sign = -1, .in_g = true},
        {.header = "qw,qx,qy,qz", .form = 'q', .every = 5},
    };
    struct imported *in = *state;
    for (size_t w = 0; w < sizeof ways / sizeof ways[0]; w++) {
        double sign = ways[w].sign < 0 ? -1 : 1;
        read_log(in, &ways[w]);
        assert_non_null(support_finding(&in->trace, "attitude-used"));
        /* At the end the last of sparse readings stands for up to 0.08 s of a turn of 0.43 rad/s. */
        double off = worst_up(&in->trace, sign);
        if (!(off < (ways[w].every > 0 ? 0.035 : 1e-6))) {
            fail_msg("%s, %c: up is off by %g rad", ways[w].header, ways[w].form, off);
        }
    }
}

static void attitude_puts_gravity_back(void **state)
{
    static const struct way ways[] = {
        {.header = "qw,qx,qy,qz", .form = 'q', .linear = true},
        {.header = "qw,qx,qy,qz", .form = 'q', .linear = true, .sign = -1, .in_g = true},
        {.header = "qw,qx,qy,qz", .form = 'c', .linear = true, .gyroscope = true},
        {.header = "q0,q1,q2,q3", .form = 'l', .linear = true, .gyroscope = true},
        {.header = "roll,pitch,yaw", .form = 'a', .angle = 1, .linear = true, .gyroscope = true},
    };
    struct imported *in = *state;
    for (size_t w = 0; w < sizeof ways / sizeof ways[0]; w++) {
        double sign = ways[w].sign < 0 ? -1 : 1;
        read_log(in, &ways[w]);
        assert_false(in->trace.gravity_removed);
        assert_true(in->trace.sign_assumed);
        assert_int_equal(support_finding(&in->trace, "gravity-from-attitude")->severity, BP_RESERVATION);
        double off = worst_force(&in->trace, sign);
        if (!(off < 1e-5)) {
            fail_msg("%s, %c: the force is off by %g m/s2", ways[w].header, ways[w].form, off);
        }
        assert_true(worst_up(&in->trace, sign) < 1e-6);
    }
}

static void sign_of_linear_acceleration_can_be_given(void **state)
{
    const struct way way = {.header = "qw,qx,qy,qz", .form = 'q', .linear = true, .sign = -1};
    struct imported *in = *state;
    in->settings.units = "sign=minus";
    read_log(in, &way);
    assert_false(in->trace.sign_assumed);
    assert_true(worst_force(&in->trace, -1) < 1e-5);
    in->settings.units = "sign=up";
    support_text(in, "t,ax,ay,az\n0,0,0,9.8\n0.01,0,0,9.8\n");
    support_refused(in, BP_ERR_ARGUMENT, 0, 0, "sign is plus or minus");
}

/* What the phone's filter took out along a wrong "up", a wrong "up" puts back. */
static void attitude_that_is_wrong_puts_gravity_back_where_it_was(void **state)
{
    const struct way right = {.header = "qw,qx,qy,qz", .form = 'q', .linear = true};
    struct imported *in = *state;
    const double wrong[3] = {0, 0.05, 0};
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "time (s),linear acceleration x (m/s^2),linear acceleration y (m/s^2),"
                       "linear acceleration z (m/s^2),");
    bp_text_put(&text, right.header);
    bp_text_put_char(&text, '\n');
    for (int i = 0; i < ROWS; i++) {
        double t = i / RATE, f[3], g[3] = {0, 0, BP_STANDARD_GRAVITY};
        struct bp_quaternion told = bp_quaternion_times(bp_quaternion_of(wrong), attitude_at(t));
        acceleration_at(t, f);
        f[2] += BP_STANDARD_GRAVITY;
        bp_turn_in(attitude_at(t), f, f);
        bp_turn_in(told, g, g);
        bp_text_put_number(&text, t, 3);
        for (int a = 0; a < 3; a++) {
            put(&text, f[a] - g[a]);
        }
        put(&text, told.w);
        put(&text, told.x);
        put(&text, told.y);
        put(&text, told.z);
        bp_text_put_char(&text, '\n');
    }
    assert_int_equal(support_bytes(in, text.data, text.length), BP_OK);
    bp_text_free(&text);
    assert_true(worst_force(&in->trace, 1) < 1e-5);
    double off = worst_up(&in->trace, 1);
    assert_true(off > 0.04 && off < 0.051);
}

static void attitude_of_no_use_is_left_alone_and_said_to_be(void **state)
{
    static const struct {
        struct way way;
        const char *why;
    } list[] = {
        {{.header = "qw,qx,qy,qz", .form = 'q', .wrong_rad = 0.5}, "under no convention"},
        {{.header = "qw,qx,qy,qz", .form = 'q', .stuck_from = 2, .stuck_to = 18}, "stands still"},
        {{.header = "qw,qx,qy,qz", .form = 'q', .every = 20}, "five readings a second"},
        {{.header = "qw,qx,qy,qz", .form = 'q', .gyroscope = true}, "worked out from"},
        {{.header = "qw,qx,qy,remark", .form = 'q'}, "not all parts"},
        {{.header = "roll,pitch,yaw", .form = 'a', .angle = 1, .linear = true}, "how its angles are counted"},
        {{.header = "qw,qx,qy,qz", .form = 'q', .every = ROWS}, "fewer than two readings"},
        {{.header = "qw,qx,qy,qz", .form = 'q', .none_from = 4, .none_to = 20}, "does not cover"},
        {{.header = "qw,qx,qy,qz", .form = 'q', .none_from = 8, .none_to = 10},
         "a hole of more than a second"},
        {{.header = "qw,qx,qy,qz", .form = 'q', .zero_every = 2}, "under no convention"},
        {{.header = "qw,qx,qy,qz", .form = 'q', .linear = true, .gyroscope = true, .pace = 1.7},
         "as the gyroscope says"},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        read_log(in, &list[i].way);
        const struct bp_finding *finding = support_finding(&in->trace, "attitude-ignored");
        assert_non_null(finding);
        if (strstr(finding->text, list[i].why) == NULL) {
            fail_msg("'%s' does not say '%s'", finding->text, list[i].why);
        }
        assert_true((in->trace.up[0] != NULL) == (list[i].way.gyroscope && !list[i].way.linear));
        assert_true(in->trace.gravity_removed == list[i].way.linear);
    }
}

/* In g phones count linear acceleration the other way round; in no unit, or one of SI, as physics does. */
static void unit_of_linear_acceleration_tells_its_sign(void **state)
{
    static const struct {
        const char *unit;
        double in_si, sign;
    } list[] = {{"g", BP_STANDARD_GRAVITY, -1},
                {"mg", BP_STANDARD_GRAVITY / 1000, -1},
                {"cm/s2", 0.01, 1},
                {"count", 1, 1}};
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        const struct way way = {.header = "qw,qx,qy,qz", .form = 'q', .linear = true, .unit = list[i].unit};
        in->settings.units = strcmp(list[i].unit, "count") == 0 ? "a=m/s2" : NULL;
        read_log(in, &way);
        for (size_t k = 0; k < in->trace.count;
             k += 7) { /* gravity stands up; what was told moves the way said */
            double f[3], g[3] = {0, 0, list[i].sign * BP_STANDARD_GRAVITY};
            acceleration_at(in->trace.time_s[k], f);
            bp_turn_in(attitude_at(in->trace.time_s[k]), f, f);
            bp_turn_in(attitude_at(in->trace.time_s[k]), g, g);
            for (int a = 0; a < 3; a++) {
                assert_true(fabs(in->trace.force[a][k] - g[a] - f[a] * list[i].in_si) < 1e-4);
            }
        }
    }
}

/* Four seconds that are stuck are lined over where gravity is missing, since there is nothing else. */
static void attitude_that_is_stuck_for_a_while_still_puts_gravity_back(void **state)
{
    struct way way = {.header = "qw,qx,qy,qz", .form = 'q', .stuck_from = 6, .stuck_to = 10};
    struct imported *in = *state;
    read_log(in, &way);
    assert_non_null(strstr(support_finding(&in->trace, "attitude-ignored")->text, "stands still"));
    way.linear = true;
    read_log(in, &way);
    assert_non_null(support_finding(&in->trace, "gravity-from-attitude"));
    double off = worst_up(&in->trace, 1);
    assert_true(off > 0.1 && off < 0.36); /* as far as the bar rolls, not as far as it may be mounted */
}

/* A quaternion that is none, and cells that are no numbers, do not harm the rest of the log. */
static void attitude_cells_that_are_none_harm_nothing(void **state)
{
    static const char *const bad[] = {"x,y,z,w", ",,,", "9,9,9,9", "nan,0,0,1", "0,0,0,0", "1e300,1,1,1"};
    struct imported *in = *state;
    for (size_t b = 0; b < sizeof bad / sizeof bad[0]; b++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, "t,ax,ay,az,qw,qx,qy,qz\n");
        for (int i = 0; i < 200; i++) {
            char row[96];
            snprintf(row, sizeof row, "0.%03d,0,0,9.80%d,%s\n", 5 * i, i % 2,
                     i % 50 == 7 ? bad[b] : "1,0,0,0");
            bp_text_put(&text, row);
        }
        assert_int_equal(support_bytes(in, text.data, text.length), BP_OK);
        bp_text_free(&text);
        assert_int_equal(in->trace.count, 200);
        assert_null(support_finding(&in->trace, "mended"));
        for (size_t i = 0; i < 200; i++) {
            assert_true(in->trace.up[2][i] > 1 - 1e-12);
        }
    }
}

/* A folder whose attitude has a clock and a rate of its own. */
static void attitude_in_its_own_file_is_tied_to_the_acceleration(void **state)
{
    struct imported *in = *state;
    char folder[] = "/tmp/barplumb-attitude-XXXXXX", path[64];
    struct bp_text force, attitude;
    assert_non_null(mkdtemp(folder));
    bp_text_init(&force);
    bp_text_init(&attitude);
    bp_text_put(&force, "seconds_elapsed,x (m/s^2),y (m/s^2),z (m/s^2)\n");
    bp_text_put(&attitude, "seconds_elapsed,qz,qy,qx,qw,roll,pitch,yaw\n");
    const struct way plain = {.form = 'q'};
    for (int i = 0; i < ROWS; i++) {
        bp_text_put_number(&force, 5 + i / RATE, 3);
        put_force(&force, &plain, i / RATE);
        bp_text_put_char(&force, '\n');
        double t = i / 40.0 - 0.3;
        struct bp_quaternion q = attitude_at(t);
        bp_text_put_number(&attitude, 5 + t, 4);
        put(&attitude, q.z);
        put(&attitude, q.y);
        put(&attitude, q.x);
        put(&attitude, q.w);
        bp_text_put(&attitude, ",0,0,0\n");
    }
    const struct bp_text *texts[] = {&force, &attitude};
    static const char *const names[] = {"Accelerometer.csv", "Orientation.csv"};
    for (int f = 0; f < 2; f++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[f]);
        FILE *file = fopen(path, "wb");
        assert_non_null(file);
        assert_int_equal(fwrite(texts[f]->data, 1, texts[f]->length, file), texts[f]->length);
        assert_int_equal(fclose(file), 0);
    }
    bp_text_free(&force);
    bp_text_free(&attitude);
    assert_int_equal(support_path(in, folder), BP_OK);
    assert_true(worst_up(&in->trace, 1) < 1e-3); /* lines between readings */
    for (int f = 0; f < 2; f++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[f]);
        unlink(path);
    }
    rmdir(folder);
}

/* What a file's name says is for columns that say nothing themselves. */
static void headings_outweigh_a_file_named_after_an_attitude(void **state)
{
    const struct way way = {.header = "qw,qx,qy,qz", .form = 'q', .linear = true};
    struct imported *in = *state;
    struct bp_text text;
    write_log(&way, &text);
    assert_int_equal(bp_import_csv_bytes("quaternion.csv", text.data, text.length, &in->settings, &in->arena,
                                         &in->trace, &in->error),
                     BP_OK);
    bp_text_free(&text);
    assert_true(worst_force(&in->trace, 1) < 1e-5);
}

#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        FRESH(attitude_is_read_however_it_is_told),
        FRESH(attitude_puts_gravity_back),
        FRESH(sign_of_linear_acceleration_can_be_given),
        FRESH(attitude_that_is_wrong_puts_gravity_back_where_it_was),
        FRESH(unit_of_linear_acceleration_tells_its_sign),
        FRESH(attitude_of_no_use_is_left_alone_and_said_to_be),
        FRESH(attitude_that_is_stuck_for_a_while_still_puts_gravity_back),
        FRESH(attitude_cells_that_are_none_harm_nothing),
        FRESH(attitude_in_its_own_file_is_tied_to_the_acceleration),
        FRESH(headings_outweigh_a_file_named_after_an_attitude),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
