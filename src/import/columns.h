/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: which column of a text log is what.
 */
#ifndef BARPLUMB_IMPORT_COLUMNS_H
#define BARPLUMB_IMPORT_COLUMNS_H

#include "import/dialect.h"
#include "import/selector.h"
#include "import/words.h"

enum bp_role {
    BP_ROLE_TIME,
    BP_ROLE_FORCE, /* three of each */
    BP_ROLE_GRAVITY = BP_ROLE_FORCE + 3,
    BP_ROLE_TURN = BP_ROLE_GRAVITY + 3,
    BP_ROLE_ATTITUDE = BP_ROLE_TURN + 3, /* up to four; never needed */
    BP_ROLE_COUNT = BP_ROLE_ATTITUDE + 4
};

/* The first rows as numbers. */
struct bp_sample {
    size_t rows, columns;
    double *value; /* [rows][columns], NaN where there is none; a time of day in s */
    bool *stamp;   /* [columns] the column holds times of day */
    bool *dated;   /* [columns] with the date */
    bool *zoned;   /* [columns] with the offset from UTC */
};

/* How a log tells the phone's attitude, and so what stands in the columns of that role. */
enum bp_attitude_form {
    BP_FORM_NONE,
    BP_FORM_QUATERNION, /* w x y z */
    BP_FORM_COUNTED,    /* q0 q1 q2 q3: w is the first or the last */
    BP_FORM_VECTOR,     /* x y z of a unit quaternion with w >= 0 */
    BP_FORM_ANGLES      /* roll, pitch, yaw */
};

struct bp_layout {
    size_t columns;                                                          /* expected in every row */
    int column[BP_ROLE_COUNT];                                               /* 0-based, -1: absent */
    const struct bp_unit *time_unit, *force_unit, *gravity_unit, *turn_unit; /* NULL: not stated */
    bool linear;     /* the acceleration column says that gravity is out of it */
    bool time_stamp; /* the time column holds times of day */
    int epoch;       /* column that gives the date, -1: none */
    bool epoch_stamp, epoch_zoned;
    struct bp_selector selector; /* the rows are of several sensors, and their axes in the same columns */
    int attitude;                /* a column of the phone's attitude; -1: none */
    enum bp_attitude_form form;  /* of what of it is read */
    double angle_factor;         /* of angles: a value is so many rad; 0: not stated */
    int turn_clock;        /* the time of a gyroscope that is left out for having one of its own; -1: none */
    int part_of_gyroscope; /* a gyroscope's column where there are not three of them; -1: none */
    int second_force;      /* where another acceleration begins that might as well have been read; -1: none */
    int unread_time;       /* a column headed as the time in which none can be read; -1: none */
    bool time_assumed;     /* no heading says that the time column is one */
    bool time_steps;       /* it holds the time since the row before */
    bool rows_counted;     /* a column called time counts rows by ones, and no unit says what a row is */
    bool by_turns;         /* rows hold one sensor or the other: "NaN" for the rest is an empty cell */
    bool unnamed;          /* no header: the columns' order was assumed */
    double rate_hz;        /* with no time column: stated by the log or the settings; 0: none */
    bool rate_told;        /* rate_hz is from the lines above the rows */
    double start_epoch_s;  /* stated by the log beside rate_hz; NaN: none */
    size_t skip_rows;      /* leading rows that are no samples */
};

/* Settles the layout from the settings, the header and the first rows block[dialect->data_at..count).
 * hint: what the file's name says it holds, where its header does not (BP_KIND_NONE: nothing).
 * description (BP_RECOGNISED_TEXT bytes) gets what was chosen, in words. A layout without acceleration is
 * no error here: it may be a gyroscope's file. Errors: ARGUMENT, COLUMNS, MEMORY. */
enum bp_code bp_import_choose_columns(struct bp_importer *im, const char *block, size_t count,
                                      const struct bp_dialect *dialect, const struct bp_heading *hint,
                                      struct bp_layout *layout, char *description);

/* One "key=value" list of the settings: the value of key, NULL if absent. */
struct bp_choice {
    const char *at;
    size_t count;
};
bool bp_import_find_choice(const char *list, const char *key, struct bp_choice *choice);

/* Refuses lists with unknown keys or no "=". Errors: ARGUMENT. */
enum bp_code bp_import_check_choices(struct bp_importer *im);

/* The unit a setting gives to kind (t, a, w), NULL if none. */
const struct bp_unit *bp_import_unit_given(const struct bp_import_settings *settings, enum bp_kind kind);

/* The sign of linear acceleration that a setting gives: 1 where it counts the way the phone speeds up, -1 the
 * other way; 0: none. */
int bp_import_sign_given(const struct bp_import_settings *settings);

/* timecol.c: which of the first columns is the time. headings NULL: no header. -1: none. */
int bp_import_choose_time(const struct bp_heading *headings, const struct bp_sample *sample, size_t columns);

/* A column headed as the time since the row before, which goes on in every row of the sample, but for the
 * first. -1: none. */
int bp_import_choose_steps(const struct bp_heading *headings, const struct bp_sample *sample, size_t columns);

/* Where no heading is a time's: a column of times of day, or one that runs on and does not count rows, among
 * columns that are headed by nothing known and hold no axis. -1: none. */
int bp_import_guess_time(const struct bp_heading *headings, const struct bp_sample *sample, size_t columns);

/* The column that gives the date beside (or as) the time column; -1: none. */
int bp_import_choose_epoch(const struct bp_heading *headings, const struct bp_sample *sample, int time);

/* The value is a time since 1970 in s, ms, us or ns: returns the unit's factor, 0 when it is not. */
double bp_import_epoch_factor(double value);

/* True when column c runs one way but for a few steps. */
bool bp_import_runs(const struct bp_sample *sample, size_t c);

/* True when column c counts the rows: whole numbers, each one more than the one before. */
bool bp_import_counts_rows(const struct bp_sample *sample, size_t c);

/* Rates between which one that is told, or follows from a unit that is not stated, is believed: slower logs
 * hold no lift, faster ones are no phone's. The steps of s, ms, us and ns that fit do not overlap. */
#define BP_RATE_LEAST_HZ 5.0
#define BP_RATE_MOST_HZ 2000.0

/* told_rate.c: the rate, Hz, that lines of text tell ("Sampling rate: 100 Hz", "# sample interval = 10 ms");
 * 0: none, or different ones. */
double bp_import_told_rate(const char *text, size_t count, char line_end);

/* unnamed.c: the layout of a log without header; selector: a column of words, -1: none. False when it cannot
 * be told. */
bool bp_import_choose_unnamed(struct bp_sample *sample, int selector, struct bp_layout *layout);

/* sample.c: the first rows as numbers. False when memory is out. */
bool bp_import_sample(struct bp_importer *im, const char *block, size_t count,
                      const struct bp_dialect *dialect, size_t columns, struct bp_sample *sample);

/* groups.c: the triples of columns that belong together. */
struct bp_group {
    enum bp_kind kind;
    const struct bp_unit *unit;
    bool linear;
    bool named; /* the headings name their axes */
    int demerits;
    const char *stem;
    int column[3];
    double length; /* root of the mean square length over the sample, in the column's own unit */
};
enum { BP_GROUPS_MAX = BP_IMPORT_COLUMNS_MAX };

/* Groups headings[0..columns). Returns the number of complete groups written to groups. */
size_t bp_import_group(const struct bp_heading *headings, size_t columns, const struct bp_sample *sample,
                       struct bp_group *groups);

/* True when the group's length is that of gravity in its unit, or, unit unknown, in some unit. */
bool bp_import_holds_gravity(const struct bp_group *group);

#endif
