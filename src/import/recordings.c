/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The recordings of one log, as they come off its reader.
 */
#include "import/importer.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void bp_import_empty(struct bp_trace *trace)
{
    memset(trace, 0, sizeof *trace);
    trace->start_epoch_s = trace->force_limit = trace->turn_limit = (double)NAN;
    trace->recognised.declared_rate_hz = (double)NAN;
}

bool bp_import_wants_more(const struct bp_importer *im)
{
    return im->shelf->count < im->shelf->most;
}

struct bp_trace *bp_import_begin_recording(struct bp_importer *im, const char *place)
{
    struct bp_recording *recording = &im->shelf->list[im->shelf->count];
    struct bp_trace *trace =
        recording->trace != NULL ? recording->trace : bp_arena_take(im->arena, 1, sizeof *trace);
    *recording = (struct bp_recording){.trace = trace};
    if (trace == NULL) {
        return NULL;
    }
    bp_import_empty(trace);
    snprintf(recording->place, sizeof recording->place, "%s", place);
    im->findings = &trace->findings;
    im->error = &recording->error;
    im->shelf->count++;
    return trace;
}

void bp_import_place_recording(struct bp_importer *im, const char *place)
{
    struct bp_recording *recording = &im->shelf->list[im->shelf->count - 1];
    snprintf(recording->place, sizeof recording->place, "%s", place);
}

enum bp_code bp_import_end_recording(struct bp_importer *im, enum bp_code code)
{
    struct bp_recording *recording = &im->shelf->list[im->shelf->count - 1];
    struct bp_trace *trace = recording->trace;
    recording->code = code;
    im->rows_read += trace->recognised.rows;
    im->error = im->shelf->error;
    if (code != BP_OK) {
        trace->count = 0;
        trace->time_s = NULL;
        trace->marks = NULL;
        trace->gyroscope = false;
        for (int a = 0; a < 3; a++) {
            trace->force[a] = trace->turn[a] = trace->up[a] = NULL;
        }
    }
    /* A header behind which nothing stands is no recording. */
    im->shelf->count -= code == BP_ERR_EMPTY && im->shelf->count > 1;
    if (code == BP_ERR_MEMORY && im->error != NULL) {
        *im->error = recording->error;
    }
    return code == BP_ERR_MEMORY ? code : BP_OK;
}

/* In the error of the one that could not be read, before what it says. */
static void place_error(struct bp_recording *recording, size_t number, size_t count)
{
    struct bp_error was = recording->error;
    bp_error_set(&recording->error, was.code, "recording %zu of %zu (%s): %s", number, count,
                 recording->place, was.text);
    bp_error_place(&recording->error, was.path, was.line, was.column, was.at_s);
}

static void tell_others(struct bp_shelf *shelf, size_t failed)
{
    for (size_t i = 0; i < shelf->count; i++) {
        if (shelf->list[i].code == BP_OK) {
            bp_findings_add(&shelf->list[i].trace->findings, "recording-left-out", BP_RESERVATION,
                            (double)NAN, "recording %zu of the log (%s) cannot be read and was left out",
                            failed + 1, shelf->list[failed].place);
        }
    }
}

enum bp_code bp_import_number_recordings(struct bp_shelf *shelf)
{
    size_t good = 0;
    for (size_t i = 0; i < shelf->count; i++) {
        good += shelf->list[i].code == BP_OK;
    }
    for (size_t i = 0; i < shelf->count && shelf->count > 1; i++) {
        struct bp_recording *recording = &shelf->list[i];
        recording->trace->recording = i + 1;
        recording->trace->recordings = shelf->count;
        if (recording->code != BP_OK) {
            place_error(recording, i + 1, shelf->count);
            tell_others(shelf, i);
        }
    }
    if (good == 0 && shelf->error != NULL) {
        *shelf->error = shelf->list[0].error;
    }
    return good > 0 ? BP_OK : shelf->list[0].code;
}
