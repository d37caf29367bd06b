/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/strength.h"

/* value ± 1.96 times the sd between lifters */
#define BETWEEN(value, sd)                                                                                   \
    {                                                                                                        \
        (value), (value)-1.96 * (sd), (value) + 1.96 * (sd)                                                  \
    }

/* Where published groups differ by more than their sd (competing powerlifters grind slower), the sd is taken
 * wide enough that each group's mean lies inside the interval. */
static const struct bp_strength_minimal minimal[BP_LIFT_COUNT] = {
    [BP_BENCH] =
        {BETWEEN(0.17, 0.04),
         "0.17 m/s used as general threshold: Isokinet Exerc Sci 2021, doi 10.3233/IES-202247; 0.16 ± "
         "0.04 m/s in 120 lifters: González-Badillo & Sánchez-Medina 2010, Int J Sports Med 31:347-352; "
         "0.10 ± 0.04 m/s in 15 powerlifters: Helms et al. 2017, J Strength Cond Res 31(2):292-297"},
    [BP_SQUAT] =
        {BETWEEN(0.30, 0.05),
         "0.32 ± 0.03 m/s: Sánchez-Medina et al. 2017, Sports Med Int Open 1:E80-E88; 0.29 ± 0.05 m/s "
         "(propulsive): Conceição et al. 2016, J Sports Sci 34:1099-1106; 0.23 ± 0.05 m/s in 15 "
         "powerlifters: Helms et al. 2017, J Strength Cond Res 31(2):292-297"},
    [BP_DEADLIFT] = {BETWEEN(0.14, 0.05),
                     "0.14 ± 0.05 m/s in 15 powerlifters: Helms et al. 2017, J Strength Cond Res "
                     "31(2):292-297"},
    [BP_PRESS] = {BETWEEN(0.20, 0.05),
                  "from memory: 0.20 m/s; lifters differ by 13 to 25 % (seated, propulsive): "
                  "Balsalobre-Fernández et al. 2018, Int J Sports Sci Coach 13:743-750"},
    [BP_ROW] =
        {BETWEEN(0.50, 0.08),
         "from memory: about 0.50 m/s in the prone bench pull; a row without a bench may differ, so its "
         "spread is this project's, and wide"},
};

const struct bp_strength_minimal *bp_strength_minimal(enum bp_lift lift)
{
    int index = (int)lift;
    return index >= 0 && index < BP_LIFT_COUNT ? &minimal[index] : NULL;
}
