/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The trace: a log read into SI units on one clock. What every later stage reads.
 */
#ifndef BARPLUMB_TRACE_H
#define BARPLUMB_TRACE_H

#include "barplumb/arena.h"
#include "barplumb/export.h"
#include "barplumb/finding.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Per-sample marks, or-ed together in bp_trace.marks. */
enum bp_mark {
    BP_MARK_CLIPPED = 1,   /* an acceleration axis stands at the sensor's limit */
    BP_MARK_AFTER_GAP = 2, /* samples are missing before this one */
    BP_MARK_MENDED = 4,    /* the value was interpolated over a bad or absent cell */
    BP_MARK_GYRO_CLIPPED = 8,
    BP_MARK_SPOILT = 16 /* between the sample before and this one the log is not to be trusted: the clock was
                           set, or rows were put in; a finding says so */
};

enum { BP_RECOGNISED_TEXT = 400 };

/* What the importer made of the log, in words, for `check`. */
struct bp_recognised {
    char container[64];               /* "CSV, separator ';', decimal comma", "WAV, 32-bit float", … */
    char columns[BP_RECOGNISED_TEXT]; /* "time: 'Time (s)' in s; x: 'X (g)' in g …" */
    size_t rows;                      /* data rows read */
    double declared_rate_hz;          /* from the container's header; NaN if it states none */
};

struct bp_trace {
    size_t count;         /* samples, at least 2 in a valid trace */
    double *time_s;       /* [count] strictly increasing, seconds, time_s[0] == 0 */
    double *force[3];     /* [count] each: specific force along the phone's x, y, z, m/s^2. Either sign
                             convention (+g or -g upward at rest): every figure is the same for both. With
                             gravity_removed it is the acceleration alone. */
    double *turn[3];      /* [count] each: rate of turn about x, y, z, rad/s; all NULL without a gyroscope */
    double *up[3];        /* [count] each: unit vector "up" in the phone's axes by the phone's own attitude,
                             signed as force is; all NULL where the log has none of use */
    uint8_t *marks;       /* [count] bp_mark bits */
    bool gyroscope;       /* turn[] is there */
    bool gravity_removed; /* the log's phone took gravity out and nothing in the log puts it back */
    bool sign_assumed;    /* gravity was put back, and only the unit, or nothing, says whether what it was
                             added to counts up or down: the movement must bear that out */
    double start_epoch_s; /* time of the first sample since 1970-01-01 UTC, s; NaN if unknown */
    double force_limit;   /* the reading at which acceleration clips, m/s^2; NaN if none was seen */
    double turn_limit;    /* the same for the gyroscope, rad/s; NaN if none was seen */
    double force_grid;    /* the step the acceleration readings are rounded to, m/s^2; 0 if none is visible */
    double turn_grid;     /* the same for the gyroscope, rad/s */
    struct bp_recognised recognised;
    struct bp_findings findings; /* what was mended or noticed while reading */
    /* Where it was cut out of a log of several sets (split.h); all 0: it is the whole log. */
    size_t part, parts; /* the part-th of so many, from 1, in all recordings */
    double from_s;      /* log time of the first sample */
    /* Where the log holds several recordings, each with a time of its own: which this is, from 1; else 0. */
    size_t recording, recordings;
};

/* Rate and evenness of the clock. */
struct bp_clock {
    double rate_hz;  /* 1 / median step */
    double step_s;   /* median step */
    double jitter_s; /* standard deviation of the steps that are not gaps */
    double longest_step_s;
    size_t gaps;       /* steps longer than 2.5 median steps */
    double duration_s; /* last time minus first */
};

/* Measures the clock of a trace. Takes count doubles of scratch from arena. False when memory is out. */
BP_API bool bp_trace_clock(const struct bp_trace *trace, struct bp_arena *arena, struct bp_clock *clock);

#ifdef __cplusplus
}
#endif
#endif
