/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Open recordings that nobody here made (outside/open_data.h says where they lie); skipped where they are
 * not. What is expected of each is what its publisher says of it: rate, units, sensors.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/support.h"
#include "outside/open_data.h"

#include <math.h>
#include <string.h>

struct expected {
    const char *path;
    double rate_hz, tolerance; /* relative */
    bool gyroscope, gravity_removed;
    const char *units;
    size_t least; /* samples */
};

static const struct expected recordings[] = {
    {"optical/10_undisturbed_slow_translation_A.csv", 285.714, 1e-4, true, false, "s, m/s2, rad/s", 55409},
    {"optical/18_undisturbed_fast_translation_with_breaks_B.csv", 285.714, 1e-4, true, false,
     "s, m/s2, rad/s", 53124},
    {"up-down-return/yplus.csv", 1000.0, 0.01, true, false, "ns, g, rad/s", 3300},
    {"up-down-return/zplus.csv", 1000.0, 0.01, true, false, "ns, g, rad/s", 3000},
    {"up-down-return/zminus.csv", 1000.0, 0.01, true, false, "ns, g, rad/s", 4100},
    {"elevator/PabRod_skyscrapper_up.csv", 50.0, 0.01, false, false, "ms, m/s2", 1800},
    {"phone-squat/a", 17.0, 0.03, true, true, "s, m/s2, rad/s", 3400},
    /* its share's zip holds a file with gravity too */
    {"phone-squat/a/Squatting-2024-05-29_20-05-47.zip", 17.0, 0.03, true, false, "s, m/s2, rad/s", 3400},
    {"phone-squat/b", 17.0, 0.03, true, true, "s, m/s2, rad/s", 3300},
    {"wrist-barbell/01-bench-heavy2-rpe8", 12.5, 1e-3, true, false, "s, g, deg/s", 200},
    {"wrist-barbell/02-bench-heavy", 12.5, 1e-3, true, false, "s, g, deg/s", 150},
    {"wrist-barbell/03-bench-heavy", 12.5, 1e-3, true, false, "s, g, deg/s", 210},
    {"wrist-barbell/04-bench-medium", 12.5, 1e-3, true, false, "s, g, deg/s", 270},
    {"wrist-barbell/05-squat-heavy", 12.5, 1e-3, true, false, "s, g, deg/s", 200},
    {"wrist-barbell/06-squat-medium1-rpe7", 12.5, 1e-3, true, false, "s, g, deg/s", 200},
    {"wrist-barbell/07-squat-heavy", 12.5, 1e-3, true, false, "s, g, deg/s", 200},
    {"wrist-barbell/08-dead-heavy", 12.5, 1e-3, true, false, "s, g, deg/s", 200},
    {"wrist-barbell/09-dead-medium", 12.5, 1e-3, true, false, "s, g, deg/s", 400},
    {"wrist-barbell/10-ohp-heavy", 12.5, 1e-3, true, false, "s, g, deg/s", 165},
    {"wrist-barbell/11-ohp-medium2-rpe7", 12.5, 1e-3, true, false, "s, g, deg/s", 200},
    {"wrist-barbell/12-row-heavy", 12.5, 1e-3, true, false, "s, g, deg/s", 105},
    {"wrist-barbell/13-row-medium", 12.5, 1e-3, true, false, "s, g, deg/s", 260},
};

static void check_recording(struct imported *in, const struct expected *e)
{
    char path[2048], units[64];
    struct bp_clock clock;
    assert_true(open_data_find(e->path, path, sizeof path));
    if (support_path(in, path) != BP_OK) {
        fail_msg("%s: %s", e->path, in->error.text);
    }
    support_sound_trace(&in->trace);
    assert_true(bp_trace_clock(&in->trace, &in->arena, &clock));
    snprintf(units, sizeof units, "units: %s", e->units);
    if (!(fabs(clock.rate_hz - e->rate_hz) <= e->tolerance * e->rate_hz) || in->trace.count < e->least ||
        in->trace.gyroscope != e->gyroscope || in->trace.gravity_removed != e->gravity_removed ||
        strstr(in->trace.recognised.columns, units) == NULL) {
        fail_msg("%s: %.4f Hz, %zu samples, gyroscope %d, gravity removed %d, %s", e->path, clock.rate_hz,
                 in->trace.count, in->trace.gyroscope, in->trace.gravity_removed,
                 in->trace.recognised.columns);
    }
    double sum = 0.0;
    for (size_t i = 0; i < 10; i++) { /* all but the free-hand ones begin at rest */
        double x = in->trace.force[0][i], y = in->trace.force[1][i], z = in->trace.force[2][i];
        sum += sqrt(x * x + y * y + z * z) / 10.0;
    }
    bool rest = strncmp(e->path, "up-down", 7) == 0 || strncmp(e->path, "optical", 7) == 0;
    assert_true(!rest || fabs(sum - 9.81) < 0.25);
}

static void import_reads_open_recordings_as_published(void **state)
{
    for (size_t i = 0; i < sizeof recordings / sizeof recordings[0]; i++) {
        check_recording(*state, &recordings[i]);
    }
}

static void import_finds_the_gap_in_an_open_recording(void **state)
{
    struct imported *in = *state;
    char path[2048];
    assert_true(open_data_find("phone-squat/a", path, sizeof path));
    assert_int_equal(support_path(in, path), BP_OK);
    const struct bp_finding *gap = support_finding(&in->trace, "gap");
    assert_non_null(gap);
    assert_non_null(strstr(gap->text, "3.42 s")); /* "a 3.4 s gap" */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(import_reads_open_recordings_as_published),
        cmocka_unit_test(import_finds_the_gap_in_an_open_recording),
    };
    char path[2048];
    if (!open_data_find("wrist-barbell", path, sizeof path)) {
        return open_data_absent();
    }
    return cmocka_run_group_tests(tests, support_setup, support_teardown);
}
