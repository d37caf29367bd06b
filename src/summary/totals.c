/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/totals.h"

#include <math.h>
#include <stddef.h>

/* A mean over the completed reps in which a figure is known. */
struct mean {
    double sum;
    size_t count;
};

static double mean_of(const struct bp_rep_figures *reps, size_t count, size_t offset)
{
    struct mean mean = {0, 0};
    for (size_t r = 0; r < count; r++) {
        const struct bp_quantity *q =
            (const struct bp_quantity *)(const void *)((const char *)&reps[r] + offset);
        if (!reps[r].missed && isfinite(q->value)) {
            mean.sum += q->value;
            mean.count++;
        }
    }
    return mean.count ? mean.sum / (double)mean.count : (double)NAN;
}

/* Loss from the fastest rep to the last: Sánchez-Medina & González-Badillo 2011, MSSE 43(9):1725-34. */
static void speed_loss(const struct bp_rep_figures *reps, size_t count, struct bp_set_figures *set)
{
    double best = (double)NAN, last = (double)NAN;
    for (size_t r = 0; r < count; r++) {
        double speed = reps[r].mean_velocity_m_s.value;
        if (!reps[r].missed) {
            best = fmax(best, speed); /* of the known: fmax passes over NaN */
            last = speed;             /* without it there is no loss to tell */
        }
    }
    set->best_velocity_m_s = bp_quantity_plain(best);
    set->velocity_loss_pct =
        set->reps > 1 ? bp_quantity_plain(100 * (best - last) / best) : bp_quantity_unknown();
}

void bp_totals_of(const struct bp_rep_figures *reps, size_t count, struct bp_set_figures *set)
{
    set->reps = set->missed = 0;
    for (size_t r = 0; r < count; r++) {
        *(reps[r].missed ? &set->missed : &set->reps) += 1;
    }
    struct {
        struct bp_quantity *total;
        size_t offset;
    } means[] = {
        {&set->mean_velocity_m_s, offsetof(struct bp_rep_figures, mean_velocity_m_s)},
        {&set->shake_mm, offsetof(struct bp_rep_figures, shake_mm)},
        {&set->shake_m_s2, offsetof(struct bp_rep_figures, shake_m_s2)},
        {&set->shake_hz, offsetof(struct bp_rep_figures, shake_hz)},
        {&set->clatter_m_s2, offsetof(struct bp_rep_figures, clatter_m_s2)},
        {&set->smoothness, offsetof(struct bp_rep_figures, smoothness)},
    };
    for (size_t m = 0; m < sizeof means / sizeof *means; m++) {
        *means[m].total = bp_quantity_plain(mean_of(reps, count, means[m].offset));
    }
    speed_loss(reps, count, set);
}
