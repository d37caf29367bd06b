/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/support.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define PI 3.14159265358979323846

int support_setup(void **state)
{
    struct imported *in = calloc(1, sizeof *in);
    assert_non_null(in);
    bp_arena_init(&in->arena);
    in->settings = bp_import_defaults;
    *state = in;
    return 0;
}

int support_teardown(void **state)
{
    struct imported *in = *state;
    bp_arena_free(&in->arena);
    free(in);
    return 0;
}

static void poison(struct imported *in)
{
    bp_arena_reset(&in->arena);
    memset(&in->trace, 0xA5, sizeof in->trace);
    memset(&in->error, 0xA5, sizeof in->error);
}

enum bp_code support_path(struct imported *in, const char *path)
{
    poison(in);
    in->code = bp_import_log(path, &in->settings, &in->arena, &in->trace, &in->error);
    return in->code;
}

enum bp_code support_file(struct imported *in, const char *name)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/fixtures/layouts/%s", BARPLUMB_SOURCE_DIR, name);
    return support_path(in, path);
}

enum bp_code support_bytes(struct imported *in, const char *bytes, size_t count)
{
    poison(in);
    in->code =
        bp_import_csv_bytes("log.csv", bytes, count, &in->settings, &in->arena, &in->trace, &in->error);
    return in->code;
}

enum bp_code support_text(struct imported *in, const char *text)
{
    return support_bytes(in, text, strlen(text));
}

void support_refused(const struct imported *in, enum bp_code code, size_t line, size_t column,
                     const char *part)
{
    if (in->code != code) {
        fail_msg("%s instead of %s: %s", bp_code_name(in->code), bp_code_name(code),
                 in->code == BP_OK ? "" : in->error.text);
    }
    assert_int_equal(in->error.code, code);
    assert_true(in->error.text[0] != '\0');
    assert_int_equal(in->trace.count, 0);
    assert_null(in->trace.time_s);
    assert_false(in->trace.gyroscope);
    if (line != 0) {
        assert_int_equal(in->error.line, line);
    }
    if (column != 0) {
        assert_int_equal(in->error.column, column);
    }
    if (part != NULL && strstr(in->error.text, part) == NULL) {
        fail_msg("'%s' does not say '%s'", in->error.text, part);
    }
}

void support_sound_trace(const struct bp_trace *t)
{
    assert_true(t->count >= 2);
    assert_true(t->time_s[0] == 0.0);
    for (size_t i = 0; i < t->count; i++) {
        assert_true(isfinite(t->time_s[i]));
        assert_true(i == 0 || t->time_s[i] > t->time_s[i - 1]);
        assert_int_equal(t->marks[i] & ~(BP_MARK_CLIPPED | BP_MARK_AFTER_GAP | BP_MARK_MENDED |
                                         BP_MARK_GYRO_CLIPPED | BP_MARK_SPOILT),
                         0);
        for (int a = 0; a < 3; a++) {
            assert_true((t->up[0] != NULL) == (t->up[a] != NULL));
            assert_true(t->up[a] == NULL || fabs(t->up[a][i]) <= 1.0 + 1e-12);
            assert_true(isfinite(t->force[a][i]));
            assert_true(t->gyroscope == (t->turn[a] != NULL));
            assert_true(!t->gyroscope || isfinite(t->turn[a][i]));
        }
    }
    assert_true(isnan(t->force_limit) || t->force_limit > 0.0);
    assert_true(t->force_grid >= 0.0 && t->turn_grid >= 0.0);
    assert_true(t->recognised.container[0] != '\0' && t->recognised.columns[0] != '\0');
    assert_true(t->findings.count <= BP_FINDINGS_MAX);
}

const struct bp_finding *support_finding(const struct bp_trace *trace, const char *code)
{
    for (size_t i = 0; i < trace->findings.count; i++) {
        if (strcmp(trace->findings.list[i].code, code) == 0) {
            return &trace->findings.list[i];
        }
    }
    return NULL;
}

void motion_force(double t, bool gravity, double out[3])
{
    out[0] = 0.3 * sin(2.0 * PI * 1.3 * t);
    out[1] = 0.2 * cos(2.0 * PI * 0.9 * t);
    out[2] = (gravity ? 9.81 : 0.0) + 4.0 * sin(2.0 * PI * 0.8 * t);
}

void motion_turn(double t, double out[3])
{
    out[0] = 0.1 * sin(PI * t);
    out[1] = 0.05 * cos(PI * t);
    out[2] = 0.02 * sin(2.0 * PI * t);
}

static void near(double is, double should, double tolerance, const char *what, size_t i)
{
    if (!(fabs(is - should) <= tolerance)) {
        fail_msg("%s of sample %zu is %.9g, should be %.9g within %.3g", what, i, is, should, tolerance);
    }
}

void support_moves(const struct bp_trace *t, size_t count, double rate_hz, double t0, double sign,
                   double tolerance)
{
    support_sound_trace(t);
    assert_int_equal(t->count, count);
    for (size_t i = 0; i < count; i++) {
        double should[3], time = (double)i / rate_hz;
        near(t->time_s[i], time, 1e-3 / rate_hz, "time", i);
        motion_force(t0 + time, !t->gravity_removed, should);
        for (int a = 0; a < 3; a++) {
            near(t->force[a][i], sign * should[a], tolerance, "force", i);
        }
    }
}

void support_turns(const struct bp_trace *t, double t0, double tolerance)
{
    assert_true(t->gyroscope);
    for (size_t i = 0; i < t->count; i++) {
        double should[3];
        motion_turn(t0 + t->time_s[i], should);
        for (int a = 0; a < 3; a++) {
            near(t->turn[a][i], should[a], tolerance, "turn", i);
        }
    }
}

void text_row(struct bp_text *text, double t, int decimals)
{
    double f[3];
    motion_force(t, true, f);
    bp_text_put_number(text, t, 6);
    for (int a = 0; a < 3; a++) {
        bp_text_put_char(text, ',');
        bp_text_put_number(text, f[a], decimals);
    }
    bp_text_put_char(text, '\n');
}

void text_motion(struct bp_text *text, const char *header, size_t rows, double rate_hz)
{
    bp_text_init(text);
    bp_text_put(text, header);
    for (size_t i = 0; i < rows; i++) {
        text_row(text, (double)i / rate_hz, 6);
    }
}
