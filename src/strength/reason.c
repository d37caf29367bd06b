/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/strength.h"

static const char *const texts[BP_STRENGTH_REASON_COUNT] = {
    [BP_STRENGTH_GIVEN] = "",
    [BP_STRENGTH_MIXED] =
        "The sets are of different lifts or setups; only sets of one lift, loaded in one way, "
        "lie on one line.",
    [BP_STRENGTH_FEW_LOADS] = "It takes sets at two different loads at least.",
    [BP_STRENGTH_CLOSE_LOADS] =
        "The loads are too close together: the fall in speed between them is no larger "
        "than a lifter's scatter.",
    [BP_STRENGTH_RISES] =
        "The heavier sets were the faster ones; ask whether each was done as fast as possible.",
    [BP_STRENGTH_NOT_FALLING] =
        "Speed does not fall with load clearly enough to tell it from scatter; add a set "
        "at another load.",
    [BP_STRENGTH_BELOW_LIFTED] =
        "The line says less than was lifted: this lifter still moves the bar at a lower "
        "speed than the minimal velocity used here; give the lifter's own.",
    [BP_STRENGTH_TOO_FAR] =
        "The estimate lies too far beyond the heaviest set; the sets are too light or too "
        "close together to say.",
    [BP_STRENGTH_FEW_REPS] = "Too few reps to see whether the set slows down.",
    [BP_STRENGTH_NO_SLOWING] =
        "The reps do not slow down beyond their own scatter, so nothing shows how many "
        "were left.",
    [BP_STRENGTH_LAST_DROPS] =
        "The last rep was far slower than the line of the others; it may have been close "
        "to the last one possible, or just a bad one.",
    [BP_STRENGTH_TOO_WIDE] = "Anything from none to many could have been left.",
};

const char *bp_strength_reason_text(enum bp_strength_reason reason)
{
    int index = (int)reason;
    return index >= 0 && index < BP_STRENGTH_REASON_COUNT ? texts[index] : "unknown reason";
}

const char *bp_strength_caution(void)
{
    return "An estimate, not a permission to try it. What a lifter can lift once changes from day to day, "
           "with "
           "sleep, food and training, by about 4 % where it was tested twice, and more in some. A coach on "
           "the spot "
           "and the rules of the gym decide what goes on the bar; heavy attempts need spotters or safety "
           "bars set.";
}
