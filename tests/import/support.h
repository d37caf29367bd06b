/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the import tests share: one import at a time, and the invented motion that the layout fixtures hold.
 */
#ifndef BARPLUMB_TESTS_IMPORT_SUPPORT_H
#define BARPLUMB_TESTS_IMPORT_SUPPORT_H

#include "barplumb/import.h"
#include "barplumb/text.h"

struct imported {
    struct bp_arena arena;
    struct bp_import_settings settings; /* the defaults until a test changes them */
    struct bp_trace trace;
    struct bp_error error;
    enum bp_code code;
};

/* cmocka setup and teardown: *state is a struct imported. */
int support_setup(void **state);
int support_teardown(void **state);

/* Import into state; the trace is filled with rubbish before, so that nothing stale can pass. Returns the
 * code. support_file's name is relative to fixtures/layouts. */
enum bp_code support_file(struct imported *in, const char *name);
enum bp_code support_path(struct imported *in, const char *path);
enum bp_code support_text(struct imported *in, const char *text);
enum bp_code support_bytes(struct imported *in, const char *bytes, size_t count);

/* Asserts that the import failed with code, at line and column (0: not asserted), that the text holds part
 * (NULL: not asserted), and that the trace is unusable. */
void support_refused(const struct imported *in, enum bp_code code, size_t line, size_t column,
                     const char *part);

/* Asserts the guarantees of trace.h. */
void support_sound_trace(const struct bp_trace *trace);

/* The finding of that code, NULL if there is none. */
const struct bp_finding *support_finding(const struct bp_trace *trace, const char *code);

/* The invented motion: specific force (m/s^2) and rate of turn (rad/s) at t. gravity false: without it. */
void motion_force(double t, bool gravity, double out[3]);
void motion_turn(double t, double out[3]);

/* Asserts count samples at rate_hz whose force is sign * the motion's within tolerance; t0 is the motion's
 * time at the first sample. */
void support_moves(const struct bp_trace *trace, size_t count, double rate_hz, double t0, double sign,
                   double tolerance);
/* The same for the gyroscope, on the trace's own times. */
void support_turns(const struct bp_trace *trace, double t0, double tolerance);

/* A log text in the making: rows "t,x,y,z" at rate_hz of the invented motion. */
void text_row(struct bp_text *text, double t, int decimals);
void text_motion(struct bp_text *text, const char *header, size_t rows, double rate_hz);

#endif
