/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Puts a rig with one band or one chain, as raw doubles on standard input, through src/load and writes the
 * loads, for load_against_scipy.py. Exit status 2 for a bad call, 1 for a failed one.
 *
 * load_driver band:  folds, points, pegs; length and pull of each point; aside, forward and height of each
 * peg load_driver chain: kg per metre, length, leader then height, speed and acceleration of each moment;
 * out: weight, hands, let go, left end's pull aside.
 */
#include "barplumb/load.h"

#include <stdio.h>
#include <string.h>

enum { NUMBERS_MAX = 1 << 16 };

static double numbers[NUMBERS_MAX];

/* Each sets the part from numbers on and returns how many it took; 0: they make no sense. */
static size_t read_band(struct bp_rig *rig, size_t count)
{
    struct bp_band *band = &rig->bands[0];
    if (count < 3 || numbers[1] < 1 || numbers[1] > BP_BAND_POINTS_MAX || numbers[2] < 1 ||
        numbers[2] > BP_PEGS_MAX) {
        return 0;
    }
    size_t used = 3;
    rig->band_count = 1;
    *band = (struct bp_band){
        .doubled = numbers[0] > 1.5, .pieces = 1, .side = BP_SIDE_LEFT, .peg_count = (size_t)numbers[2]};
    band->stretching.count = (size_t)numbers[1];
    for (size_t i = 0; i < band->stretching.count; i++, used += 2) {
        band->stretching.points[i] = (struct bp_band_point){numbers[used], {.value = numbers[used + 1]}};
    }
    for (size_t i = 0; i < band->peg_count; i++, used += 3) {
        band->pegs[i] = (struct bp_peg){numbers[used], numbers[used + 1], numbers[used + 2]};
    }
    return used;
}

static size_t read_chain(struct bp_rig *rig, size_t count)
{
    if (count < 3) {
        return 0;
    }
    rig->chain_count = 1;
    rig->chains[0] = (struct bp_chain){.kg_per_m = {.value = numbers[0]},
                                       .length_m = numbers[1],
                                       .leader_m = {.value = numbers[2]},
                                       .pieces = 1,
                                       .side = BP_SIDE_LEFT};
    return 3;
}

int main(int argc, char **argv)
{
    size_t count = fread(numbers, sizeof *numbers, NUMBERS_MAX, stdin);
    struct bp_rig rig = {.bar_kg = {.value = 20.0}, .plates_kg = {.value = 80.0}};
    struct bp_load_model *model;
    size_t used = 0;
    if (argc == 2 && strcmp(argv[1], "band") == 0) {
        used = read_band(&rig, count);
    } else if (argc == 2 && strcmp(argv[1], "chain") == 0) {
        used = read_chain(&rig, count);
    }
    if (used == 0) {
        return 2;
    }
    if (bp_load_prepare(&rig, &model, NULL) != BP_OK) {
        return 1;
    }
    for (; used + 3 <= count; used += 3) {
        struct bp_load_state state = {numbers[used], numbers[used + 1], numbers[used + 2]};
        struct bp_load load;
        bp_load_at(model, &state, &load);
        const double out[] = {load.weight_n, load.hand_n, load.let_go_m_s2, load.aside_n[0]};
        fwrite(out, sizeof *out, sizeof out / sizeof *out, stdout);
    }
    bp_load_free(model);
    return 0;
}
