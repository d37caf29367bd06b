/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: a sensor's samples on their own clock, on the way from table to trace.
 */
#ifndef BARPLUMB_IMPORT_STREAM_H
#define BARPLUMB_IMPORT_STREAM_H

#include "import/table.h"

/* A step longer than this many usual steps is a gap: one missing sample makes 2, jitter adds less than half.
 */
#define BP_GAP_STEPS 2.5

enum { BP_STREAM_WIDTH = 6 };

struct bp_stream {
    size_t count;
    size_t width; /* 3, or 6 where acceleration and gyroscope stand in the same rows */
    double *time; /* [count] s */
    double *value[BP_STREAM_WIDTH];
    uint8_t *marks; /* [count] */
    bool complete;  /* a number in every cell as it was read: nothing is to be mended */
    bool ordered;   /* every time is later than the one before */
};

/* The phone's own attitude. */
struct bp_attitude {
    enum bp_attitude_form form; /* NONE: none */
    double angle_factor;        /* as in the layout */
    struct bp_stream stream;    /* its readings, width 3 or 4; no marks */
    struct bp_stream up; /* once settled and of use: "up" in the phone's axes, signed as the force is */
    double shift_s;      /* its time = the acceleration's + this */
};

/* What one file gave: its acceleration, its gyroscope, or both; its attitude. */
struct bp_part {
    struct bp_stream force; /* width 0: none; width 6: with the gyroscope */
    struct bp_stream turn;  /* width 0: none of its own */
    struct bp_attitude attitude;
    bool linear;           /* gravity is missing from force */
    bool sign_assumed;     /* as in the trace */
    double zero_epoch_s;   /* the date at time 0, s since 1970; NaN: unknown */
    bool epoch_zoned;      /* …and it is UTC, not some place's wall clock */
    double zero_elapsed_s; /* what the log's own elapsed time showed at time 0; NaN: none */
    const struct bp_unit *force_unit, *turn_unit, *time_unit; /* as read; NULL: none */
};

/* ---- part.c: the factor with which linear acceleration is added to the gravity beside it, 1 or -1. Both are
 * taken to count the same way, unless a setting says otherwise: part->sign_assumed, the movement must bear
 * that out. */
double bp_import_sign_beside_gravity(const struct bp_importer *im, struct bp_part *part);

/* ---- time.c: the table's time column in seconds from 0, first rows first. Errors: TIME, NUMBER, EMPTY,
 * COLUMNS, MEMORY. */
struct bp_times {
    const struct bp_unit *unit; /* NULL: times of day, or counted from a rate */
    double zero;                /* the column's value at time 0, s */
    double step_s;              /* usual step of the rows */
};
enum bp_code bp_import_settle_time(struct bp_importer *im, struct bp_table *table, struct bp_times *times);

/* ---- order.c */
/* Turns rows that run from last to first round. True when each row is later than the one before, as written.
 */
bool bp_import_turn_round(struct bp_importer *im, double *time, double **columns, size_t width, size_t rows);
/* Sorts late samples in; refuses more than that. table (may be NULL) knows the lines. Errors: TIME. */
enum bp_code bp_import_sort(struct bp_importer *im, struct bp_stream *stream, const struct bp_table *table);
/* Spreads repeated times evenly, or drops rows that are written twice. Errors: TIME, MEMORY. */
enum bp_code bp_import_spread(struct bp_importer *im, struct bp_stream *stream);
/* The median of values[0..count), which is reordered; 0 when count is 0. */
double bp_import_median(double *values, size_t count);
/* What would stand at place rank < count if they were sorted. */
double bp_import_ranked(double *values, size_t count, size_t rank);

/* ---- split.c: table → streams. Errors: MEMORY, EMPTY, COLUMNS. */
enum bp_code bp_import_split_table(struct bp_importer *im, struct bp_table *table, struct bp_part *part);

/* ---- set_back.c: undoes a clock that was set back, before the rows are sorted. */
void bp_import_undo_set_back(struct bp_importer *im, struct bp_stream *stream);

/* ---- spikes.c: interpolates wild readings of one sensor, in SI units, and marks them. */
void bp_import_mend_spikes(struct bp_importer *im, const double *time, double *const value[3], size_t count,
                           uint8_t *marks, bool gyroscope);

/* ---- frozen.c: leaves out what repeats one reading over and over, so that it is a gap. grid: as judged. */
void bp_import_drop_frozen(struct bp_importer *im, struct bp_stream *s, double grid);

