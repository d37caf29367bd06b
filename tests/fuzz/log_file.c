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
    settings.full_scale_force = count % 2 == 0 ? 78.4 : 0.0; /* else the comment tag must say it */
    settings.full_scale_turn = count % 2 == 0 ? 34.9 : 0.0;
    settings.rows_max = 100000;
    fuzz_log(bytes, count, &settings);
    return 0;
}
