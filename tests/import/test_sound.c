/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Round trips through libsndfile: what it writes is read back as acceleration and gyroscope.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/support.h"

#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { FRAMES = 400, RATE_HZ = 200 };
#define FORCE_SCALE 78.4 /* m/s^2 */
#define TURN_SCALE 34.9  /* rad/s */

struct recording {
    int format, channels;
    double force_scale, turn_scale; /* written = SI / these */
    const char *comment;
    double spoil;  /* put into one place where not 0… */
    size_t every;  /* …and in each that so many frames divide; 0: no others */
    size_t frames; /* 0: FRAMES */
};

/* Writes frames to path, named with an ending that says nothing. */
static void write_recording(const char *path, const struct recording *r)
{
    SF_INFO info = {.samplerate = RATE_HZ, .channels = r->channels, .format = r->format};
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    assert_non_null(file);
    if (r->comment != NULL) {
        assert_int_equal(sf_set_string(file, SF_STR_COMMENT, r->comment), 0);
    }
    for (size_t i = 0; i < (r->frames != 0 ? r->frames : FRAMES); i++) {
        double f[3], w[3], frame[8] = {0.0};
        motion_force((double)i / RATE_HZ, true, f);
        motion_turn((double)i / RATE_HZ, w);
        for (int a = 0; a < 3; a++) {
            frame[a] = f[a] / r->force_scale;
            frame[3 + a] = w[a] / r->turn_scale;
        }
        if (r->spoil != 0.0 && (i == 200 || (r->every > 0 && i % r->every == 0))) {
            frame[1] = r->spoil;
        }
        assert_int_equal(sf_writef_double(file, frame, 1), 1);
    }
    assert_int_equal(sf_close(file), 0);
}

static void import_recording(struct imported *in, const struct recording *r)
{
    char path[64] = "/tmp/barplumb-import-XXXXXX";
    int file = mkstemp(path);
    assert_true(file >= 0);
    close(file);
    write_recording(path, r);
    support_path(in, path);
    assert_int_equal(unlink(path), 0);
}

static void import_reads_float_recordings_in_si(void **state)
{
    static const struct {
        int format;
        const char *name;
        double tolerance;
    } list[] = {
        {SF_FORMAT_WAV | SF_FORMAT_FLOAT, "WAV, 32-bit float", 1e-6},
        {SF_FORMAT_WAV | SF_FORMAT_DOUBLE, "WAV, 64-bit float", 1e-15},
        {SF_FORMAT_WAVEX | SF_FORMAT_DOUBLE, "WAV, 64-bit float", 1e-15},
        {SF_FORMAT_W64 | SF_FORMAT_FLOAT, "W64, 32-bit float", 1e-6},
        {SF_FORMAT_RF64 | SF_FORMAT_DOUBLE, "RF64, 64-bit float", 1e-15},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        for (int channels = 3; channels <= 6; channels += 3) {
            struct recording r = {list[i].format, channels, 1.0, 1.0, NULL, 0.0, 0, 0};
            import_recording(in, &r);
            assert_int_equal(in->code, BP_OK);
            assert_string_equal(in->trace.recognised.container, list[i].name);
            support_moves(&in->trace, FRAMES, RATE_HZ, 0.0, 1.0, list[i].tolerance);
            assert_true(in->trace.recognised.declared_rate_hz == RATE_HZ);
            assert_int_equal(in->trace.gyroscope, channels == 6);
            if (channels == 6) {
                support_turns(&in->trace, 0.0, list[i].tolerance);
            }
        }
    }
}

