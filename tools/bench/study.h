/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The calibration study's parts: simulated sets measured, every figure of them a record, and what becomes of
 * the records under each condition.
 */
#ifndef BENCH_STUDY_H
#define BENCH_STUDY_H

#include "barplumb/analyse.h"
#include "barplumb/text.h"
#include "bench/statistics.h"
#include "simulate/simulate.h"

/* What is asked for on the command line. */
struct study_options {
    size_t sets;
    uint64_t first_seed;
    size_t jobs;
    bool markdown, plain_scenarios, verbose;
    const char *figure; /* its name; NULL: all */
};

/* Whose figure it is, and so where estimate and truth lie. */
enum study_scope {
    STUDY_REP,
    STUDY_STICKING, /* a rep's, compared where a sticking region is present in truth and estimate both */
    STUDY_SET_MEAN, /* the set's: truth is the mean over the true completed reps that have one */
    STUDY_SET_BEST, /* the largest of them */
    STUDY_SET_LOSS, /* from the largest to the last, in percent of the largest; at least two reps */
    STUDY_SET_OWN,  /* the truth has it of the set itself */
    STUDY_SET_HUNG  /* the same, where chains or bands hang on the bar */
};

enum study_reps_of { STUDY_COMPLETED, STUDY_MISSED, STUDY_BOTH };

struct study_figure {
    const char *family; /* figures of a family stand together */
    /* As in JSON, with "sticking.", "range_1." or "set." before it where it is not a rep's own. */
    const char *name;
    enum study_scope scope;
    enum study_reps_of reps_of; /* which reps have it */
    bool moment;                /* the estimate is a double, a time without an interval; else a bp_quantity */
    size_t estimate;            /* offset in bp_rep_figures, in bp_set_figures for a set's */
    size_t truth;               /* offset of a double in sim_rep_truth, in sim_truth for a set's own */
    double factor;              /* truth × factor is in the estimate's unit */
    const char *unit;           /* errors are told in; "%" of a relative one */
    struct bench_scale scale;
    int decimals; /* errors are told with */
};

extern const struct study_figure study_figures[];
extern const size_t study_figure_count;

/* The index of the figure of that name; study_figure_count when there is none. */
size_t study_figure_named(const char *name);

/* One simulated set, and what became of its reps. */
struct study_set {
    struct sim_scenario scenario;
    double mean_speed_m_s; /* true mean velocity, mean over the completed reps; NaN if none */
    enum bp_code code;     /* BP_OK: measured; else refused */
    uint32_t reps, found, lost, invented;
    uint32_t sticking_asked, sticking_agree; /* matched completed reps; presence the same in truth */
    uint32_t records;
};

struct study {
    struct study_set *sets; /* in the order of their seeds */
    size_t set_count;
    struct bench_record *records; /* of each figure together, in the order of the sets */
    size_t record_count;
    size_t *first;                  /* [study_figure_count + 1] where the records of a figure begin */
    struct bench_statistics *cells; /* of each figure, side and condition: study_cell */
};

/* One set from its seed: simulated, measured, matched, recorded. */
struct study_bench {
    struct bp_arena arena;
    struct sim_truth truth;
    struct bp_rig rig; /* as its coach wrote it down */
    struct bench_record records[];
};
/* NULL when memory is out; study_bench_free takes NULL. */
struct study_bench *study_bench_new(void);
void study_bench_free(struct study_bench *bench);
/* Measures the set of first_seed + index into *set and bench->records[set->records]. False when memory is out
 * or the scenario cannot be simulated. */
bool study_measure_set(const struct study_options *options, uint32_t index, struct study_bench *bench,
                       struct study_set *set);

/* Measures all sets, in options->jobs processes. The outcome does not depend on how many. False after a
 * message to stderr; *study is then empty. */
bool study_run(const struct study_options *options, struct study *study);
void study_free(struct study *study);

/* A part of the sets. */
struct study_condition {
    const char *group, *name;
    double (*of)(const struct study_set *set); /* the set is in when from <= of(set) < to */
    double from, to;
};
extern const struct study_condition study_conditions[]; /* the first: all sets */
extern const size_t study_condition_count;
bool study_holds(const struct study_condition *condition, const struct study_set *set);

enum study_side { STUDY_ALONE, STUDY_GYROSCOPE, STUDY_SIDES };
extern const char *const study_side_names[STUDY_SIDES];

/* Fewer sets say nothing of a condition: it is then left out of medians, worst and bounds. */
enum { STUDY_SETS_MIN = 10 };

/* Fills study->cells. False when memory is out. */
bool study_make_cells(struct study *study);
/* Statistics of one figure over the sets of one side and condition. */
const struct bench_statistics *study_cell(const struct study *study, size_t figure, enum study_side side,
                                          size_t condition);

/* What became of the reps of one side and condition. */
struct study_reps {
    size_t sets, refused, reps, lost, invented; /* reps, lost and invented: of the sets not refused */
    size_t perfect;                             /* sets not refused with no rep lost or invented */
    size_t sticking_asked, sticking_agree;
};
struct study_reps study_count_reps(const struct study *study, enum study_side side, size_t condition);

/* A table of the figures that are out of bounds in some condition: its coverage is significantly outside 90
 * to 99 %, or its rms error is more than twice the target. For the console a line a figure, in Markdown a
 * line a condition. */
void study_put_bounds(const struct study *study, bool markdown, struct bp_text *text);
/* A table of the targets, what was measured, and whether it is enough. */
void study_put_targets(const struct study *study, bool markdown, struct bp_text *text);

/* The most a figure's rms error may be, in its told unit; NaN where no target is set. */
double study_target(size_t figure, enum study_side side);

/* value right-aligned in width, "-" when it is not finite. */
void study_put_number(struct bp_text *text, double value, int decimals, size_t width);
/* words, left-aligned in width. */
void study_put_words(struct bp_text *text, const char *words, size_t width);

void study_put_console(const struct study *study, const struct study_options *options, struct bp_text *text);
void study_put_markdown(const struct study *study, const struct study_options *options, struct bp_text *text);
/* One line a set, and one a record of the figure when it is asked for. */
void study_put_sets(const struct study *study, const struct study_options *options, struct bp_text *text);

/* bench study …: argv[0] is the first argument behind "study". Returns the exit status; -1: wrong usage. */
int study_main(int argc, char **argv);

#endif
