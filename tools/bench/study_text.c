/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The study for the console: each side over all its sets, one figure under every condition, one line a set.
 */
#include "bench/study.h"

#include <math.h>
#include <string.h>

enum { NAME_WIDTH = 30, UNIT_WIDTH = 11, COUNT_WIDTH = 7, NUMBER_WIDTH = 9, SHARE_WIDTH = 7 };
static const double PERCENT = 100;

void study_put_number(struct bp_text *text, double value, int decimals, size_t width)
{
    if (isfinite(value)) {
        bp_text_put_number_in(text, value, decimals, width);
        return;
    }
    bp_text_fill(text, ' ', width > 1 ? width - 1 : 0);
    bp_text_put_char(text, '-');
}

void study_put_words(struct bp_text *text, const char *words, size_t width)
{
    size_t length = strlen(words);
    bp_text_put(text, words);
    bp_text_fill(text, ' ', length < width ? width - length : 1);
}

static void put_heading(struct bp_text *text, const char *first)
{
    static const char *const counts[] = {"n", "null"}, *const numbers[] = {"bias", "rms", "worst"},
                             *const shares[] = {"cover", "from", "to", "wrong"};
    study_put_words(text, first, NAME_WIDTH);
    study_put_words(text, "unit", UNIT_WIDTH);
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
        bp_text_fill(text, ' ', COUNT_WIDTH - strlen(counts[i]));
        bp_text_put(text, counts[i]);
    }
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        bp_text_fill(text, ' ', NUMBER_WIDTH - strlen(numbers[i]));
        bp_text_put(text, numbers[i]);
    }
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        bp_text_fill(text, ' ', SHARE_WIDTH - strlen(shares[i]));
        bp_text_put(text, shares[i]);
    }
    bp_text_put(text, "    width\n");
}

static void put_statistics(struct bp_text *text, const char *name, const struct study_figure *figure,
                           const struct bench_statistics *s)
{
    study_put_words(text, name, NAME_WIDTH);
    study_put_words(text, figure->unit, UNIT_WIDTH);
    bp_text_put_number_in(text, (double)s->given, 0, COUNT_WIDTH);
    bp_text_put_number_in(text, (double)s->not_given, 0, COUNT_WIDTH);
    study_put_number(text, s->bias, figure->decimals, NUMBER_WIDTH);
    study_put_number(text, s->rms, figure->decimals, NUMBER_WIDTH);
    study_put_number(text, s->worst, figure->decimals, NUMBER_WIDTH);
    study_put_number(text, PERCENT * s->coverage, 1, SHARE_WIDTH);
    study_put_number(text, PERCENT * s->coverage_low, 1, SHARE_WIDTH);
    study_put_number(text, PERCENT * s->coverage_high, 1, SHARE_WIDTH);
    study_put_number(text, PERCENT * s->wrong, 2, SHARE_WIDTH);
    study_put_number(text, s->width, figure->decimals, NUMBER_WIDTH);
    bp_text_put_char(text, '\n');
}

static void put_reps(struct bp_text *text, const struct study_reps *reps)
{
    const struct {
        const char *before;
        size_t count;
    } parts[] = {{"", reps->sets},
                 {" sets, refused ", reps->refused},
                 {", every rep found and none invented in ", reps->perfect},
                 {"; reps ", reps->reps},
                 {", lost ", reps->lost},
                 {", invented ", reps->invented},
                 {"; sticking region told rightly in ", reps->sticking_agree},
                 {" of ", reps->sticking_asked}};
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        bp_text_put(text, parts[i].before);
        bp_text_put_count(text, parts[i].count);
    }
    bp_text_put_char(text, '\n');
}

static void put_side(const struct study *study, enum study_side side, struct bp_text *text)
{
    struct study_reps reps = study_count_reps(study, side, 0);
    bp_text_put_char(text, '\n');
    bp_text_put(text, study_side_names[side]);
    bp_text_put(text, ": ");
    put_reps(text, &reps);
    put_heading(text, "figure");
    for (size_t f = 0; f < study_figure_count; f++) {
        put_statistics(text, study_figures[f].name, &study_figures[f], study_cell(study, f, side, 0));
    }
}

