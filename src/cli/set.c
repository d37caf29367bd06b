/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * barplumb set LOG...: one set a log, measured.
 */
#include "cli/cli.h"

#include "barplumb/split.h"

#include <stdlib.h>
#include <string.h>

static const char doc[] =
    "Measures the set, or the sets, in each LOG: how fast every rep moved, through which range it slowed, "
    "and how much the "
    "bar shook. - is standard input.\v"
    "Example: a bench set, for a spreadsheet:\n"
    "  barplumb set --lift bench --format csv --out l1.csv harbour/l1-bench.csv\n\n"
    "Or as a page with charts, for any browser:\n"
    "  barplumb set --lift bench --format html --out l1.html harbour/l1-bench.csv\n\n"
    "With several logs, json is an array of documents and csv has one header.\n\n"
    "A log of several sets, with rests of 20 s and longer between them, is measured set by set:\n"
    "  barplumb set --lift squat --part 2 harbour/l2-session.csv\n\n"
    "Example: what could be lifted once, from sets at three loads:\n"
    "  barplumb set --lift bench --bar-mass 60,80,95 --strength a.csv b.csv c.csv\n\n"
    "Exit status: 0 done, 1 not written or out of memory, 2 usage, 3 a log that cannot be read or used; the "
    "other logs are still done.";

/* ---- strength: what the sets say together ---- */

enum { SETUP_SIZE = sizeof((struct bp_set_figures *)0)->setup };

struct cli_strength {
    size_t count;
    const char *paths[BP_LINE_POINTS_MAX];
    char setups[BP_LINE_POINTS_MAX][SETUP_SIZE];
    struct bp_strength_set sets[BP_LINE_POINTS_MAX];
    struct bp_quantity loss_pct[BP_LINE_POINTS_MAX];
    struct bp_strength_left left[BP_LINE_POINTS_MAX];
};

/* The fastest completed rep's load: with chains and bands the mean over its drive. */
static struct bp_quantity load_of_best(const struct bp_summary *summary)
{
    const struct bp_rep_figures *best = NULL;
    for (size_t r = 0; r < summary->rep_count; r++) {
        const struct bp_rep_figures *rep = &summary->reps[r];
        if (!rep->missed && bp_quantity_known(rep->mean_velocity_m_s) &&
            (!best || rep->mean_velocity_m_s.value > best->mean_velocity_m_s.value)) {
            best = rep;
        }
    }
    return best ? best->load_kg : bp_quantity_unknown();
}

/* Velocities of the completed reps, up to `most`, in order. */
static size_t velocities_of(const struct bp_summary *summary, struct bp_quantity *velocity, size_t most)
{
    size_t count = 0;
    for (size_t r = 0; r < summary->rep_count && count < most; r++) {
        if (!summary->reps[r].missed) {
            velocity[count++] = summary->reps[r].mean_velocity_m_s;
        }
    }
    return count;
}

static enum bp_code gather(const struct cli_options *options, size_t log, const struct bp_summary *summary,
                           struct bp_error *error)
{
    struct cli_strength *strength = options->strength;
    struct bp_quantity load = load_of_best(summary), velocity[BP_LINE_POINTS_MAX];
    if (!bp_quantity_known(load)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "--strength needs the load: say --bar-mass or --rig");
    }
    if (strength->count == BP_LINE_POINTS_MAX) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "--strength takes %d sets at most", BP_LINE_POINTS_MAX);
    }
    size_t at = strength->count++;
    strength->paths[at] = options->logs[log];
    memcpy(strength->setups[at], summary->set.setup, SETUP_SIZE);
    strength->sets[at] = (struct bp_strength_set){.lift = summary->set.lift,
                                                  .setup = strength->setups[at],
                                                  .load_kg = load,
                                                  .velocity_m_s = summary->set.best_velocity_m_s};
    strength->loss_pct[at] = summary->set.velocity_loss_pct;
    /* after a missed rep none was left, and no line need say so */
    size_t reps = summary->set.missed > 0 ? 0 : velocities_of(summary, velocity, BP_LINE_POINTS_MAX);
    return bp_strength_reps_left(velocity, reps, summary->set.lift, &options->strength_settings,
                                 &strength->left[at], error);
}

static void put_strength(const struct cli_options *options, const struct bp_report_settings *report,
                         struct bp_text *out)
{
    const struct cli_strength *strength = options->strength;
    struct bp_strength_profile profile;
    struct bp_error error;
    if (bp_strength_profile_fit(strength->sets, strength->count, &options->strength_settings, &profile,
                                &error) != BP_OK) {
        cli_complain_error(&error);
        return;
    }
    const struct bp_strength_report all = {.count = strength->count,
                                           .paths = strength->paths,
                                           .sets = strength->sets,
                                           .loss_pct = strength->loss_pct,
                                           .left = strength->left,
                                           .profile = &profile};
    if (options->format == CLI_TEXT) {
        bp_report_strength_text(&all, report, out);
    } else {
        bp_report_strength_json(&all, options->format == CLI_JSON, out);
    }
}

/* ---- one log ---- */

struct log {
    const struct cli_options *options;
    size_t at; /* of the options' logs */
    struct bp_arena *arena;
    const struct bp_report_settings *report;
    struct bp_text *out;
    struct bp_recordings recordings;
    struct bp_parts parts;
    struct bp_rig rig;
    bool loaded;
    size_t reports; /* put */
};

