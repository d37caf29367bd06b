/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * barplumb set LOG...: one set a log, measured.
 */
#include "cli/cli.h"

#include <stdlib.h>
#include <string.h>

static const char doc[] =
    "Measures the set in each LOG: how fast every rep moved, through which range it slowed, and how much the "
    "bar shook. - is standard input.\v"
    "Example: a bench set, for a spreadsheet:\n"
    "  barplumb set --lift bench --format csv --out l1.csv harbour/l1-bench.csv\n\n"
    "Or as a page with charts, for any browser:\n"
    "  barplumb set --lift bench --format html --out l1.html harbour/l1-bench.csv\n\n"
    "With several logs, json is an array of documents and csv has one header.\n\n"
    "Example: what could be lifted once, from sets at three loads:\n"
    "  barplumb set --lift bench --bar-mass 60,80,95 --strength a.csv b.csv c.csv\n\n"
    "Exit status: 0 done, 1 not written or out of memory, 2 usage, 3 a log that cannot be read or used; the "
    "other logs are still done.";

static enum bp_code measure(const struct cli_options *options, size_t log, struct bp_arena *arena,
                            struct bp_summary *summary, struct bp_error *error)
{
    const char *path = options->logs[log];
    struct bp_trace trace;
    struct bp_rig rig;
    bool loaded = false;
    struct bp_analyse_settings settings = options->analyse;
    settings.path = path;
    settings.keep_traces = options->format == CLI_HTML;
    enum bp_code code = cli_rig_of(options, log, &rig, &loaded, error);
    if (code == BP_OK) {
        settings.rig = loaded ? &rig : NULL;
        code = bp_import_log(path, &settings.import, arena, &trace, error);
    }
    return code == BP_OK ? bp_analyse_trace(&trace, &settings, arena, summary, error) : code;
}

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
        cli_complain(error.text);
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

static enum bp_code one_log(const struct cli_options *options, size_t log, struct bp_arena *arena,
                            const struct bp_report_settings *report, struct bp_text *out, bool *unfit,
                            struct bp_error *error)
{
    struct bp_summary summary;
    *unfit = false;
    enum bp_code code = measure(options, log, arena, &summary, error);
    if (code == BP_OK && options->strength) {
        code = gather(options, log, &summary, error);
    }
    if (code != BP_OK) {
        return code;
    }
    if (options->format == CLI_TEXT) {
        bp_report_set_text(&summary, report, out);
    } else if (options->format == CLI_CSV) {
        bp_report_set_csv(&summary, out);
    } else if (options->format == CLI_HTML) {
        return bp_report_set_html(&summary, NULL, out, error);
    } else {
        bp_report_set_json(&summary, options->format == CLI_JSON, out);
    }
    return BP_OK;
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