/* ---- copies.c: takes out rows that are written over again with later times. grid: of the acceleration.
 * Errors: MEMORY. */
enum bp_code bp_import_drop_copies(struct bp_importer *im, struct bp_stream *s, double grid);

/* ---- mend.c */
/* Reports the table's bad cells, or refuses a table with too many. Errors: NUMBER. */
enum bp_code bp_import_judge_bad(struct bp_importer *im, const struct bp_table *table);
/* Interpolates short runs of NaN and marks them; cuts incomplete rows off both ends. Errors: NUMBER. */
enum bp_code bp_import_mend(struct bp_importer *im, struct bp_stream *stream, const struct bp_table *table);
/* Values of from at the times to[0..count) shifted by shift_s, by straight lines between samples, in
 * out[0..2]; times outside from's span take its nearest sample. */
void bp_import_resample(const struct bp_stream *from, const double *to, size_t count, double shift_s,
                        double *const out[3]);
/* How far those straight lines are off half-way between samples, from the readings' own bends (their noise
 * bends them too, so this is no less than the truth): root mean square and largest of the three axes. */
struct bp_line_error {
    double usual, most;
};
struct bp_line_error bp_import_line_error(const struct bp_stream *from);

/* ---- units.c */
/* Settles the unit of the acceleration and whether gravity is in it; converts to SI. Errors: UNITS. */
enum bp_code bp_import_settle_force(struct bp_importer *im, struct bp_part *part,
                                    const struct bp_unit *stated, bool said_linear);
/* Settles the unit of the gyroscope beside force; converts. Errors: UNITS. */
enum bp_code bp_import_settle_turn(struct bp_importer *im, const struct bp_stream *force,
                                   double force_shift_s, double *const turn[3], const double *time,
                                   size_t count, const struct bp_unit *stated, const struct bp_unit **unit);
/* The unit in which a vector of that usual length would be gravity; NULL: none. */
const struct bp_unit *bp_import_gravity_unit(double length);
/* The lengths of up to LENGTHS samples spread over the stream, in no order; returns how many. */
enum { BP_LENGTHS_MAX = 20000 };
size_t bp_import_lengths(const struct bp_stream *stream, double *lengths);

/* ---- quality.c */
struct bp_quality {
    double limit; /* NaN: none seen */
    double grid;  /* 0: none visible */
    size_t clipped;
    double first_s;
    bool finite; /* the largest and the smallest are; a NaN is not looked for */
};
/* Looks for clipping (marks mark where marks is not NULL) and a visible rounding step, on values in SI. */
void bp_import_judge(const double *time, double *const value[3], size_t count, bool gyroscope, uint8_t *marks,
                     uint8_t mark, struct bp_quality *quality);

/* ---- attitude.c */
/* The table's rows that have an attitude, packed; the table's columns of it are used up. Errors: MEMORY. */
enum bp_code bp_import_take_attitude(struct bp_importer *im, struct bp_table *table,
                                     struct bp_attitude *attitude);
/* Finds the convention of part's attitude by part's acceleration, which is in SI. Where the phone took
 * gravity out of that, by the gyroscope, which is part's or turning's, and puts gravity back. An attitude of
 * no use is said to be so, and no error. Errors: MEMORY. */
enum bp_code bp_import_settle_attitude(struct bp_importer *im, struct bp_part *part,
                                       const struct bp_part *turning);
/* trace->up, at the times of part's acceleration. Errors: MEMORY. */
enum bp_code bp_import_put_attitude(struct bp_importer *im, const struct bp_part *part,
                                    struct bp_trace *trace);
/* The finding that it is not used, and why. */
void bp_import_ignore_attitude(struct bp_importer *im, const char *why);

/* ---- part.c: a table as a part: the steps above in order. */
enum bp_code bp_import_make_part(struct bp_importer *im, struct bp_table *table, struct bp_part *part);

/* ---- sensors.c: the time of `to` is that of `from` + this; 0 where nothing ties the two. */
double bp_import_shift_between(const struct bp_part *from, const struct bp_part *to);

/* ---- assemble.c: one or two parts as a trace. turn_part may be NULL or force_part itself. */
enum bp_code bp_import_assemble(struct bp_importer *im, struct bp_part *force_part, struct bp_part *turn_part,
                                struct bp_trace *trace);

#endif
