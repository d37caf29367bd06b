/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The conditions a study looks at one by one, as data.
 */
#include "bench/study.h"

#include <math.h>
#include <stdlib.h>

static double everything(const struct study_set *set)
{
    (void)set;
    return 0;
}

static double lift(const struct study_set *set)
{
    return (double)set->scenario.lift;
}

static double setup(const struct study_set *set)
{
    return (double)set->scenario.setup;
}

static double rate_hz(const struct study_set *set)
{
    return set->scenario.rate_hz;
}

static double speed_m_s(const struct study_set *set)
{
    return set->mean_speed_m_s;
}

static double pause_s(const struct study_set *set)
{
    return set->scenario.bottom_pause_s;
}

static double hold_s(const struct study_set *set)
{
    return set->scenario.top_hold_s;
}

/* The shorter of the two still spells; a log that is cut or a bar that stays down has one. */
static double still_s(const struct study_set *set)
{
    const struct sim_scenario *s = &set->scenario;
    bool put_back = s->ending == SIM_RACKED || s->ending == SIM_MISSED;
    return put_back ? fmin(s->still_start_s, s->still_end_s) : s->still_start_s;
}

static double ending(const struct study_set *set)
{
    return (double)set->scenario.ending;
}

static double noise_ug(const struct study_set *set)
{
    return set->scenario.force_noise_ug;
}

static double trouble(const struct study_set *set)
{
    return (double)set->scenario.trouble;
}

/* What a log suffers: 1 where it does. */
static double handled(const struct study_set *set)
{
    return set->scenario.handling_start_s > 0 || set->scenario.handling_end_s > 0;
}

static double coarse(const struct study_set *set) /* as web pages get it, rounded to 0.1 m/s^2 */
{
    return set->scenario.force_grid_m_s2 > 0.05;
}

static double uneven(const struct study_set *set) /* a steady clock keeps within 0.1 ms */
{
    return set->scenario.jitter_s > 0.0001;
}

static double lossy(const struct study_set *set)
{
    return set->scenario.loss > 0;
}

static double untouched(const struct study_set *set)
{
    return handled(set) + coarse(set) + uneven(set) + lossy(set) == 0;
}

/* Parts of 60 to 120 µg/√Hz are the good ones of today's data sheets (ST LSM6DSV 60, TDK ICM-42688 75,
 * ICM-20602 100); the common ones have 150 and more (Bosch BMI160, BMI270). */
#define GOOD_NOISE_UG 120

const struct study_condition study_conditions[] = {
    {"all", "all sets", everything, 0, 1},
    {"lift", "bench", lift, BP_BENCH, BP_BENCH + 1},
    {"lift", "press", lift, BP_PRESS, BP_PRESS + 1},
    {"lift", "squat", lift, BP_SQUAT, BP_SQUAT + 1},
    {"lift", "deadlift", lift, BP_DEADLIFT, BP_DEADLIFT + 1},
    {"lift", "row", lift, BP_ROW, BP_ROW + 1},
    {"setup", "straight", setup, SIM_STRAIGHT, SIM_STRAIGHT + 1},
    {"setup", "chains", setup, SIM_CHAINS, SIM_CHAINS + 1},
    {"setup", "bands down", setup, SIM_BANDS_DOWN, SIM_BANDS_DOWN + 1},
    {"setup", "bands up", setup, SIM_BANDS_UP, SIM_BANDS_UP + 1},
    {"rate", "up to 60 Hz", rate_hz, 0, 60.5},
    {"rate", "61 to 150 Hz", rate_hz, 60.5, 150.5},
    {"rate", "151 to 250 Hz", rate_hz, 150.5, 250.5},
    {"rate", "over 250 Hz", rate_hz, 250.5, HUGE_VAL},
    {"speed", "under 0.3 m/s", speed_m_s, 0, 0.3},
    {"speed", "0.3 to 0.6 m/s", speed_m_s, 0.3, 0.6},
    {"speed", "over 0.6 m/s", speed_m_s, 0.6, HUGE_VAL},
    {"bottom", "touch and go", pause_s, 0, 1e-9},
    {"bottom", "paused", pause_s, 1e-9, HUGE_VAL},
    {"hold", "under 0.3 s", hold_s, 0, 0.3},
    {"hold", "0.3 s and more", hold_s, 0.3, HUGE_VAL},
    {"still", "under 1 s", still_s, 0, 1},
    {"still", "1 s and more", still_s, 1, HUGE_VAL},
    {"ending", "racked", ending, SIM_RACKED, SIM_RACKED + 1},
    {"ending", "log cut", ending, SIM_CUT, SIM_CUT + 1},
    {"ending", "last rep missed", ending, SIM_MISSED, SIM_MISSED_LEFT + 1},
    {"trouble", "none", trouble, SIM_TROUBLE_NONE, SIM_TROUBLE_NONE + 1},
    {"trouble", "heavy clatter", trouble, SIM_TROUBLE_CLATTER, SIM_TROUBLE_CLATTER + 1},
    {"trouble", "bar hits the rack", trouble, SIM_TROUBLE_HIT, SIM_TROUBLE_HIT + 1},
    {"trouble", "phone slips", trouble, SIM_TROUBLE_SLIP, SIM_TROUBLE_SLIP + 1},
    {"trouble", "spotter touches the bar", trouble, SIM_TROUBLE_SPOTTER, SIM_TROUBLE_SPOTTER + 1},
    {"trouble", "bounced off the chest", trouble, SIM_TROUBLE_BOUNCE, SIM_TROUBLE_BOUNCE + 1},
    {"trouble", "bar dropped", trouble, SIM_TROUBLE_DROP, SIM_TROUBLE_DROP + 1},
    {"trouble", "sensor clips", trouble, SIM_TROUBLE_CLIP, SIM_TROUBLE_CLIP + 1},
    {"log", "as it should be", untouched, 1, 2},
    {"log", "phone handled", handled, 1, 2},
    {"log", "coarse readings", coarse, 1, 2},
    {"log", "uneven samples", uneven, 1, 2},
    {"log", "samples lost", lossy, 1, 2},
    {"phone", "good, up to 120 ug/sqrt(Hz)", noise_ug, 0, GOOD_NOISE_UG},
    {"phone", "cheap, over 120 ug/sqrt(Hz)", noise_ug, GOOD_NOISE_UG, HUGE_VAL},
};
const size_t study_condition_count = sizeof study_conditions / sizeof *study_conditions;

