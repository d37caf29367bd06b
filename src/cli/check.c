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

static enum bp_code one_recording(const struct cli_options *options, const char *path,
                                  const struct bp_trace *trace, struct bp_arena *arena,
                                  const struct bp_report_settings *report, struct bp_text *out, bool *unfit,
                                  struct bp_error *error)
{
    struct bp_check check;
    enum bp_code code = bp_check_trace(trace, &options->analyse.check, arena, &check, error);
    if (code != BP_OK) {
        return code;
    }
    if (options->format == CLI_TEXT) {
        bp_report_check_text(path, trace, &check, report, out);
    } else {
        bp_report_check_json(path, trace, &check, options->format == CLI_JSON, out);
    }
    *unfit = *unfit || check.verdict == BP_NOT_FIT;
    return BP_OK;
}

static enum bp_code one_log(const struct cli_options *options, size_t log, struct bp_arena *arena,
                            const struct bp_report_settings *report, struct bp_text *out, bool *unfit,
                            struct bp_error *error)
{
    const char *path = options->logs[log];
    struct bp_recordings recordings;
    enum bp_code code = bp_import_recordings(path, &options->analyse.import, arena, &recordings, error);
    if (code != BP_OK) {
        return code;
    }
    size_t reports = 0;
    bool own_array = options->format == CLI_JSON && recordings.count > 1 && !cli_is_array(options);
    *unfit = cli_complain_of_recordings(path, &recordings);
    for (size_t r = 0; r < recordings.count && code == BP_OK; r++) {
        const struct bp_recording *recording = &recordings.list[r];
        if (recording->code == BP_OK) {
            cli_put_between(options->format, own_array, reports++, out);
            code = one_recording(options, path, recording->trace, arena, report, out, unfit, error);
        }
    }
    if (code == BP_OK && own_array) {
        bp_text_put(out, "]\n");
    }
    return code;
}

int cli_check(int argc, char **argv)
{
    static const struct cli_command_help help = {doc, false};
    struct cli_options options;
    cli_options_read(argc, argv, &help, &options);
    return cli_run(&options, &(struct cli_job){.one_log = one_log});
}
