/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * barplumb check LOG...: what was recognised, and whether it is fit to use.
 */
#include "cli/cli.h"

static const char doc[] =
    "Says what was recognised in each LOG and whether it is fit to use. - is standard input.\v"
    "Example: is what the phone wrote any good?\n"
    "  barplumb check harbour/l1-bench.csv\n\n"
    "Exit status: 0 fit (perhaps with reservations), 1 not written or out of memory, 2 usage, 3 a log that "
    "cannot be read or is not fit.";

static enum bp_code one_log(const struct cli_options *options, size_t log, struct bp_arena *arena,
                            const struct bp_report_settings *report, struct bp_text *out, bool *unfit,
                            struct bp_error *error)
{
    const char *path = options->logs[log];
    struct bp_trace trace;
    struct bp_check check;
    enum bp_code code = bp_import_log(path, &options->analyse.import, arena, &trace, error);
    if (code != BP_OK) {
        return code;
    }
    code = bp_check_trace(&trace, &options->analyse.check, arena, &check, error);
    if (code != BP_OK) {
        return code;
    }
    if (options->format == CLI_TEXT) {
        bp_report_check_text(path, &trace, &check, report, out);
    } else {
        bp_report_check_json(path, &trace, &check, options->format == CLI_JSON, out);
    }
    *unfit = check.verdict == BP_NOT_FIT;
    return BP_OK;
}

int cli_check(int argc, char **argv)
{
    static const struct cli_command_help help = {doc, false};
    struct cli_options options;
    cli_options_read(argc, argv, &help, &options);
    return cli_run(&options, &(struct cli_job){.one_log = one_log});
}