static enum bp_code read_log(struct log *log, struct bp_error *error)
{
    const struct cli_options *options = log->options;
    enum bp_code code = cli_rig_of(options, log->at, &log->rig, &log->loaded, error);
    if (code == BP_OK) {
        code = bp_import_recordings(options->logs[log->at], &options->analyse.import, log->arena,
                                    &log->recordings, error);
    }
    if (code == BP_OK) {
        code = bp_split_recordings(&log->recordings, NULL, options->one_set, log->arena, &log->parts, error);
    }
    if (code == BP_OK && options->part > log->parts.count) {
        code = bp_error_set(error, BP_ERR_ARGUMENT, "--part %zu: this log holds %zu set%s", options->part,
                            log->parts.count, log->parts.count == 1 ? "" : "s");
    } else if (code == BP_OK && options->format == CLI_HTML && options->part == 0 && log->parts.count > 1) {
        code = bp_error_set(error, BP_ERR_ARGUMENT,
                            "this log holds %zu sets and a page shows one: name it with --part N",
                            log->parts.count);
    }
    return code;
}

/* Several reports of one log where a run without an array expects one. */
static bool own_array(const struct log *log)
{
    return log->options->format == CLI_JSON && log->options->part == 0 && log->parts.count > 1 &&
           !cli_is_array(log->options);
}

static enum bp_code put_summary(struct log *log, const struct bp_summary *summary, struct bp_error *error)
{
    enum cli_format format = log->options->format;
    struct bp_text *out = log->out;
    cli_put_between(format, own_array(log), log->reports++, out);
    if (format == CLI_TEXT) {
        bp_report_set_text(summary, log->report, out);
    } else if (format == CLI_CSV) {
        bp_report_set_csv(summary, out);
    } else if (format == CLI_HTML) {
        return bp_report_set_html(summary, NULL, out, error);
    } else {
        bp_report_set_json(summary, format == CLI_JSON, out);
    }
    return BP_OK;
}

static enum bp_code one_part(struct log *log, size_t part, struct bp_error *error)
{
    struct bp_summary summary;
    struct bp_analyse_settings settings = log->options->analyse;
    settings.path = log->options->logs[log->at];
    settings.keep_traces = log->options->format == CLI_HTML;
    settings.rig = log->loaded ? &log->rig : NULL;
    enum bp_code code = bp_analyse_trace(&log->parts.list[part], &settings, log->arena, &summary, error);
    if (code == BP_OK && log->options->strength) {
        code = gather(log->options, log->at, &summary, error);
    }
    return code == BP_OK ? put_summary(log, &summary, error) : code;
}

/* Every part of a log. One without a rep is told of and passed over, one that cannot be used spoils the exit
 * status, unless none is left: then the first one's error is the log's. */
static enum bp_code all_parts(struct log *log, bool *unfit, struct bp_error *error)
{
    size_t first = log->options->part > 0 ? log->options->part - 1 : 0;
    size_t end = log->options->part > 0 ? log->options->part : log->parts.count;
    struct bp_error trouble;
    enum bp_code failed = BP_OK;
    for (size_t part = first; part < end; part++) {
        enum bp_code code = one_part(log, part, &trouble);
        if (code == BP_OK) {
            continue;
        }
        if (code == BP_ERR_ARGUMENT || code == BP_ERR_MEMORY) {
            *error = trouble;
            return code;
        }
        *unfit = *unfit || code != BP_ERR_NO_REP;
        if (failed == BP_OK) {
            failed = code;
            *error = trouble;
        } else {
            cli_complain_of(log->options->logs[log->at], &trouble);
        }
    }
    if (failed != BP_OK && log->reports > 0) {
        cli_complain_of(log->options->logs[log->at], error);
        failed = BP_OK;
    }
    return failed;
}

static enum bp_code one_log(const struct cli_options *options, size_t at, struct bp_arena *arena,
                            const struct bp_report_settings *report, struct bp_text *out, bool *unfit,
                            struct bp_error *error)
{
    struct log log = {.options = options, .at = at, .arena = arena, .report = report, .out = out};
    *unfit = false;
    enum bp_code code = read_log(&log, error);
    if (code == BP_OK) {
        *unfit = cli_complain_of_recordings(options->logs[at], &log.recordings);
        code = all_parts(&log, unfit, error);
    }
    if (code == BP_OK && own_array(&log)) {
        bp_text_put(out, "]\n");
    }
    return code;
}

int cli_set(int argc, char **argv)
{
    static const struct cli_command_help help = {doc, true};
    struct cli_options options;
    cli_options_read(argc, argv, &help, &options);
    if (options.ask_strength) {
        options.strength = calloc(1, sizeof *options.strength);
        if (!options.strength) {
            cli_complain("out of memory for --strength");
            return CLI_FAILED;
        }
    }
    const struct cli_job job = {.one_log = one_log,
                                .header = options.format == CLI_CSV ? bp_report_set_csv_header : NULL,
                                .footer = options.strength ? put_strength : NULL};
    int status = cli_run(&options, &job);
    free(options.strength);
    return status;
}
