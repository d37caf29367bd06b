/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The study as a page of the documentation: docs/accuracy.md.
 */
#include "bench/study.h"

#include <string.h>

static const double PERCENT = 100;

static void put_command(const struct study_options *options, struct bp_text *text)
{
    bp_text_put(text, "bench study ");
    bp_text_put_count(text, options->sets);
    bp_text_put_char(text, ' ');
    bp_text_put_count(text, (size_t)options->first_seed);
    bp_text_put(text, options->plain_scenarios ? " --markdown --plain-scenarios" : " --markdown");
}

static const char HOW_TO_READ[] =
    "Errors are estimate less truth: **bias** is their mean, **rms** the root of their mean square, "
    "**worst** the one of\n"
    "the largest size. **Coverage** is the share of the 95 % intervals that hold their truth: 95 % where "
    "intervals are\n"
    "neither too narrow nor too wide. **From** and **to** are the 95 % interval of that share (Wilson 1927), "
    "with sets and\n"
    "not reps as independent trials, since the reps of one set share a phone, a bias and a lifter. **Width** "
    "is the median\n"
    "width of the intervals. **Wrong** is the share that is confident and wrong: the truth lies more than "
    "three half-widths\n"
    "from the value, the half-width being that of the truth's side. **Null** counts the figures that have a "
    "truth and were\n"
    "given no value. Errors and widths of shake, clatter, sway, load, force, power, work and impulse are "
    "told in percent of\n"
    "the truth. A few truths next to nothing rule an rms of percents, so the targets show two sounder sizes "
    "beside it: the\n"
    "rms error over the rms truth, and the median error. The mean force of a light bar that is braked is "
    "next "
    "to nothing,\n"
    "and under 100 N (30 W, 10 J, 20 N s) only "
    "its interval counts. The rig is given as its coach would have measured it, each value off by what its "
    "own ± allows.\n"
    "Sticking regions are compared where truth and estimate both have one. `missed.range_m` is the range of "
    "missed reps,\n"
    "`range_m` that of completed ones. A condition is judged when it has at least ";
static const char OUT_OF_BOUNDS[] = " sets. *Out of bounds* is a coverage\nwhose interval lies wholly "
                                    "outside 90 to 99 %, or an rms error of more than twice "
                                    "the target. `-` is nothing to tell.\n";

static void put_introduction(const struct study_options *options, struct bp_text *text)
{
    bp_text_put(
        text,
        "# Accuracy\n\nHow large the errors are and how often the intervals hold the truth, measured on ");
    bp_text_put_count(text, options->sets);
    bp_text_put(text, " simulated sets.\n`tools/calibrate-intervals ");
    bp_text_put_count(text, options->sets);
    bp_text_put_char(text, ' ');
    bp_text_put_count(text, (size_t)options->first_seed);
    bp_text_put(text, "` writes this page, from `");
    put_command(options, text);
    bp_text_put(
        text,
        "`; do not edit it.\nHow the sets are made stands in [the simulator](simulator.md), what each "
        "figure means in [the definitions](definitions.md).\nThe simulator is a model: a real bar, strap "
        "or phone can do what it does not. CPU time is measured by `bench speed`.\n\n"
        "## How to read it\n\n");
    bp_text_put(text, HOW_TO_READ);
    bp_text_put_count(text, STUDY_SETS_MIN);
    bp_text_put(text, OUT_OF_BOUNDS);
}

static void put_cell(struct bp_text *text, double value, int decimals)
{
    bp_text_put(text, " ");
    study_put_number(text, value, decimals, 0);
    bp_text_put(text, " |");
}

static void put_row_name(struct bp_text *text, const char *name)
{
    bp_text_put(text, "| ");
    bp_text_put(text, name);
    bp_text_put(text, " |");
}

static void put_condition_name(struct bp_text *text, const struct study_condition *condition)
{
    bp_text_put(text, "| ");
    if (strcmp(condition->group, "all") != 0) {
        bp_text_put(text, condition->group);
        bp_text_put(text, ": ");
    }
    bp_text_put(text, condition->name);
    bp_text_put(text, " |");
}

static void put_statistics(const struct study_figure *figure, const struct bench_statistics *s,
                           struct bp_text *text)
{
    put_row_name(text, figure->name);
    bp_text_put_char(text, ' ');
    bp_text_put(text, figure->unit);
    bp_text_put(text, " |");
    put_cell(text, (double)s->given, 0);
    put_cell(text, (double)s->not_given, 0);
    put_cell(text, s->bias, figure->decimals);
    put_cell(text, s->rms, figure->decimals);
    put_cell(text, s->worst, figure->decimals);
    put_cell(text, PERCENT * s->coverage, 1);
    put_cell(text, PERCENT * s->coverage_low, 1);
    put_cell(text, PERCENT * s->coverage_high, 1);
    put_cell(text, s->width, figure->decimals);
    put_cell(text, PERCENT * s->wrong, 2);
    bp_text_put_char(text, '\n');
}

