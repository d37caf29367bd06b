/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Recordings in sound containers: three channels of acceleration, or six with the gyroscope. Float files
 * are in SI units; integer files need to be told what their full scale stands for.
 */
#include "import/readers.h"

#include "barplumb/text.h"
#include "base/spare.h"

#include <errno.h>
#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <string.h>

enum { OPEN_BYTES = 1 << 20 }; /* many times what a header takes */
enum { BLOCK_FRAMES = 4096, ROWS_FIRST = 65536, CHANNELS_MAX = BP_STREAM_WIDTH, BAD_PERCENT = 1 };

static const struct encoding {
    int subtype;
    bool whole;
    const char *name;
} encodings[] = {
    {SF_FORMAT_FLOAT, false, "32-bit float"}, {SF_FORMAT_DOUBLE, false, "64-bit float"},
    {SF_FORMAT_PCM_16, true, "16-bit"},       {SF_FORMAT_PCM_24, true, "24-bit"},
    {SF_FORMAT_PCM_32, true, "32-bit"},       {SF_FORMAT_PCM_S8, true, "8-bit"},
    {SF_FORMAT_PCM_U8, true, "8-bit"},
};

static const struct {
    int type;
    const char *name;
} containers[] = {{SF_FORMAT_WAV, "WAV"},
                  {SF_FORMAT_WAVEX, "WAV"},
                  {SF_FORMAT_W64, "W64"},
                  {SF_FORMAT_RF64, "RF64"},
                  {SF_FORMAT_FLAC, "FLAC"}};

static const char *container_name(int format)
{
    for (size_t i = 0; i < sizeof containers / sizeof containers[0]; i++) {
        if ((format & SF_FORMAT_TYPEMASK) == containers[i].type) {
            return containers[i].name;
        }
    }
    return NULL;
}

static const struct encoding *find_encoding(int format)
{
    for (size_t i = 0; i < sizeof encodings / sizeof encodings[0]; i++) {
        if ((format & SF_FORMAT_SUBMASK) == encodings[i].subtype) {
            return &encodings[i];
        }
    }
    return NULL;
}

static enum bp_code check_format(struct bp_importer *im, const SF_INFO *info)
{
    if (container_name(info->format) == NULL || find_encoding(info->format) == NULL) {
        return bp_import_fail(im, BP_ERR_FORMAT, 0, 0,
                              "only uncompressed WAV, W64 and RF64, and FLAC, are read as recordings");
    }
    if (info->channels != 3 && info->channels != CHANNELS_MAX) {
        return bp_import_fail(im, BP_ERR_COLUMNS, 0, 0,
                              "%d channels: 3 (acceleration) or 6 (with gyroscope) are read", info->channels);
    }
    return BP_OK;
}

/* The number behind key in the comment tag; NaN when there is none. */
static double tag_number(const char *comment, const char *key)
{
    double value = (double)NAN;
    const char *at = comment != NULL ? strstr(comment, key) : NULL;
    if (at != NULL) {
        at += strlen(key);
        bp_number_read(at, strlen(at), '.', &value);
    }
    return value;
}

static enum bp_code full_scale(struct bp_importer *im, SNDFILE *file, double given, const char *key,
                               double *scale)
{
    *scale = given > 0.0 ? given : tag_number(sf_get_string(file, SF_STR_COMMENT), key);
    if (!(*scale > 0.0) || !isfinite(*scale)) {
        return bp_import_fail(
            im, BP_ERR_UNITS, 0, 0,
            "whole numbers need to be told their full scale: by --full-scale, or by %s… in the "
            "comment tag",
            key);
    }
    return BP_OK;
}

static bool grow(struct bp_importer *im, struct bp_stream *s, size_t capacity)
{
    for (size_t a = 0; a < s->width; a++) {
        double *larger = bp_arena_doubles(im->arena, capacity);
        if (larger == NULL) {
            return false;
        }
        if (s->count > 0) {
            memcpy(larger, s->value[a], s->count * sizeof *larger);
        }
        s->value[a] = larger;
    }
    return true;
}

/* Reads to the end in blocks; the header's count of frames is only a hint, for it may lie. */
static enum bp_code read_frames(struct bp_importer *im, SNDFILE *file, const SF_INFO *info,
                                const double *scales, struct bp_stream *s)
{
    size_t rows_max = im->settings->rows_max != 0 ? im->settings->rows_max : BP_IMPORT_ROWS_MAX;
    size_t capacity = info->frames > 0 && info->frames < ROWS_FIRST ? (size_t)info->frames : ROWS_FIRST;
    double *block = bp_arena_doubles(&im->scratch, (size_t)BLOCK_FRAMES * CHANNELS_MAX);
    if (block == NULL || !grow(im, s, capacity)) {
        return bp_import_no_memory(im);
    }
    for (;;) {
        sf_count_t got = sf_readf_double(file, block, BLOCK_FRAMES);
        if (got <= 0) {
            return sf_error(file) == SF_ERR_NO_ERROR
                       ? BP_OK
                       : bp_import_fail(im, BP_ERR_READ, 0, 0, "reading it failed after %zu samples",
                                        s->count);
        }
        if (s->count + (size_t)got > rows_max) {
            return bp_import_fail(im, BP_ERR_LIMIT, 0, 0, "more than %zu samples", rows_max);
        }
        while (s->count + (size_t)got > capacity) {
            capacity *= 2;
            if (capacity < 2 * s->count || !grow(im, s, capacity)) {
                return bp_import_no_memory(im);
            }
        }
        for (size_t i = 0; i < (size_t)got; i++) {
            for (size_t a = 0; a < s->width; a++) {
                s->value[a][s->count + i] = block[i * s->width + a] * scales[a / 3];
            }
        }
        s->count += (size_t)got;
    }
}