const char *const study_side_names[STUDY_SIDES] = {
    [STUDY_ALONE] = "accelerometer alone", [STUDY_GYROSCOPE] = "with gyroscope"};

bool study_holds(const struct study_condition *condition, const struct study_set *set)
{
    double value = condition->of(set);
    return value >= condition->from && value < condition->to;
}

static bool is_in(const struct study_set *set, enum study_side side, const struct study_condition *condition)
{
    return set->scenario.gyroscope == (side == STUDY_GYROSCOPE) && study_holds(condition, set);
}

const struct bench_statistics *study_cell(const struct study *study, size_t figure, enum study_side side,
                                          size_t condition)
{
    return &study->cells[(figure * STUDY_SIDES + side) * study_condition_count + condition];
}

bool study_make_cells(struct study *study)
{
    size_t room = study->record_count + 1, cell = 0;
    struct bench_record *some = malloc(room * sizeof *some);
    double *scratch = malloc(room * sizeof *scratch);
    study->cells = calloc(study_figure_count * STUDY_SIDES * study_condition_count, sizeof *study->cells);
    bool ok = some && scratch && study->cells;
    for (size_t f = 0; ok && f < study_figure_count; f++) {
        for (int side = 0; side < STUDY_SIDES; side++) {
            for (size_t c = 0; c < study_condition_count; c++) {
                size_t count = 0;
                for (size_t i = study->first[f]; i < study->first[f + 1]; i++) {
                    if (is_in(&study->sets[study->records[i].set], (enum study_side)side,
                              &study_conditions[c])) {
                        some[count++] = study->records[i];
                    }
                }
                bench_statistics_of(some, count, &study_figures[f].scale, scratch, &study->cells[cell++]);
            }
        }
    }
    free(some);
    free(scratch);
    return ok;
}

struct study_reps study_count_reps(const struct study *study, enum study_side side, size_t condition)
{
    struct study_reps reps = {0};
    for (size_t s = 0; s < study->set_count; s++) {
        const struct study_set *set = &study->sets[s];
        if (!is_in(set, side, &study_conditions[condition])) {
            continue;
        }
        reps.sets++;
        if (set->code != BP_OK) {
            reps.refused++;
            continue;
        }
        reps.reps += set->reps;
        reps.lost += set->lost;
        reps.invented += set->invented;
        reps.perfect += set->lost == 0 && set->invented == 0;
        reps.sticking_asked += set->sticking_asked;
        reps.sticking_agree += set->sticking_agree;
    }
    return reps;
}
