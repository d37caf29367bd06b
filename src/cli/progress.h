/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/cli: how far a block has come, on standard error: a bar with the time left on a terminal,
 * plain lines elsewhere. Ctrl-C stops it once the sets in hand are done; a second one ends the program.
 */
#ifndef CLI_PROGRESS_H
#define CLI_PROGRESS_H

#include "barplumb/block.h"

#include <time.h>

struct cli_progress {
    bool terminal;
    struct timespec started;
    size_t told; /* tenths of the block, in plain lines */
};

/* Also listens for Ctrl-C from here on. */
void cli_progress_begin(struct cli_progress *progress);
/* As bp_block_settings.progress; about: a struct cli_progress. */
bool cli_progress_tell(void *about, const struct bp_block_progress *now);
/* Clears the bar away. */
void cli_progress_end(struct cli_progress *progress);
/* Was Ctrl-C pressed? */
bool cli_progress_stopped(void);

#endif
