/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * barplumb set LOG...: one set a log, measured.
 */
#include "cli/cli.h"

static const char doc[] =
    "Measures the set in each LOG: how fast every rep moved, through which range it slowed, and how much the "
    "bar shook. - is standard input.\v"
    "Example: a bench set, for a spreadsheet:\n"
    "  barplumb set --lift bench --format csv --out l1.csv harbour/l1-bench.csv\n\n"
    "With several logs, json is an array of documents and csv has one header.\n\n"
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
    enum bp_code code = cli_rig_of(options, log, &rig, &loaded, error);
    if (code == BP_OK) {
        settings.rig = loaded ? &rig : NULL;
        code = bp_import_log(path, &settings.import, arena, &trace, error);
    }
    return code == BP_OK ? bp_analyse_trace(&trace, &settings, arena, summary, error) : code;
}

static enum bp_code one_log(const struct cli_options *options, size_t log, struct bp_arena *arena,
                            const struct bp_report_settings *report, struct bp_text *out, bool *unfit,
                            struct bp_error *error)
{
    struct bp_summary summary;
    *unfit = false;
    enum bp_code code = measure(options, log, arena, &summary, error);
    if (code != BP_OK) {
        return code;
    }
    if (options->format == CLI_TEXT) {
        bp_report_set_text(&summary, report, out);
    } else if (options->format == CLI_CSV) {
        bp_report_set_csv(&summary, out);
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
    return cli_run(&options, one_log, options.format == CLI_CSV ? bp_report_set_csv_header : NULL);
}
