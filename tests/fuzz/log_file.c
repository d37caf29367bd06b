/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A log file of any kind, through the way a file is opened and told what it is. With sound files for seeds it
 * is the target `sound`, with zips and their like `archive`.
 */
#include "fuzz/fuzz.h"

#include "barplumb/import.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t count)
{
    struct bp_import_settings settings = bp_import_defaults;
    struct bp_arena arena;
    struct bp_recordings recordings;
    struct bp_error error;
    char path[FUZZ_PATH];
    int file = fuzz_file(bytes, count, path);
    settings.full_scale_force = count % 2 == 0 ? 78.4 : 0.0; /* else the comment tag must say it */
    settings.full_scale_turn = count % 2 == 0 ? 34.9 : 0.0;
    settings.rows_max = 100000;
    bp_arena_init(&arena);
    enum bp_code code = bp_import_recordings(path, &settings, &arena, &recordings, &error);
    fuzz_recordings(code, &recordings, &error, &arena);
    bp_arena_free(&arena);
    fuzz_file_close(file);
    return 0;
}