static void put_figures(const struct study *study, enum study_side side, struct bp_text *text)
{
    bp_text_put(text, "\n### Figures over all sets\n\n"
                      "| figure | unit | n | null | bias | rms | worst | coverage % | from | to | width | "
                      "wrong % |\n|---|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|\n");
    for (size_t f = 0; f < study_figure_count; f++) {
        put_statistics(&study_figures[f], study_cell(study, f, side, 0), text);
    }
}

static void put_reps(const struct study *study, enum study_side side, struct bp_text *text)
{
    bp_text_put(text,
                "\n### Reps found\n\nPerfect: every rep found and none invented. Reps, lost and invented "
                "are those of the sets that were not refused. Sticking: reps whose sticking region was "
                "rightly said to be there or not.\n\n"
                "| condition | sets | refused | perfect | % of sets | reps | lost | invented | "
                "sticking % |\n|---|--:|--:|--:|--:|--:|--:|--:|--:|\n");
    for (size_t c = 0; c < study_condition_count; c++) {
        struct study_reps reps = study_count_reps(study, side, c);
        if (reps.sets == 0) {
            continue;
        }
        put_condition_name(text, &study_conditions[c]);
        put_cell(text, (double)reps.sets, 0);
        put_cell(text, (double)reps.refused, 0);
        put_cell(text, (double)reps.perfect, 0);
        put_cell(text, PERCENT * (double)reps.perfect / (double)reps.sets, 2);
        put_cell(text, (double)reps.reps, 0);
        put_cell(text, (double)reps.lost, 0);
        put_cell(text, (double)reps.invented, 0);
        put_cell(text, PERCENT * (double)reps.sticking_agree / (double)reps.sticking_asked, 1);
        bp_text_put_char(text, '\n');
    }
}

static void put_family_heading(size_t from, size_t to, struct bp_text *text)
{
    bp_text_put(text, "\n### ");
    bp_text_put(text, study_figures[from].family);
    bp_text_put(text,
                ", by condition\n\nIn each cell: rms error, and the coverage in percent.\n\n| condition | "
                "sets |");
    for (size_t f = from; f < to; f++) {
        bp_text_put_char(text, ' ');
        bp_text_put(text, study_figures[f].name);
        if (*study_figures[f].unit) {
            bp_text_put(text, ", ");
            bp_text_put(text, study_figures[f].unit);
        }
        bp_text_put(text, " |");
    }
    bp_text_put(text, "\n|---|--:|");
    for (size_t f = from; f < to; f++) {
        bp_text_put(text, "--:|");
    }
    bp_text_put_char(text, '\n');
}

/* One family's figures as columns, the conditions as rows. */
static void put_family(const struct study *study, enum study_side side, size_t from, size_t to,
                       struct bp_text *text)
{
    put_family_heading(from, to, text);
    for (size_t c = 0; c < study_condition_count; c++) {
        struct study_reps reps = study_count_reps(study, side, c);
        if (reps.sets == 0) {
            continue;
        }
        put_condition_name(text, &study_conditions[c]);
        put_cell(text, (double)reps.sets, 0);
        for (size_t f = from; f < to; f++) {
            const struct bench_statistics *s = study_cell(study, f, side, c);
            bp_text_put_char(text, ' ');
            study_put_number(text, s->rms, study_figures[f].decimals, 0);
            bp_text_put(text, ", ");
            study_put_number(text, PERCENT * s->coverage, 1, 0);
            bp_text_put(text, " |");
        }
        bp_text_put_char(text, '\n');
    }
}

static void put_side(const struct study *study, enum study_side side, struct bp_text *text)
{
    bp_text_put(text, "\n## ");
    bp_text_put(text, side == STUDY_GYROSCOPE ? "With gyroscope" : "Accelerometer alone");
    bp_text_put_char(text, '\n');
    put_figures(study, side, text);
    put_reps(study, side, text);
    for (size_t from = 0, to = 0; from < study_figure_count; from = to) {
        while (to < study_figure_count && strcmp(study_figures[to].family, study_figures[from].family) == 0) {
            to++;
        }
        put_family(study, side, from, to, text);
    }
}

void study_put_markdown(const struct study *study, const struct study_options *options, struct bp_text *text)
{
    put_introduction(options, text);
    bp_text_put(text,
                "\n## Targets\n\n"
                "Of an rms error, **measured** is the median over the conditions and **worst** the worst "
                "condition's; it is met when the\nmedian is within the target and no condition is worse "
                "than twice. Of the figures that cover, **worst** is the coverage\n"
                "farthest from 95 %.\n\n");
    study_put_targets(study, true, text);
    bp_text_put(text, "\n## Conditions out of bounds\n\n");
    study_put_bounds(study, true, text);
    put_side(study, STUDY_GYROSCOPE, text);
    put_side(study, STUDY_ALONE, text);
}
