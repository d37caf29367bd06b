/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Runs one function of src/shake on what stands on standard input and writes its result to standard output,
 * both as raw doubles, for spectrum_against_scipy.py. Exit status 2 for a bad call, 1 for a failed one.
 */
#include "barplumb/spectrum.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { COUNT_MAX = 1 << 20, ARGUMENTS_MAX = 4 };

struct call {
    double argument[ARGUMENTS_MAX];
    double *x, *out;
    size_t count;
    struct bp_arena arena;
};

/* Each writes to call->out and returns how many doubles it wrote, 0 when it failed. */
typedef size_t action(struct call *call);

static size_t put_section(struct call *call, struct bp_biquad section)
{
    const double five[5] = {section.b0, section.b1, section.b2, section.a1, section.a2};
    memcpy(call->out, five, sizeof five);
    return 5;
}

static size_t run_lowpass(struct call *call)
{
    return put_section(call, bp_biquad_lowpass(call->argument[0], call->argument[1], (int)call->argument[2]));
}

static size_t run_highpass(struct call *call)
{
    return put_section(call,
                       bp_biquad_highpass(call->argument[0], call->argument[1], (int)call->argument[2]));
}

/* The reach, then the filtered record. */
static size_t run_both_ways(struct call *call)
{
    struct bp_biquad section = bp_biquad_lowpass(call->argument[0], call->argument[1], 2);
    bp_biquad_both_ways(&section, call->x, call->count);
    call->out[0] = (double)bp_biquad_reach(&section);
    memcpy(call->out + 1, call->x, call->count * sizeof(double));
    return call->count + 1;
}

/* The band, its integral and its double integral, one after the other. */
static size_t run_band(struct call *call)
{
    struct bp_band_settings band = {call->argument[0], call->argument[1], (int)call->argument[2]};
    double *out[3] = {call->out, call->out + call->count, call->out + 2 * call->count};
    enum bp_code code = bp_band_filter(call->x, call->count, call->argument[3], &band, &call->arena, out);
    return code == BP_OK ? 3 * call->count : 0;
}

static size_t run_welch(struct call *call)
{
    size_t segment = (size_t)call->argument[1];
    enum bp_code code =
        bp_welch_density(call->x, call->count, call->argument[0], segment, &call->arena, call->out);
    return code == BP_OK ? segment / 2 + 1 : 0;
}

static size_t run_smoothness(struct call *call)
{
    call->out[0] = bp_spectral_arc_length(call->x, call->count, call->argument[0], &call->arena);
    return 1;
}

static size_t run_dominant(struct call *call)
{
    call->out[0] = bp_dominant_frequency(call->x, call->count, call->argument[0], call->argument[1],
                                         call->argument[2], &call->arena);
    return 1;
}

/* All of x, then all of y. */
static size_t run_ellipse(struct call *call)
{
    call->out[0] = bp_ellipse_area(call->x, call->x + call->count / 2, call->count / 2);
    return 1;
}

static action *action_named(const char *name)
{
    static const struct {
        const char *name;
        action *run;
    } table[] = {{"lowpass", run_lowpass},   {"highpass", run_highpass}, {"both-ways", run_both_ways},
                 {"band", run_band},         {"welch", run_welch},       {"smoothness", run_smoothness},
                 {"dominant", run_dominant}, {"ellipse", run_ellipse}};
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        if (strcmp(name, table[i].name) == 0) {
            return table[i].run;
        }
    }
    return NULL;
}

int main(int argc, char **argv)
{
    action *run = argc < 2 || argc > 2 + ARGUMENTS_MAX ? NULL : action_named(argv[1]);
    if (run == NULL) {
        fputs("usage: spectrum_driver ACTION [NUMBER]… <doubles >doubles\n", stderr);
        return 2;
    }
    struct call call = {.count = 0};
    for (int i = 2; i < argc; i++) {
        call.argument[i - 2] = strtod(argv[i], NULL);
    }
    bp_arena_init(&call.arena);
    call.x = bp_arena_doubles(&call.arena, COUNT_MAX);
    call.out = bp_arena_doubles(&call.arena, (size_t)3 * COUNT_MAX + 1);
    size_t written = 0;
    if (call.x != NULL && call.out != NULL) {
        call.count = fread(call.x, sizeof(double), COUNT_MAX, stdin);
        written = run(&call);
        written = fwrite(call.out, sizeof(double), written, stdout) == written ? written : 0;
    }
    bp_arena_free(&call.arena);
    return written > 0 ? 0 : 1;
}
