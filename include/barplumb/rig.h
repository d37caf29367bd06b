/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rig: the parts a bar is loaded with and what was measured of them, as a rig file says it (docs/rig.md). All
 * in SI units; nothing here is on the heap, so that a rig is copied by assignment.
 */
#ifndef BARPLUMB_RIG_H
#define BARPLUMB_RIG_H

#include "barplumb/error.h"
#include "barplumb/export.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum {
    BP_RIG_NAME = 64,
    BP_CHAINS_MAX = 8,
    BP_BANDS_MAX = 8,
    BP_BAND_POINTS_MAX = 24,
    BP_PEGS_MAX = 4,
    BP_PLATES_MAX = 16
};

/* A value somebody measured. */
struct bp_measured {
    double value;
    double sd; /* standard deviation: the file's ± is a 95 % half-width, 1.96 of it; 0: exact */
};

enum bp_side { BP_SIDE_BOTH, BP_SIDE_LEFT, BP_SIDE_RIGHT };

/* How the coach means two setups to be compared: where the load is to be the same. */
enum bp_matched { BP_MATCHED_UNSAID, BP_MATCHED_BOTTOM, BP_MATCHED_HALFWAY, BP_MATCHED_LOCKOUT };

/* Chains of one kind, hung in the same way. */
struct bp_chain {
    char name[BP_RIG_NAME];      /* "": it has none */
    struct bp_measured kg_per_m; /* of one strand, > 0 */
    double length_m;             /* of one piece, > 0 */
    bool doubled;                /* draped over its middle: two strands of half the length each */
    struct bp_measured leader_m; /* from the bar's height down to the first link, >= 0 */
    size_t pieces;               /* on each side it hangs on */
    enum bp_side side;
    size_t owned; /* pieces the gym has in all, at least as many as hang; 0: just those */
};

struct bp_band_point {
    double length_m; /* of the band between its two hooks as it was measured, > 0 */
    struct bp_measured pull_n;
};

/* A band's pull by its length, in order of length, pull never falling. */
struct bp_band_curve {
    size_t count; /* 0: not measured */
    struct bp_band_point points[BP_BAND_POINTS_MAX];
};

/* A place the band runs to, seen from the bar's end it hangs on. */
struct bp_peg {
    double aside_m;   /* along the bar, outward positive */
    double forward_m; /* fore-aft */
    double height_m;  /* above the floor; above the bar: the band holds the bar up */
};

/* Bands of one kind, hung in the same way. */
struct bp_band {
    char name[BP_RIG_NAME];
    double width_mm;                 /* its name among lifters; 0: not said */
    struct bp_band_curve stretching; /* pull as the band gets longer */
    struct bp_band_curve slackening; /* and as it gets shorter; count 0: as the other */
    bool doubled; /* over its middle: both ends at the pegs, so its own length is twice the way and it pulls
                     twice */
    size_t peg_count;                /* 1 to BP_PEGS_MAX */
    struct bp_peg pegs[BP_PEGS_MAX]; /* from the bar on: the band runs over each and ends at the last */
    size_t pieces;                   /* on each side */
    enum bp_side side;
    size_t owned; /* in all; 0: just those that hang */
};

struct bp_plate {
    double kg;    /* one plate */
    size_t owned; /* plates the gym has of it */
};

struct bp_rig {
    char name[BP_RIG_NAME];
    struct bp_measured bar_kg;    /* bar and collars */
    struct bp_measured plates_kg; /* all plates on it */
    struct bp_measured
        bottom_m; /* height of the bar's middle above the floor at the turnaround; NaN: not said */
    struct bp_measured
        lockout_m; /* and at lockout; NaN: not said. Never both NaN where chains or bands hang */
    enum bp_matched matched;
    size_t chain_count;
    struct bp_chain chains[BP_CHAINS_MAX];
    size_t band_count;
    struct bp_band bands[BP_BANDS_MAX];
    size_t plate_count; /* the gym's stock, for planning */
    struct bp_plate plates[BP_PLATES_MAX];
};

/* Reads a rig file of at most 65,536 bytes. path: "-" is not read here. On failure *rig is all zero and error
 * carries path, line and, in its text, section and key at fault. Errors: OPEN, READ, EMPTY, FORMAT (no text,
 * an unknown, repeated or missing section or key), NUMBER, UNITS, LIMIT, MEMORY, ARGUMENT (a value that makes
 * no sense). On success every chain has length, mass per metre and pieces above 0 and every band a curve of
 * two points or more and a peg. Thread-safe. */
BP_API enum bp_code bp_rig_read(const char *path, struct bp_rig *rig, struct bp_error *error);

/* The same from bytes[0..count); name stands for the path in errors. */
BP_API enum bp_code bp_rig_parse(const char *bytes, size_t count, const char *name, struct bp_rig *rig,
                                 struct bp_error *error);

enum bp_amount { BP_AMOUNT_MASS, BP_AMOUNT_LENGTH };

/* Reads "140kg", "310 lb", "27cm", in any unit a rig file may use; a bare number is kg or cm. *value is kg or
 * m, and left alone when the result is false: no number, no such unit, or more behind it. */
BP_API bool bp_rig_amount(const char *text, enum bp_amount kind, double *value);

/* Standard deviation, as a share, of a mass read off plates that nobody weighed: ±1 % at 95 %. Competition
 * discs are within 0.25 % or 10 g (IPF Technical Rules); of others 1 to 3 % a plate is common practice, no
 * source, and several plates' errors partly cancel. */
#define BP_UNWEIGHED_SHARE (0.01 / 1.96)

/* A straight bar of that mass in all, kg, known as well as scales know it (`sd_kg`). */
BP_API void bp_rig_straight(double mass_kg, double sd_kg, struct bp_rig *rig);

#ifdef __cplusplus
}
#endif
#endif
