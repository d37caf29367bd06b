/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A logger that stands still: one reading, over and over. It would pass for a bar that rests; what it really
 * is is a gap.
 */
#include "import/stream.h"

#include "barplumb/units.h"

#include <math.h>

/* Three axes together repeat in a fifth of readings at worst, on a grid of up to 2.5 times the least noise of
 * a phone's sensor (60 µg/√Hz: component data sheets): twelve times in a row in one log of a hundred
 * thousand. On a coarser grid repeats are natural. */
enum { READINGS_LEAST = 12, NAMED_MOST = 3, SHARE_MOST = 5 };
static const double frozen_least_s = 0.1;
static const double quietest_density = 60e-6 * BP_STANDARD_GRAVITY; /* m/s^2/√Hz */
static const double telling_steps = 2.5;

static bool repeats(const struct bp_stream *s, size_t i)
{
    return s->value[0][i] == s->value[0][i - 1] && s->value[1][i] == s->value[1][i - 1] &&
           s->value[2][i] == s->value[2][i - 1];
}

/* The reading behind the run of equal ones that begins at i. */
static size_t run_end(const struct bp_stream *s, size_t i)
{
    size_t end = i + 1;
    while (end < s->count && repeats(s, end)) {
        end++;
    }
    return end;
}

static bool is_frozen(const struct bp_stream *s, size_t first, size_t end)
{
    return end - first > READINGS_LEAST && s->time[end - 1] - s->time[first] >= frozen_least_s;
}

/* Of all logs most hold none. Every READINGS_LEAST-th reading is looked at: a run that is long enough repeats
 * itself at one of them. */
static size_t count_frozen(const struct bp_stream *s)
{
    size_t frozen = 0;
    for (size_t i = READINGS_LEAST, end; i < s->count; i = end + READINGS_LEAST - end % READINGS_LEAST) {
        size_t first = i;
        end = i;
        if (!repeats(s, i)) {
            continue;
        }
        end = run_end(s, i);
        while (first > 0 && repeats(s, first)) {
            first--;
        }
        frozen += is_frozen(s, first, end) ? end - first - 1 : 0;
    }
    return frozen;
}

static void keep(struct bp_stream *s, size_t from, size_t to)
{
    s->time[to] = s->time[from];
    s->marks[to] = s->marks[from];
    for (size_t a = 0; a < s->width; a++) {
        s->value[a][to] = s->value[a][from];
    }
}

void bp_import_drop_frozen(struct bp_importer *im, struct bp_stream *s, double grid)
{
    double rate_hz = (double)(s->count - 1) / (s->time[s->count - 1] - s->time[0]);
    size_t kept = 0, spells = 0, frozen = count_frozen(s);
    char number[BP_NUMBER_TEXT];
    if (frozen == 0 || frozen * SHARE_MOST > s->count ||
        grid > telling_steps * quietest_density * sqrt(rate_hz / 2)) {
        return; /* of a log that is frozen for long, the check says so */
    }
    for (size_t i = 0, end; i < s->count; i = end) {
        end = run_end(s, i);
        bool gone = is_frozen(s, i, end);
        if (gone && ++spells <= NAMED_MOST) {
            bp_findings_add(im->findings, "frozen", BP_RESERVATION, s->time[i],
                            "the log repeats one reading for %s s from here; it is taken for a gap",
                            bp_import_number(s->time[end - 1] - s->time[i], number));
        }
        for (size_t k = i; k < (gone ? i + 1 : end); k++) {
            keep(s, k, kept++);
        }
    }
    s->count = kept;
    if (spells > NAMED_MOST) {
        bp_findings_add(im->findings, "frozen", BP_RESERVATION, (double)NAN, "%zu more such stretches",
                        spells - NAMED_MOST);
    }
}
