/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* memfd_create */
#include "fuzz/fuzz.h"

#include "barplumb/check.h"
#include "barplumb/report.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

void fuzz_require(bool holds, const char *what)
{
    if (!holds) {
        fprintf(stderr, "fuzz_require: not so: %s\n", what);
        abort();
    }
}

void fuzz_require_refusal(enum bp_code code, const struct bp_error *error)
{
    fuzz_require(code > BP_OK && code < BP_CODE_COUNT, "a refusal has a code of the enum");
    fuzz_require(code != BP_ERR_MEMORY, "a small input needs no more memory than there is");
    fuzz_require(error->code == code, "the error tells the code that was returned");
    fuzz_require(error->text[0] != '\0', "the error tells why");
    fuzz_require(memchr(error->text, '\0', sizeof error->text) != NULL, "the error's text ends");
    fuzz_require(strpbrk(error->text, "\n\r\033") == NULL, "the error's text is one line without escapes");
}

void fuzz_require_trace(const struct bp_trace *t)
{
    const int marks =
        BP_MARK_CLIPPED | BP_MARK_AFTER_GAP | BP_MARK_MENDED | BP_MARK_GYRO_CLIPPED | BP_MARK_SPOILT;
    fuzz_require(t->count >= 2 && t->time_s[0] == 0.0, "a trace has two samples and begins at 0");
    for (size_t i = 0; i < t->count; i++) {
        fuzz_require(isfinite(t->time_s[i]), "times are finite");
        fuzz_require(i == 0 || t->time_s[i] > t->time_s[i - 1], "times rise");
        fuzz_require((t->marks[i] & ~marks) == 0, "marks are of the enum");
        for (int a = 0; a < 3; a++) {
            fuzz_require(isfinite(t->force[a][i]), "accelerations are finite");
            fuzz_require(t->gyroscope == (t->turn[a] != NULL), "a gyroscope has its three axes");
            fuzz_require(!t->gyroscope || isfinite(t->turn[a][i]), "rates of turn are finite");
        }
    }
    fuzz_require(isnan(t->force_limit) || t->force_limit > 0.0, "a limit is above 0");
    fuzz_require(t->force_grid >= 0.0 && t->turn_grid >= 0.0, "a grid is 0 or more");
    fuzz_require(t->findings.count <= BP_FINDINGS_MAX, "findings keep their limit");
}

void fuzz_require_text(const struct bp_text *text)
{
    fuzz_require(!text->failed && text->length > 0, "the report was written whole");
}

void fuzz_require_plain(const struct bp_text *text)
{
    fuzz_require_text(text);
    for (size_t i = 0; i < text->length; i++) {
        unsigned char c = (unsigned char)text->data[i];
        fuzz_require((c >= 0x20 && c != 0x7f) || c == '\n', "a report for people has no control characters");
    }
}

int fuzz_file(const uint8_t *bytes, size_t count, char path[FUZZ_PATH])
{
    int file = memfd_create("fuzz", MFD_CLOEXEC);
    fuzz_require(file >= 0, "a file in memory can be made");
    for (size_t done = 0; done < count;) {
        ssize_t n = write(file, bytes + done, count - done);
        fuzz_require(n > 0, "a file in memory can be written");
        done += (size_t)n;
    }
    snprintf(path, FUZZ_PATH, "/proc/self/fd/%d", file);
    return file;
}

void fuzz_file_close(int file)
{
    close(file);
}

void fuzz_check(const struct bp_trace *trace, struct bp_arena *arena)
{
    const struct bp_report_settings plain = {false, 0};
    struct bp_check check;
    struct bp_error error;
    struct bp_text text;
    enum bp_code code = bp_check_trace(trace, NULL, arena, &check, &error);
    if (code != BP_OK) {
        fuzz_require_refusal(code, &error);
        return;
    }
    bp_text_init(&text);
    bp_report_check_text("fuzz", trace, &check, &plain, &text);
    fuzz_require_plain(&text);
    bp_report_check_json("fuzz", trace, &check, true, &text);
    fuzz_require_text(&text);
    bp_text_free(&text);
}

void fuzz_recordings(enum bp_code code, const struct bp_recordings *recordings, const struct bp_error *error,
                     struct bp_arena *arena)
{
    size_t good = 0;
    if (code != BP_OK) {
        fuzz_require_refusal(code, error);
        fuzz_require(recordings->count == 0, "a refused log leaves no recording");
    }
    for (size_t r = 0; r < recordings->count; r++) {
        const struct bp_recording *recording = &recordings->list[r];
        if (recording->code != BP_OK) {
            fuzz_require_refusal(recording->code, &recording->error);
            fuzz_require(recording->trace->count == 0, "a recording that cannot be read leaves no trace");
            continue;
        }
        fuzz_require_trace(recording->trace);
        fuzz_check(recording->trace, arena);
        good++;
    }
    fuzz_require(code != BP_OK || good > 0, "of a log that is read a recording is");
}

void fuzz_log(const uint8_t *bytes, size_t count, const struct bp_import_settings *settings)
{
    struct bp_arena arena;
    struct bp_recordings recordings;
    struct bp_error error;
    char path[FUZZ_PATH];
    int file = fuzz_file(bytes, count, path);
    bp_arena_init(&arena);
    enum bp_code code = bp_import_recordings(path, settings, &arena, &recordings, &error);
    fuzz_recordings(code, &recordings, &error, &arena);
    bp_arena_free(&arena);
    fuzz_file_close(file);
}
