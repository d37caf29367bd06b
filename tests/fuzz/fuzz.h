/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the fuzz targets share. Each target is one file with LLVMFuzzerTestOneInput and does with hostile
 * bytes what the library would do with a file of them; libFuzzer makes up the bytes, the sanitizers and
 * fuzz_require watch.
 */
#ifndef BARPLUMB_TESTS_FUZZ_H
#define BARPLUMB_TESTS_FUZZ_H

#include "barplumb/error.h"
#include "barplumb/import.h"
#include "barplumb/text.h"
#include "barplumb/trace.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* libFuzzer calls it by this name. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t count);

/* Ends the process where it is false: the input is then kept as a crash. */
void fuzz_require(bool holds, const char *what);

/* What error.h promises of a refusal: its code and a sentence in one line. */
void fuzz_require_refusal(enum bp_code code, const struct bp_error *error);

/* What trace.h promises. */
void fuzz_require_trace(const struct bp_trace *trace);

/* A text that was written whole. */
void fuzz_require_text(const struct bp_text *text);
/* And that does nothing to a terminal it is shown on. */
void fuzz_require_plain(const struct bp_text *text);

enum { FUZZ_PATH = 64 };
/* A file that holds just these bytes and is nowhere on a disk; path is good until fuzz_file_close(the
 * result). */
int fuzz_file(const uint8_t *bytes, size_t count, char path[FUZZ_PATH]);
void fuzz_file_close(int file);

/* What every log goes through that was read: the check, and both its reports. */
void fuzz_check(const struct bp_trace *trace, struct bp_arena *arena);

/* A file of these bytes through the way a log is opened, told what it is, and read. */
void fuzz_log(const uint8_t *bytes, size_t count, const struct bp_import_settings *settings);

/* What bp_import_recordings promises of what it gave, or of its refusal; checks every recording. */
void fuzz_recordings(enum bp_code code, const struct bp_recordings *recordings, const struct bp_error *error,
                     struct bp_arena *arena);

#endif
