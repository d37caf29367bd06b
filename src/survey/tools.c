/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/parts.h"

#include <string.h>

bool bp_survey_has(const struct bp_block_set *set)
{
    return set->state == BP_BLOCK_MEASURED || set->state == BP_BLOCK_KEPT;
}

enum bp_code survey_no_memory(struct bp_error *error)
{
    return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the survey of a block");
}

static bool comes_before(const struct bp_sheet_row *a, const struct bp_sheet_row *b)
{
    return a->dated && (!b->dated || a->day < b->day);
}

size_t *survey_order(const struct bp_block *block, struct bp_arena *arena, size_t *count)
{
    size_t *order = bp_arena_take(arena, block->count + 1, sizeof *order);
    size_t *spare = bp_arena_take(arena, block->count + 1, sizeof *order);
    *count = 0;
    if (order == NULL || spare == NULL) {
        return NULL;
    }
    for (size_t i = 0; i < block->count; i++) {
        if (bp_survey_has(&block->sets[i])) {
            order[(*count)++] = i;
        }
    }
    /* Merged from runs of 1, 2, 4, …: sheets may hold thousands of rows, and equal days keep their order. */
    for (size_t run = 1; run < *count; run *= 2) {
        for (size_t at = 0; at < *count; at += 2 * run) {
            size_t middle = at + run < *count ? at + run : *count;
            size_t end = at + 2 * run < *count ? at + 2 * run : *count;
            size_t a = at, b = middle;
            for (size_t k = at; k < end; k++) {
                bool second = a == middle ||
                              (b < end && comes_before(block->sets[order[b]].row, block->sets[order[a]].row));
                spare[k] = order[second ? b++ : a++];
            }
        }
        memcpy(order, spare, *count * sizeof *order);
    }
    return order;
}

struct bp_quantity survey_mean(const struct bp_quantity *list, size_t count)
{
    double sum = 0, below = 0, above = 0;
    size_t known = 0;
    for (size_t i = 0; i < count; i++) {
        if (bp_quantity_known(list[i])) {
            double down = list[i].value - list[i].low, up = list[i].high - list[i].value;
            sum += list[i].value;
            below += down * down;
            above += up * up;
            known++;
        }
    }
    if (known == 0) {
        return bp_quantity_unknown();
    }
    double n = (double)known, mean = sum / n;
    return (struct bp_quantity){mean, mean - sqrt(below) / n, mean + sqrt(above) / n};
}

const char *survey_keep(struct bp_arena *arena, struct bp_text *text)
{
    char *copy = text->failed ? NULL : bp_arena_take(arena, text->length + 1, 1);
    if (copy != NULL) {
        memcpy(copy, text->data != NULL ? text->data : "", text->length);
        copy[text->length] = '\0';
    }
    bp_text_free(text);
    return copy;
}

struct bp_quantity survey_load_of_best(const struct bp_summary *summary)
{
    const struct bp_rep_figures *best = NULL;
    for (size_t r = 0; r < summary->rep_count; r++) {
        const struct bp_rep_figures *rep = &summary->reps[r];
        if (!rep->missed && bp_quantity_known(rep->mean_velocity_m_s) &&
            (best == NULL || rep->mean_velocity_m_s.value > best->mean_velocity_m_s.value)) {
            best = rep;
        }
    }
    return best != NULL ? best->load_kg : bp_quantity_unknown();
}

/* Depth: the errors of the two speeds are taken as independent, which makes the interval rather too wide. */
static struct bp_quantity depth_of(const struct bp_sticking_figures *s)
{
    double value = s->peak_before_m_s.value - s->low_m_s.value;
    double below =
        hypot(s->peak_before_m_s.value - s->peak_before_m_s.low, s->low_m_s.high - s->low_m_s.value);
    double above =
        hypot(s->peak_before_m_s.high - s->peak_before_m_s.value, s->low_m_s.value - s->low_m_s.low);
    return (struct bp_quantity){value, value - below, value + above};
}

/* Mean over the reps, in runs that fit a small array: no set has more reps than that. */
static struct bp_quantity sticking_mean(const struct bp_summary *summary, bool depth)
{
    enum { MOST = 256 };
    struct bp_quantity list[MOST];
    size_t count = 0;
    for (size_t r = 0; r < summary->rep_count && count < MOST; r++) {
        const struct bp_rep_figures *rep = &summary->reps[r];
        if (!rep->missed && rep->sticking.present) {
            list[count++] = depth ? depth_of(&rep->sticking) : rep->sticking.end_pct;
        }
    }
    return survey_mean(list, count);
}

struct bp_quantity survey_sticking_height(const struct bp_summary *summary)
{
    return sticking_mean(summary, false);
}

struct bp_quantity survey_sticking_depth(const struct bp_summary *summary)
{
    return sticking_mean(summary, true);
}

void survey_load_span(const struct bp_block *block, const size_t *sets, size_t count, double *low,
                      double *high)
{
    *low = *high = (double)NAN;
    for (size_t i = 0; i < count; i++) {
        double load = block->sets[sets[i]].summary.set.load_lockout_kg.value;
        *low = fmin(*low, load); /* fmin and fmax pass over NaN */
        *high = fmax(*high, load);
    }
}
