/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/plates.h"

#include "barplumb/plan.h"

#include <math.h>
#include <string.h>

static const uint16_t NOT_MADE = UINT16_MAX;
/* So that no side holds more plates than a uint16_t counts. */
static const double LIGHTEST_KG = 0.1;

static int64_t greatest_divisor(int64_t a, int64_t b)
{
    while (b != 0) {
        int64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

/* Puts one size in, keeping them in order: the lightest first and, of equal ones, the later in the stock
 * first, so that choosing from the heavy end takes the earlier of equal sizes. */
static void insert_size(struct plates *plates, int64_t grams, size_t pairs, size_t place)
{
    size_t at = plates->sizes;
    while (at > 0 && plates->size_g[at - 1] >= grams) {
        plates->size_g[at] = plates->size_g[at - 1];
        plates->pairs[at] = plates->pairs[at - 1];
        plates->place[at] = plates->place[at - 1];
        at--;
    }
    plates->size_g[at] = grams;
    plates->pairs[at] = pairs;
    plates->place[at] = place;
    plates->sizes++;
}

static enum bp_code take_stock(const struct bp_rig *rig, struct plates *plates, struct bp_error *error)
{
    const int64_t side_max_g = (int64_t)BP_PLAN_SIDE_MAX_KG * 1000;
    int64_t side_g = 0, step_g = 0;
    for (size_t i = 0; i < rig->plate_count; i++) {
        double kg = rig->plates[i].kg;
        size_t pairs = rig->plates[i].owned / 2;
        if (!(kg >= LIGHTEST_KG && kg <= BP_PLAN_SIDE_MAX_KG)) {
            return bp_error_set(error, BP_ERR_ARGUMENT, "plate %zu of the stock: a plate weighs 0.1 to %d kg",
                                i + 1, (int)BP_PLAN_SIDE_MAX_KG);
        }
        if (pairs == 0) {
            continue;
        }
        int64_t grams = llround(kg * 1000);
        if (pairs > (size_t)((side_max_g - side_g) / grams)) {
            return bp_error_set(error, BP_ERR_LIMIT,
                                "the plates make more than %d kg a side: too many to plan with",
                                (int)BP_PLAN_SIDE_MAX_KG);
        }
        side_g += grams * (int64_t)pairs;
        step_g = greatest_divisor(step_g, grams);
        insert_size(plates, grams, pairs, i);
    }
    plates->step_g = step_g > 0 ? step_g : 1;
    plates->columns = (size_t)(side_g / plates->step_g) + 1;
    return BP_OK;
}

/* One more lot of `lot` equal plates, all or none: row[c] = min(row[c], row[c - lot size] + lot). From the
 * heavy end, so that the lot is used once. */
static void add_lot(uint16_t *row, size_t columns, size_t width, size_t lot)
{
    for (size_t c = columns; c-- > width * lot;) {
        uint16_t before = row[c - width * lot];
        if (before != NOT_MADE && before + lot < row[c]) {
            row[c] = (uint16_t)(before + lot);
        }
    }
}

/* Any count up to `pairs` is a sum of some of the lots 1, 2, 4, … and a rest. */
static void fill_row(const struct plates *plates, size_t size, uint16_t *row)
{
    size_t width = (size_t)(plates->size_g[size] / plates->step_g), rest = plates->pairs[size];
    for (size_t lot = 1; rest > 0; lot *= 2) {
        size_t now = lot < rest ? lot : rest;
        add_lot(row, plates->columns, width, now);
        rest -= now;
    }
}

static void list_totals(struct plates *plates, const uint16_t *row)
{
    plates->count = 0;
    for (size_t c = 0; c < plates->columns; c++) {
        if (row[c] != NOT_MADE) {
            plates->totals[plates->count].grams = 2 * (int64_t)c * plates->step_g;
            plates->totals[plates->count].plates = 2 * (size_t)row[c];
            plates->count++;
        }
    }
}

enum bp_code plates_list(const struct bp_rig *rig, struct bp_arena *arena, struct plates *plates,
                         struct bp_error *error)
{
    memset(plates, 0, sizeof *plates);
    enum bp_code code = take_stock(rig, plates, error);
    if (code != BP_OK) {
        return code;
    }
    size_t columns = plates->columns, rows = plates->sizes + 1; /* row 0: no plate at all */
    plates->fewest = bp_arena_take(arena, rows * columns, sizeof *plates->fewest);
    plates->totals = bp_arena_take(arena, columns, sizeof *plates->totals);
    if (plates->fewest == NULL || plates->totals == NULL) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the plates' loads");
    }
    uint16_t *row = plates->fewest;
    for (size_t c = 0; c < columns; c++) {
        row[c] = c == 0 ? 0 : NOT_MADE;
    }
    for (size_t size = 0; size < plates->sizes; size++) {
        memcpy(row + columns, row, columns * sizeof *row);
        row += columns;
        fill_row(plates, size, row);
    }
    list_totals(plates, row);
    return BP_OK;
}

void plates_choose(const struct plates *plates, size_t at, size_t each_side[BP_PLATES_MAX])
{
    memset(each_side, 0, BP_PLATES_MAX * sizeof *each_side);
    size_t c = (size_t)(plates->totals[at].grams / 2 / plates->step_g);
    for (size_t size = plates->sizes; size-- > 0;) {
        const uint16_t *without = plates->fewest + size * plates->columns, *with = without + plates->columns;
        size_t width = (size_t)(plates->size_g[size] / plates->step_g);
        size_t most = plates->pairs[size] < c / width ? plates->pairs[size] : c / width;
        size_t n = most; /* some n fits, 0 if nothing else: row `with` was made so */
        while (n > 0 && (without[c - n * width] == NOT_MADE || without[c - n * width] + n != with[c])) {
            n--;
        }
        each_side[plates->place[size]] = n;
        c -= n * width;
    }
}
