/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A program of somebody else's: sees only the installed headers and library. Valid as C11 and as C++17, so
 * that the headers are tried in both languages.
 */
#include <barplumb/import.h>
#include <barplumb/text.h>

#include <stdio.h>
#include <string.h>

/* Ten samples at 100 Hz of a phone lying still, face up. */
static const char log_text[] = "t (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n"
                               "0.00,0.01,0.02,9.81\n0.01,0.02,0.01,9.80\n0.02,0.01,0.02,9.82\n"
                               "0.03,0.02,0.03,9.81\n0.04,0.00,0.02,9.79\n0.05,0.01,0.01,9.81\n"
                               "0.06,0.02,0.02,9.82\n0.07,0.01,0.03,9.80\n0.08,0.00,0.01,9.81\n"
                               "0.09,0.01,0.02,9.81\n";

int main(void)
{
    struct bp_arena arena;
    struct bp_trace trace;
    struct bp_error error;
    char number[40];

    bp_arena_init(&arena);
    bp_error_clear(&error);
    enum bp_code code = bp_import_csv_bytes("log.csv", log_text, strlen(log_text), &bp_import_defaults,
                                            &arena, &trace, &error);
    if (code != BP_OK) {
        fprintf(stderr, "import: %s: %s\n", bp_code_name(code), error.text);
        bp_arena_free(&arena);
        return 1;
    }
    bp_number_write(trace.time_s[trace.count - 1], 2, number, sizeof number);
    printf("%lu samples over %s s\n", (unsigned long)trace.count, number);
    bp_arena_free(&arena);
    return 0;
}