static void import_reads_whole_numbers_by_their_full_scale(void **state)
{
    static const struct {
        int format;
        double bits;
    } list[] = {
        {SF_FORMAT_WAV | SF_FORMAT_PCM_16, 15.0},  {SF_FORMAT_WAV | SF_FORMAT_PCM_24, 23.0},
        {SF_FORMAT_WAV | SF_FORMAT_PCM_32, 31.0},  {SF_FORMAT_W64 | SF_FORMAT_PCM_16, 15.0},
        {SF_FORMAT_FLAC | SF_FORMAT_PCM_16, 15.0}, {SF_FORMAT_FLAC | SF_FORMAT_PCM_24, 23.0},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        for (int tagged = 0; tagged < 2; tagged++) {
            struct recording r = {list[i].format, 6, FORCE_SCALE, TURN_SCALE, NULL, 0.0, 0, 0};
            if (tagged != 0) {
                r.comment = "bench; full_scale_m_s2=78.4 full_scale_rad_s=34.9";
            }
            if (tagged != 0 && (list[i].format & SF_FORMAT_TYPEMASK) == SF_FORMAT_W64) {
                continue; /* has no comment tag */
            }
            in->settings.full_scale_force = tagged != 0 ? 0.0 : FORCE_SCALE;
            in->settings.full_scale_turn = tagged != 0 ? 0.0 : TURN_SCALE;
            import_recording(in, &r);
            assert_int_equal(in->code, BP_OK);
            /* libsndfile scales by 2^bits - 1 one way and 2^bits the other: one part in 2^bits more */
            double step = 1.6 * pow(2.0, -list[i].bits);
            support_moves(&in->trace, FRAMES, RATE_HZ, 0.0, 1.0, step * FORCE_SCALE);
            support_turns(&in->trace, 0.0, step * TURN_SCALE);
        }
    }
}

static void import_refuses_whole_numbers_of_unknown_scale(void **state)
{
    static const char *const comments[] = {NULL,
                                           "a bench press",
                                           "full_scale_m_s2=",
                                           "full_scale_m_s2=-3",
                                           "full_scale_m_s2=nan",
                                           "full_scale_m_s2=inf"};
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof comments / sizeof comments[0]; i++) {
        struct recording r = {SF_FORMAT_WAV | SF_FORMAT_PCM_16, 3, FORCE_SCALE, 1.0, comments[i], 0.0, 0, 0};
        import_recording(in, &r);
        support_refused(in, BP_ERR_UNITS, 0, 0, "full scale");
    }
    struct recording six = {SF_FORMAT_WAV | SF_FORMAT_PCM_16, 6,   FORCE_SCALE, TURN_SCALE,
                            "full_scale_m_s2=78.4",           0.0, false,       0};
    import_recording(in, &six);
    support_refused(in, BP_ERR_UNITS, 0, 0, "full_scale_rad_s");
}

static void import_refuses_a_wav_with_two_channels(void **state)
{
    struct imported *in = *state;
    for (int channels = 1; channels <= 8; channels++) {
        struct recording r = {SF_FORMAT_WAV | SF_FORMAT_FLOAT, channels, 1.0, 1.0, NULL, 0.0, 0, 0};
        if (channels != 3 && channels != 6) {
            import_recording(in, &r);
            support_refused(in, BP_ERR_COLUMNS, 0, 0, "channels");
        }
    }
}

static void import_refuses_compressed_sound(void **state)
{
    struct imported *in = *state;
    struct recording r = {SF_FORMAT_WAV | SF_FORMAT_ULAW, 3, 100.0, 1.0, NULL, 0.0, 0, 0};
    import_recording(in, &r);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "uncompressed");
}

static void import_takes_given_units_for_float_recordings(void **state)
{
    struct imported *in = *state;
    struct recording r = {
        SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 6, 9.80665, 3.14159265358979323846 / 180.0, NULL, 0.0, 0, 0};
    import_recording(in, &r);
    support_refused(in, BP_ERR_UNITS, 0, 0, NULL); /* 1 m/s^2 and steady is no gravity */
    in->settings.units = "a=g,w=deg/s";
    import_recording(in, &r);
    assert_int_equal(in->code, BP_OK);
    support_moves(&in->trace, FRAMES, RATE_HZ, 0.0, 1.0, 1e-14);
    support_turns(&in->trace, 0.0, 1e-14);
}

static void import_mends_a_reading_that_is_not_finite(void **state)
{
    struct imported *in = *state;
    struct recording r = {SF_FORMAT_WAV | SF_FORMAT_FLOAT, 3, 1.0, 1.0, NULL, (double)NAN, 0, 0};
    import_recording(in, &r);
    assert_int_equal(in->code, BP_OK);
    assert_int_equal(in->trace.marks[200], BP_MARK_MENDED);
    support_moves(&in->trace, FRAMES, RATE_HZ, 0.0, 1.0, 1e-4); /* 0.2 (2 pi 0.9)^2 0.005^2 / 2 */
    assert_non_null(support_finding(&in->trace, "mended"));
}

