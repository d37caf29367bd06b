/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/doubts.h"

#include "barplumb/text.h"

/* From the lockout before it to its own, or to where the bar came down again. */
static struct bp_doubt span_of(const struct bp_rep *rep, const double *time_s)
{
    return (struct bp_doubt){time_s[rep->has_before ? rep->top_before : rep->bottom],
                             time_s[rep->has_after ? rep->bottom_after : rep->top]};
}

void bp_doubts_mark(const struct bp_doubts *doubts, const double *time_s, struct bp_reps *reps)
{
    for (size_t r = 0; r < reps->count; r++) {
        struct bp_doubt span = span_of(&reps->list[r], time_s);
        for (size_t d = 0; d < doubts->count; d++) {
            const struct bp_doubt *doubt = &doubts->list[d];
            reps->list[r].spoilt |= doubt->from_s <= span.to_s && doubt->to_s >= span.from_s;
        }
    }
}

/* Between the sound reps on either side, or from and to the ends of the log. */
static struct bp_doubt widened(const struct bp_doubt *doubt, const double *time_s, size_t count,
                               const struct bp_reps *reps)
{
    struct bp_doubt spell = {time_s[0], time_s[count - 1]};
    for (size_t r = 0; r < reps->count; r++) {
        struct bp_doubt span = span_of(&reps->list[r], time_s);
        if (reps->list[r].spoilt) {
            continue;
        }
        if (span.to_s < doubt->from_s) {
            spell.from_s = span.to_s;
        } else if (span.from_s < spell.to_s) {
            spell.to_s = span.from_s;
        }
    }
    return spell;
}

/* Each spell between two sound reps once. why: what is the matter between the two. */
static void report(const struct bp_doubts *doubts, const char *why, const double *time_s, size_t count,
                   const struct bp_reps *reps, struct bp_summary *summary)
{
    struct bp_doubts *spells = &summary->doubts;
    for (size_t d = 0; d < doubts->count; d++) {
        struct bp_doubt spell = widened(&doubts->list[d], time_s, count, reps);
        bool known = false;
        for (size_t s = 0; s < spells->count; s++) {
            known = known || spells->list[s].from_s == spell.from_s;
        }
        if (known || spells->count == BP_DOUBTS_MAX) { /* no sound rep lies between the two */
            continue;
        }
        spells->list[spells->count++] = spell;
        char to[40];
        bp_number_write(spell.to_s, 2, to, sizeof to);
        bp_findings_add(&summary->findings, "reps-doubtful", BP_RESERVATION, spell.from_s,
                        "between here and %s s %s", to, why);
    }
}

void bp_doubts_report(const struct bp_doubts *doubts, const double *time_s, size_t count,
                      const struct bp_reps *reps, struct bp_summary *summary)
{
    report(doubts, "a part is spoilt: reps in it are not measured, and may be missing, or too many", time_s,
           count, reps, summary);
}

void bp_doubts_report_uncounted(const struct bp_doubts *uncounted, const double *time_s, size_t count,
                                const struct bp_reps *reps, struct bp_summary *summary)
{
    report(uncounted, "the bar rose as in a rep, and no rep could be told there: reps may be missing", time_s,
           count, reps, summary);
}
