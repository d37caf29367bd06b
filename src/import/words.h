/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: what the words and units of a column heading mean. Headings are recognised by
 * their words, never by the program that wrote them; a new word or unit is a line in vocabulary.c.
 */
#ifndef BARPLUMB_IMPORT_WORDS_H
#define BARPLUMB_IMPORT_WORDS_H

#include <stdbool.h>
#include <stddef.h>

enum bp_kind {
    BP_KIND_NONE,    /* nothing but, perhaps, an axis */
    BP_KIND_TIME,    /* elapsed, epoch or wall clock */
    BP_KIND_FORCE,   /* specific force or acceleration */
    BP_KIND_GRAVITY, /* gravity alone */
    BP_KIND_TURN,    /* rate of turn */
    BP_KIND_G,       /* "gx": g-force, or gyroscope where there is an acceleration beside it */
    BP_KIND_OTHER    /* another sensor, a sum, a derived quantity: not read */
};

struct bp_unit {
    const char *text; /* lower case, without blanks and signs of powers: "m/s2" */
    enum bp_kind kind;
    double factor;    /* value in SI = value * factor */
    const char *name; /* as findings and `check` write it */
};

enum { BP_STEM_BYTES = 64 };

/* What of an attitude a column is. */
enum bp_attitude_part {
    BP_ATTITUDE_NONE,
    BP_ATTITUDE_W, /* of a quaternion; x, y, z of a rotation vector too */
    BP_ATTITUDE_X,
    BP_ATTITUDE_Y,
    BP_ATTITUDE_Z,
    BP_ATTITUDE_Q0, /* of a quaternion whose parts are counted */
    BP_ATTITUDE_Q1,
    BP_ATTITUDE_Q2,
    BP_ATTITUDE_Q3,
    BP_ATTITUDE_ROLL,
    BP_ATTITUDE_PITCH,
    BP_ATTITUDE_YAW,
    BP_ATTITUDE_PARTS
};

struct bp_heading {
    enum bp_kind kind;
    int axis;                   /* 0 x, 1 y, 2 z, -1 none */
    bool numbered;              /* no axis but a number behind a sensor's word: "acc_1", "v0" */
    const struct bp_unit *unit; /* NULL: none stated */
    bool linear;                /* gravity taken out */
    bool elapsed;               /* time since the start */
    bool steps;                 /* time since the row before */
    bool of_turn;               /* a time, of the gyroscope's rows: "gyro_time" */
    bool attitude;              /* quaternion or angles of the phone: a kind of OTHER */
    enum bp_attitude_part part; /* which of them, where its words say so */
    bool degrees, radians;      /* the unit of an angle, where it is stated */
    int demerits;               /* filtered, estimated, unknown words: the plainest column wins */
    char stem[BP_STEM_BYTES];   /* the words that mean nothing here: what tells two groups apart */
};

/* Reads a heading (UTF-8 or Latin-1, any case). */
void bp_import_read_heading(const char *text, size_t count, struct bp_heading *heading);

/* The same for a file's name without folder and ending: only kind, linear and demerits are meant. */
void bp_import_read_file_name(const char *path, struct bp_heading *heading);

/* The unit of that text for a kind; NULL if there is none. */
const struct bp_unit *bp_import_unit_named(const char *text, size_t count, enum bp_kind kind);

/* The units of a kind in table order, one of each factor; NULL past the last. */
const struct bp_unit *bp_import_unit_at(enum bp_kind kind, size_t index);

#endif
