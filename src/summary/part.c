/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/part.h"

#include "barplumb/text.h"
#include "barplumb/traces.h"

static void place_rep(struct bp_rep_figures *rep, double from_s)
{
    rep->descent_start_s += from_s;
    rep->turnaround_s += from_s;
    rep->drive_start_s += from_s;
    rep->drive_end_s += from_s;
    rep->sticking.start_s += from_s;
    rep->sticking.end_s += from_s;
}

void bp_part_place(const struct bp_trace *trace, struct bp_summary *summary)
{
    summary->log.recording = trace->recording;
    summary->log.recordings = trace->recordings;
    if (trace->parts == 0) {
        return;
    }
    summary->log.part = trace->part;
    summary->log.parts = trace->parts;
    summary->log.part_from_s = trace->from_s;
    for (size_t r = 0; r < summary->rep_count; r++) {
        place_rep(&summary->reps[r], trace->from_s);
    }
    for (size_t f = 0; f < summary->findings.count; f++) {
        summary->findings.list[f].at_s += trace->from_s;
    }
    for (size_t d = 0; d < summary->doubts.count; d++) {
        summary->doubts.list[d].from_s += trace->from_s;
        summary->doubts.list[d].to_s += trace->from_s;
    }
    for (size_t i = 0; summary->traces && i < summary->traces->count; i++) {
        summary->traces->time_s[i] += trace->from_s;
    }
}

void bp_part_place_error(const struct bp_trace *trace, struct bp_error *error)
{
    if (trace->parts == 0 || !error) {
        return;
    }
    struct bp_error was = *error;
    char from[32];
    bp_number_write(trace->from_s, 1, from, sizeof from);
    if (trace->recordings > 0) {
        bp_error_set(error, was.code, "set %zu of %zu, from %s s of recording %zu: %s", trace->part,
                     trace->parts, from, trace->recording, was.text);
    } else {
        bp_error_set(error, was.code, "set %zu of %zu, from %s s: %s", trace->part, trace->parts, from,
                     was.text);
    }
    error->at_s = was.at_s + trace->from_s;
}