/* What is not finite is a hole; more than a hundredth is no recording. */
static enum bp_code make_holes(struct bp_importer *im, struct bp_stream *s)
{
    size_t holes = 0, first = s->count;
    for (size_t a = 0; a < s->width; a++) {
        for (size_t i = 0; i < s->count; i++) {
            if (!isfinite(s->value[a][i])) {
                s->value[a][i] = (double)NAN;
                first = i < first ? i : first;
                holes++;
            }
        }
    }
    if (holes > 1 && holes * 100 > s->count * BAD_PERCENT) {
        bp_import_fail(im, BP_ERR_NUMBER, 0, 0, "%zu readings are not finite", holes);
        bp_error_place(im->error, im->name, 0, 0, s->time[first]);
        return BP_ERR_NUMBER;
    }
    return BP_OK;
}

static enum bp_code read_recording(struct bp_importer *im, SNDFILE *file, const SF_INFO *info,
                                   struct bp_part *part)
{
    struct bp_stream *s = &part->force;
    const struct encoding *encoding = find_encoding(info->format);
    double scales[2] = {1.0, 1.0};
    enum bp_code code = BP_OK;
    s->width = (size_t)info->channels;
    if (encoding->whole) {
        code = full_scale(im, file, im->settings->full_scale_force, "full_scale_m_s2=", &scales[0]);
        if (code == BP_OK && s->width > 3) {
            code = full_scale(im, file, im->settings->full_scale_turn, "full_scale_rad_s=", &scales[1]);
        }
    }
    if (code == BP_OK) {
        code = read_frames(im, file, info, scales, s);
    }
    if (code != BP_OK) {
        return code;
    }
    if (s->count < 2) {
        return bp_import_fail(im, BP_ERR_EMPTY, 0, 0, "fewer than two samples are in the recording");
    }
    s->time = bp_arena_doubles(im->arena, s->count);
    s->marks = bp_arena_zero(im->arena, s->count, 1);
    if (s->time == NULL || s->marks == NULL) {
        return bp_import_no_memory(im);
    }
    for (size_t i = 0; i < s->count; i++) {
        s->time[i] = (double)i / (double)info->samplerate;
    }
    if ((sf_count_t)s->count < info->frames) {
        bp_findings_add(im->findings, "truncated", BP_NOTE, (double)NAN,
                        "the recording ends before the length its header states");
    }
    return make_holes(im, s);
}

static enum bp_code make_trace(struct bp_importer *im, const SF_INFO *info, struct bp_part *part,
                               struct bp_trace *trace)
{
    const struct encoding *encoding = find_encoding(info->format);
    const struct bp_unit *force = encoding->whole ? NULL : bp_import_unit_given(im->settings, BP_KIND_FORCE);
    const struct bp_unit *turn = encoding->whole ? NULL : bp_import_unit_given(im->settings, BP_KIND_TURN);
    part->turn_unit = turn != NULL ? turn : bp_import_unit_at(BP_KIND_TURN, 0);
    trace->recognised.rows = part->force.count;
    trace->recognised.declared_rate_hz = (double)info->samplerate;
    snprintf(trace->recognised.container, sizeof trace->recognised.container, "%s, %s",
             container_name(info->format), encoding->name);
    snprintf(trace->recognised.columns, sizeof trace->recognised.columns, "channels 1-3: acceleration%s",
             info->channels > 3 ? "; 4-6: gyroscope" : "");
    enum bp_code code = bp_import_mend(im, &part->force, NULL);
    if (code == BP_OK) {
        code = bp_import_settle_force(im, part, force != NULL ? force : bp_import_unit_at(BP_KIND_FORCE, 0),
                                      false);
    }
    return code == BP_OK ? bp_import_assemble(im, part, part, trace) : code;
}

static enum bp_code read_sound(struct bp_importer *im, const char *path, struct bp_trace *trace)
{
    SF_INFO info = {0};
    struct bp_part part = {.zero_epoch_s = (double)NAN, .zero_elapsed_s = (double)NAN};
    errno = 0;
    /* libsndfile 1.2.0 crashes where some of its own allocations fail, and says of others that it is no sound
     * file. */
    SNDFILE *file = bp_spare_memory(OPEN_BYTES) ? sf_open(path, SFM_READ, &info) : NULL;
    if (file == NULL && errno == ENOMEM) {
        return bp_import_no_memory(im);
    }
    if (file == NULL) {
        return bp_import_fail(im, BP_ERR_FORMAT, 0, 0,
                              "it begins like a WAV, W64, RF64 or FLAC file but cannot be read as one");
    }
    enum bp_code code = check_format(im, &info);
    if (code == BP_OK) {
        code = read_recording(im, file, &info, &part);
    }
    sf_close(file);
    return code == BP_OK ? make_trace(im, &info, &part, trace) : code;
}

enum bp_code bp_import_read_sound(struct bp_importer *im, const char *path)
{
    struct bp_trace *trace = bp_import_begin_recording(im, "");
    return trace != NULL ? bp_import_end_recording(im, read_sound(im, path, trace)) : bp_import_no_memory(im);
}