static void import_mends_a_few_readings_that_are_not_finite(void **state)
{
    struct imported *in = *state;
    struct recording r = {SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 3, 1.0, 1.0, NULL, (double)INFINITY, 0, 0};
    import_recording(in, &r);
    assert_int_equal(in->code, BP_OK);
    assert_non_null(support_finding(&in->trace, "mended"));
    r.every = 150; /* three, of 400 */
    import_recording(in, &r);
    assert_int_equal(in->code, BP_OK);
    assert_non_null(support_finding(&in->trace, "mended"));
    r.every = 10;
    import_recording(in, &r);
    support_refused(in, BP_ERR_NUMBER, 0, 0, "not finite");
}

static void import_refuses_a_recording_full_of_holes(void **state)
{
    struct imported *in = *state;
    struct recording r = {SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 6, 1.0, 1.0, NULL, (double)NAN, 10, 0};
    import_recording(in, &r);
    support_refused(in, BP_ERR_NUMBER, 0, 0, "not finite");
    assert_true(in->error.at_s == 0.0);
}

static void import_reads_a_long_recording_and_refuses_one_sample(void **state)
{
    struct imported *in = *state;
    struct recording r = {SF_FORMAT_W64 | SF_FORMAT_DOUBLE, 3, 1.0, 1.0, NULL, 0.0, 0, 150000};
    import_recording(in, &r);
    assert_int_equal(in->code, BP_OK);
    support_moves(&in->trace, 150000, RATE_HZ, 0.0, 1.0, 1e-12);
    r.frames = 1;
    import_recording(in, &r);
    support_refused(in, BP_ERR_EMPTY, 0, 0, "two samples");
}

static void import_refuses_more_samples_than_its_limit(void **state)
{
    struct imported *in = *state;
    struct recording r = {SF_FORMAT_WAV | SF_FORMAT_FLOAT, 3, 1.0, 1.0, NULL, 0.0, 0, 0};
    in->settings.rows_max = FRAMES - 1;
    import_recording(in, &r);
    support_refused(in, BP_ERR_LIMIT, 0, 0, NULL);
}

static void import_survives_cut_off_and_damaged_recordings(void **state)
{
    struct imported *in = *state;
    struct recording r = {SF_FORMAT_WAV | SF_FORMAT_FLOAT, 3, 1.0, 1.0, NULL, 0.0, 0, 0};
    char path[64] = "/tmp/barplumb-import-XXXXXX";
    int file = mkstemp(path);
    assert_true(file >= 0);
    close(file);
    write_recording(path, &r);
    for (off_t size = 4900; size > 0; size -= size > 200 ? 300 : 13) {
        assert_int_equal(truncate(path, size), 0);
        support_path(in, path);
        if (in->code == BP_OK) {
            support_sound_trace(&in->trace);
            assert_true(in->trace.count < FRAMES + 1);
        } else {
            assert_true(in->code == BP_ERR_FORMAT || in->code == BP_ERR_EMPTY || in->code == BP_ERR_UNITS);
            assert_int_equal(in->trace.count, 0);
        }
    }
    assert_int_equal(unlink(path), 0);
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_reads_float_recordings_in_si),
        FRESH(import_reads_whole_numbers_by_their_full_scale),
        FRESH(import_refuses_whole_numbers_of_unknown_scale),
        FRESH(import_refuses_a_wav_with_two_channels),
        FRESH(import_refuses_compressed_sound),
        FRESH(import_takes_given_units_for_float_recordings),
        FRESH(import_mends_a_reading_that_is_not_finite),
        FRESH(import_mends_a_few_readings_that_are_not_finite),
        FRESH(import_refuses_a_recording_full_of_holes),
        FRESH(import_reads_a_long_recording_and_refuses_one_sample),
        FRESH(import_refuses_more_samples_than_its_limit),
        FRESH(import_survives_cut_off_and_damaged_recordings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
