/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/load: a rig made ready. One block without interior pointers.
 */
#ifndef BARPLUMB_LOAD_MODEL_H
#define BARPLUMB_LOAD_MODEL_H

#include "barplumb/load.h"
#include "load/curve.h"

enum { LOAD_LEFT, LOAD_RIGHT, LOAD_ENDS };
enum { LOAD_STRETCHING, LOAD_SLACKENING, LOAD_WAYS };

/* Chains of one kind, on one end. */
struct load_chain {
    double kg_per_m; /* of all its strands on that end together; 0: none hang */
    double strand_m;
    double leader_m;
    bool on[LOAD_ENDS];
};

/* Bands of one kind, on one end. */
struct load_band {
    double pieces;    /* 0: none hang */
    double aside_m;   /* of the first peg from the bar's end */
    double across_m2; /* square of its horizontal distance from it */
    double peg_m;     /* its height */
    double rest_m;    /* way from the first peg to the last */
    double folds;     /* 2: doubled */
    bool on[LOAD_ENDS];
    bool loops; /* has a curve of its own for slackening */
    struct load_curve curve[LOAD_WAYS];
};

struct bp_load_model {
    struct bp_rig rig; /* as it was given: what draws are drawn about */
    double iron_kg;    /* bar and plates */
    double bottom_m, lockout_m;
    struct load_chain chains[BP_CHAINS_MAX]; /* in the rig's order */
    struct load_band bands[BP_BANDS_MAX];
};

/* The way from the bar's end over the pegs to the last, at that height. */
double load_band_way_m(const struct load_band *band, double height_m);

/* "chain \"name\"", or its place among them where it has no name. Returns out. */
enum { LOAD_PART_NAME = BP_RIG_NAME + 16 };
char *load_part_name(const char *kind, const char *name, size_t index, char *out);

#endif