static void put_figure(const struct study *study, size_t f, enum study_side side, struct bp_text *text)
{
    const char *group = "";
    bp_text_put_char(text, '\n');
    bp_text_put(text, study_figures[f].name);
    bp_text_put(text, ", ");
    bp_text_put(text, study_side_names[side]);
    bp_text_put_char(text, '\n');
    put_heading(text, "condition");
    for (size_t c = 0; c < study_condition_count; c++) {
        const struct study_condition *condition = &study_conditions[c];
        const struct bench_statistics *s = study_cell(study, f, side, c);
        if (s->given + s->not_given == 0) {
            continue;
        }
        if (strcmp(condition->group, group) != 0 && c > 0) {
            bp_text_put(text, condition->group);
            bp_text_put_char(text, '\n');
        }
        group = condition->group;
        char name[NAME_WIDTH + 1] = "  ";
        strncat(name, condition->name, NAME_WIDTH - 3);
        put_statistics(text, name, &study_figures[f], s);
    }
}

void study_put_console(const struct study *study, const struct study_options *options, struct bp_text *text)
{
    static const enum study_side order[] = {STUDY_GYROSCOPE, STUDY_ALONE};
    for (size_t k = 0; k < STUDY_SIDES; k++) {
        if (options->figure) {
            put_figure(study, study_figure_named(options->figure), order[k], text);
        } else {
            put_side(study, order[k], text);
        }
    }
    if (!options->figure) {
        bp_text_put(text, "\nfigures out of bounds in some condition (--figure NAME tells in which)\n");
        study_put_bounds(study, false, text);
        bp_text_put(text, "\ntargets\n");
        study_put_targets(study, false, text);
    }
}

static void put_set(const struct study_set *set, struct bp_text *text)
{
    const struct sim_scenario *s = &set->scenario;
    bp_text_put(text, "seed ");
    bp_text_put_count(text, (size_t)s->seed);
    bp_text_put_char(text, ' ');
    bp_text_put(text, bp_lift_facts(s->lift)->name);
    bp_text_put(text, s->gyroscope ? " gyroscope, " : " alone, ");
    bp_text_put_number(text, s->rate_hz, 0);
    bp_text_put(text, " Hz, ");
    bp_text_put_number(text, set->mean_speed_m_s, 2);
    bp_text_put(text, " m/s, found ");
    bp_text_put_count(text, set->found);
    bp_text_put(text, " of ");
    bp_text_put_count(text, set->reps);
    bp_text_put(text, ", lost ");
    bp_text_put_count(text, set->lost);
    bp_text_put(text, ", invented ");
    bp_text_put_count(text, set->invented);
    bp_text_put(text, ", ");
    bp_text_put(text, bp_code_name(set->code));
    bp_text_put(text, ", trouble: ");
    bp_text_put(text, sim_trouble_name(s->trouble));
    bp_text_put_char(text, '\n');
}

static void put_record(const struct bench_record *record, int decimals, struct bp_text *text)
{
    enum { EXTRA = 4, WIDTH = 12 }; /* truth and value are in SI and may be told in milli-units */
    bp_text_put(text, "    rep ");
    bp_text_put_count(text, (size_t)record->rep + 1);
    bp_text_put(text, " truth, value, low, high");
    const double numbers[] = {record->truth, record->value, record->low, record->high};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        study_put_number(text, numbers[i], decimals + EXTRA < 9 ? decimals + EXTRA : 9, WIDTH);
    }
    bp_text_put(text, bench_wrong(record) ? "  wrong\n" : bench_covered(record) ? "\n" : "  outside\n");
}

void study_put_sets(const struct study *study, const struct study_options *options, struct bp_text *text)
{
    size_t f = options->figure ? study_figure_named(options->figure) : study_figure_count;
    size_t i = f < study_figure_count ? study->first[f] : 0;
    for (size_t s = 0; s < study->set_count; s++) {
        put_set(&study->sets[s], text);
        while (f < study_figure_count && i < study->first[f + 1] && study->records[i].set == s) {
            put_record(&study->records[i++], study_figures[f].decimals, text);
        }
    }
}
