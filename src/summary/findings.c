/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/findings.h"
#include "barplumb/text.h"

#include <math.h>

static void lift_finding(const struct bp_analyse_settings *settings, struct bp_findings *findings)
{
    if (!settings->lift_given) {
        bp_findings_add(findings, "lift-assumed", BP_NOTE, (double)NAN,
                        "the lift was not named and is taken as %s; say --lift if it was another",
                        bp_lift_facts(settings->lift)->name);
    }
}

static void axis_finding(const struct bp_motion *motion, struct bp_findings *findings)
{
    if (!motion->along.known) {
        bool y = fabs(motion->along.axis[1]) > 0.5;
        bp_findings_add(
            findings, "axis-assumed", BP_RESERVATION, (double)NAN,
            "the bar rolled too little to show which way it lies in the phone; its long side (%s) "
            "is taken to lie along the bar, else say --along-bar",
            y ? "y" : "x");
    }
    if (!motion->trace->gyroscope) {
        bp_findings_add(
            findings, "no-gyroscope", BP_RESERVATION, (double)NAN,
            "no gyroscope: speeds are less sure, shake is apparent (tilt is in it), tilt and sway "
            "area are unknown");
    }
}

static void missed_findings(const struct bp_track *track, const struct bp_reps *reps,
                            struct bp_findings *findings)
{
    for (size_t r = 0; r < reps->count; r++) {
        if (reps->list[r].missed) {
            char reached[40];
            bp_number_write(100 * reps->list[r].reached, 0, reached, sizeof reached);
            bp_findings_add(findings, "missed", BP_NOTE, track->time_s[reps->list[r].bottom],
                            "rep %zu was missed: the bar came up %s %% of the way and went no further", r + 1,
                            reached);
        }
    }
}

static void cut_finding(const struct bp_motion *motion, const struct bp_reps *reps,
                        struct bp_findings *findings)
{
    if (reps->lost_in_gap > 0) {
        bp_findings_add(findings, "rep-in-gap", BP_RESERVATION, (double)NAN,
                        "%zu of the bar's strokes fall into a gap of the log and are not counted",
                        reps->lost_in_gap);
    }
    if (reps->cut_short) {
        bp_findings_add(findings, "cut-short", BP_NOTE, motion->trace->time_s[motion->trace->count - 1],
                        "the log ends in the middle of a rep, which is not counted");
    }
}

static void rack_finding(const struct bp_motion *motion, const struct bp_reps *reps,
                         struct bp_findings *findings)
{
    const struct bp_spells *still = &motion->still;
    const struct bp_rep *last = &reps->list[reps->count - 1];
    size_t end = last->has_after ? last->bottom_after : last->top;
    if (still->count == 0) {
        return; /* the check says so already */
    }
    if (still->list[still->count - 1].last <= end) {
        bp_findings_add(findings, "ends-early", BP_RESERVATION,
                        motion->trace->time_s[motion->trace->count - 1],
                        "the log ends before the bar is still again: let it run 3 s after racking");
    }
}

void bp_summary_findings(const struct bp_motion *motion, const struct bp_track *track,
                         const struct bp_reps *reps, const struct bp_analyse_settings *settings,
                         struct bp_findings *findings)
{
    lift_finding(settings, findings);
    axis_finding(motion, findings);
    missed_findings(track, reps, findings);
    cut_finding(motion, reps, findings);
    rack_finding(motion, reps, findings);
}
