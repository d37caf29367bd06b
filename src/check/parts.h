/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/check: the parts of a check. Each reads trace and what the parts before it left in check,
 * and adds its findings.
 */
#ifndef BARPLUMB_CHECK_PARTS_H
#define BARPLUMB_CHECK_PARTS_H

#include "barplumb/check.h"
#include "barplumb/text.h"

/* A number as text for a finding: `bp_digits(x, 1).text`. */
struct bp_digits {
    char text[40];
};

static inline struct bp_digits bp_digits(double value, int decimals)
{
    struct bp_digits digits;
    bp_number_write(value, decimals, digits.text, sizeof digits.text);
    return digits;
}

/* Three axes that repeat to the last digit: chance makes a fifth of readings do so at worst; past this share
 * it is the log that writes each one twice. */
#define BP_CHECK_REPEATED_SHARE_MOST 0.3

/* Notes that [from_s, to_s] is spoilt. */
void bp_check_doubt(struct bp_check *check, double from_s, double to_s);

/* What the importer marked as spoilt. */
void bp_check_marked_doubts(const struct bp_trace *trace, struct bp_check *check);

/* Sensors: clipping, stuck axes, readings that repeat, a coarse grid. Sets clipped, repeated_share, stuck;
 * needs clock and noise. */
void bp_check_axes(const struct bp_trace *trace, struct bp_check *check);

/* Time: rate, length, gaps, unevenness. Sets missing_s; needs clock and repeated_share. */
void bp_check_clock(const struct bp_trace *trace, struct bp_check *check);

/* What the still spells tell: gravity, bias, whether gyroscope and gravity agree. Sets still_total_s; needs
 * clock, noise, still and the expected length of gravity. */
void bp_check_rest(const struct bp_trace *trace, struct bp_check *check);

/* Gravity's length from rest to rest. False when memory is out. */
bool bp_check_steady(const struct bp_trace *trace, struct bp_arena *arena, struct bp_check *check);

/* Leaps from one reading to the next. Needs clock and noise. */
void bp_check_leaps(const struct bp_trace *trace, struct bp_check *check);

/* Whether readings begin to come at another pace. False when memory is out. */
bool bp_check_pace(const struct bp_trace *trace, struct bp_arena *arena, struct bp_check *check);

/* Whether the gyroscope turns gravity as the accelerometer sees it turn. False when memory is out. */
bool bp_check_turns(const struct bp_trace *trace, struct bp_arena *arena, struct bp_check *check);

/* Whether the phone turns as far as the gyroscope and the clock say, after bp_check_turns. False when memory
 * is out.
 */
bool bp_check_turned(const struct bp_trace *trace, struct bp_arena *arena, struct bp_check *check);

/* The length gravity may have. */
void bp_check_expect_gravity(const struct bp_check_settings *settings, double *low, double *high);

#endif
