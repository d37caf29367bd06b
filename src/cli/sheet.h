/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/cli: what the commands on sheets share.
 */
#ifndef CLI_SHEET_H
#define CLI_SHEET_H

#include "barplumb/block.h"
#include "cli/cli.h"

/* Some of the sheet's rows could not be used; the rest was done. */
enum { CLI_SOME_FAILED = 4, CLI_STOPPED = 130 };

enum cli_by { CLI_BY_SETUP, CLI_BY_LIFTER, CLI_BY_SESSION };

struct cli_sheet_options {
    const char *sheet;
    enum cli_format format; /* of compare */
    const char *out;        /* compare: a file, NULL or "-": standard output; cycle: the folder */
    enum cli_by by;
    struct bp_block_settings block;
};

/* Reads the arguments of compare (folder false) or cycle; ends the program as cli_options_read does. */
void cli_sheet_options_read(int argc, char **argv, bool folder, const char *doc,
                            struct cli_sheet_options *options);

/* A sheet and its sets, measured with a progress bar. */
struct cli_measured {
    struct bp_arena arena;
    struct bp_sheet sheet;
    struct bp_block block;
};

/* Reads and measures the sheet; bad rows and failed sets are told on standard error. Returns the exit status
 * so far: CLI_OK, CLI_SOME_FAILED, CLI_STOPPED, or a worse one after which there is nothing to report. In any
 * case cli_sheet_free. */
int cli_sheet_measure(struct cli_sheet_options *options, struct cli_measured *measured);
void cli_sheet_free(struct cli_measured *measured);

#endif
