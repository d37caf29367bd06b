/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/sense.h"
#include "summary/path.h"

/* A hundred to one, as for other readings of a set (path.c): less is chance. */
static const double MUCH_LIKELIER = 4.6;

enum bp_code bp_sense_check(const struct bp_motion *motion, enum bp_lift lift, double rate_hz, double odds,
                            struct bp_arena *arena, struct bp_error *error)
{
    struct bp_motion mirrored = *motion;
    struct bp_track track;
    struct bp_reps reps;
    double other;
    mirrored.rise_m_s2 = bp_arena_doubles(arena, motion->trace->count);
    if (!mirrored.rise_m_s2) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the bar's path");
    }
    for (size_t i = 0; i < motion->trace->count; i++) {
        mirrored.rise_m_s2[i] = -motion->rise_m_s2[i];
    }
    enum bp_code code = bp_path_find(&mirrored, lift, rate_hz, arena, &track, &reps, &other, error);
    if (code == BP_OK && other > odds + MUCH_LIKELIER) {
        code =
            bp_error_set(error, BP_ERR_MOTION,
                         "upside down it were much likelier a set of this lift: is the lift right, and does "
                         "linear acceleration count the other way (--units sign=plus or sign=minus)?");
    }
    return code;
}
