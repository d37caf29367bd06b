/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A text log. Where the bytes begin with a '!', the first line is `!COLUMNS|UNITS|RATE`, as --columns,
 * --units and
 * --rate say them, and the log stands behind it.
 */
#include "fuzz/fuzz.h"

#include "barplumb/import.h"

#include <stdlib.h>
#include <string.h>

struct options {
    char line[256];
    struct bp_import_settings settings;
};

/* Bytes taken off the log. */
static size_t take_options(const uint8_t *bytes, size_t count, struct options *o)
{
    o->settings = bp_import_defaults;
    const uint8_t *end = count > 0 && bytes[0] == '!' ? memchr(bytes, '\n', count) : NULL;
    size_t length = end != NULL ? (size_t)(end - bytes) - 1 : 0;
    if (end == NULL || length >= sizeof o->line) {
        return 0;
    }
    memcpy(o->line, bytes + 1, length);
    o->line[length] = '\0';
    char *units = strchr(o->line, '|'), *rate = units != NULL ? strchr(units + 1, '|') : NULL;
    o->settings.columns = o->line;
    if (units != NULL) {
        *units = '\0';
        o->settings.units = units + 1;
    }
    if (rate != NULL) {
        *rate = '\0';
        bp_number_read(rate + 1, strlen(rate + 1), '.', &o->settings.rate_hz);
    }
    o->settings.columns = o->line[0] != '\0' ? o->line : NULL;
    return length + 2;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t count)
{
    struct options options;
    struct bp_arena arena;
    struct bp_trace trace;
    struct bp_error error;
    size_t taken = take_options(bytes, count, &options);
    bp_arena_init(&arena);
    enum bp_code code = bp_import_csv_bytes("fuzz", (const char *)bytes + taken, count - taken,
                                            &options.settings, &arena, &trace, &error);
    if (code == BP_OK) {
        fuzz_require_trace(&trace);
        fuzz_check(&trace, &arena);
    } else {
        fuzz_require_refusal(code, &error);
        fuzz_require(trace.count == 0, "a refused log leaves no trace");
    }
    bp_arena_free(&arena);
    return 0;
}
