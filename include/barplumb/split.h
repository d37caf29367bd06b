/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Split: one long log → its sets. A phone left running through a session records several sets with rests
 * between them; each becomes a trace of its own, which the stages after this one measure like any other.
 */
#ifndef BARPLUMB_SPLIT_H
#define BARPLUMB_SPLIT_H

#include "barplumb/arena.h"
#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/import.h"
#include "barplumb/trace.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

struct bp_split_settings {
    double least_rest_s; /* so long still: between sets, 10 to 600 s. A pause or a hold inside a set lasts
                            less than about 8 s; a rest between sets takes minutes */
    double keep_s;       /* of the rest before and after a set, this much belongs to its part, 1 s to half of
                            least_rest_s. Not more: in a long rest the phone may lie elsewhere than on the bar */
    double least_way_m;  /* less up and down than this, as the lift test sees it, is no lift, m */
};
extern BP_API const struct bp_split_settings bp_split_defaults; /* 20 s, 5 s, 0.06 m */

/* Movement between two rests that is no lift: the phone carried about, plates changed. */
struct bp_left_out {
    double from_s, to_s; /* log time */
};

struct bp_parts {
    size_t count;             /* at least 1 */
    struct bp_trace *list;    /* [count] in time order, with part, parts and from_s set; of a log with no more
                                 than one set in it: the trace itself, as it came */
    size_t left_count;        /* movement of 3 s and longer; 0 where the log is not cut */
    struct bp_left_out *left; /* [left_count]; each is also a finding of the part after it, or of the last */
};

/* Cuts trace where it lies still for long and a lift may stand on either side. A part's samples are those of
 * trace, which must outlive it; only its times are its own, from 0, in arena. Its findings are those of trace
 * that lie in it, in its own time. settings NULL: the defaults. Errors: ARGUMENT (a setting out of range),
 * MEMORY; parts is then all zero. Linear in samples. Thread-safe for different arenas. */
BP_API enum bp_code bp_split_trace(const struct bp_trace *trace, const struct bp_split_settings *settings,
                                   struct bp_arena *arena, struct bp_parts *parts, struct bp_error *error);

/* The same for every recording of a log that could be read, which must outlive parts: their sets follow one
 * another, part and parts counting through all of them; from_s, and times left out, are those of the
 * recording they lie in. One recording: as bp_split_trace. whole: each recording is taken for one set. */
BP_API enum bp_code bp_split_recordings(const struct bp_recordings *recordings,
                                        const struct bp_split_settings *settings, bool whole,
                                        struct bp_arena *arena, struct bp_parts *parts,
                                        struct bp_error *error);

#ifdef __cplusplus
}
#endif
#endif
