/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * barplumb compare SHEET: setups (or lifters, or sessions) held against each other.
 */
#include "cli/sheet.h"

#include "barplumb/report_block.h"
#include "barplumb/survey.h"

static const char doc[] =
    "Measures every set of SHEET, a CSV with a row a set, and says which setup was faster, which steadier, "
    "and how "
    "sure that is.\v"
    "Example: chains, bands and a straight bar, as a page:\n"
    "  barplumb compare --format html --out setups.html harbour/block.csv\n\n"
    "The sheet's columns, in any order: log, and where known date, lifter, lift, setup, bar, plates, rig, "
    "target, "
    "notes. A row that cannot be used is told with its line; the rest is still done.\n\n"
    "Exit status: 0 done, 1 not written or out of memory, 2 usage, 3 no sheet or no set that can be used, 4 "
    "some "
    "rows failed, 130 stopped.";

static enum bp_code put_report(const struct cli_sheet_options *options, const struct bp_survey *survey,
                               struct bp_text *out, struct bp_error *error)
{
    const struct bp_report_settings report = cli_report_settings(options->out);
    switch (options->format) {
    case CLI_TEXT:
        bp_report_compare_text(survey, &report, out);
        return BP_OK;
    case CLI_CSV:
        bp_report_compare_csv_header(out);
        bp_report_compare_csv(survey, out);
        return BP_OK;
    case CLI_HTML:
        return bp_report_compare_html(survey, NULL, out, error);
    default:
        bp_report_compare_json(survey, options->format == CLI_JSON, out);
        return BP_OK;
    }
}

static enum bp_code survey_and_put(const struct cli_sheet_options *options, struct cli_measured *measured,
                                   struct bp_text *out, struct bp_error *error)
{
    static const enum bp_compare_by by[] = {
        [CLI_BY_SETUP] = BP_BY_SETUP, [CLI_BY_LIFTER] = BP_BY_LIFTER, [CLI_BY_SESSION] = BP_BY_SESSION};
    struct bp_survey_settings settings = bp_survey_defaults;
    struct bp_survey survey;
    settings.compare.by = by[options->by];
    settings.compare.seed = options->block.analyse.seed;
    enum bp_code code = bp_survey_block(&measured->block, &settings, &measured->arena, &survey, error);
    code = code == BP_OK ? put_report(options, &survey, out, error) : code;
    if (code == BP_OK && out->failed) {
        code = bp_error_set(error, BP_ERR_MEMORY, "out of memory for the report");
    }
    return code;
}

static int report(const struct cli_sheet_options *options, struct cli_measured *measured, int status)
{
    struct bp_error error;
    struct bp_text out;
    struct cli_output output;
    bp_text_init(&out);
    cli_output_init(&output, options->out);
    enum bp_code code = survey_and_put(options, measured, &out, &error);
    if (code != BP_OK) {
        cli_complain_error(&error);
        status = cli_status_of(code);
    } else if (!cli_output_put(&output, out.data, out.length) || !cli_output_finish(&output)) {
        status = CLI_FAILED;
    }
    cli_output_free(&output);
    bp_text_free(&out);
    return status;
}

int cli_compare(int argc, char **argv)
{
    struct cli_sheet_options options;
    struct cli_measured measured;
    cli_sheet_options_read(argc, argv, false, doc, &options);
    int status = cli_sheet_measure(&options, &measured);
    bool any = status == CLI_OK || status == CLI_SOME_FAILED;
    if (any && measured.block.measured == 0) {
        cli_complain("no set of the sheet could be measured");
        status = CLI_BAD_LOG;
    } else if (any) {
        status = report(&options, &measured, status);
    }
    cli_sheet_free(&measured);
    return status;
}
