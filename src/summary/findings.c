/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/findings.h"
#include "barplumb/text.h"
#include "barplumb/units.h"

#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdint.h>

/* No lifter pushes a loaded bar with this; within so long it is the same knock; so near the floor it is the
 * floor's. More than so many a rep are links landing, which clatter tells of. */
static const double HIT_M_S2 = 12, HIT_S = 0.2, FLOOR_S = 0.4, HITS_A_REP = 1;
/* From here on clatter shows in the speeds' intervals. */
static const double CLATTERING_M_S2 = 5;
/* A variance factor past this is no chance of a few residuals: its root is how much wider intervals are. */
static const double DISAGREES = 2.5;

/* Times the spread of ranges. With fewer reps there is no telling which is odd; of more the first are enough.
 */
static const double UNLIKE_SPREADS = 4;
enum { REPS_LEAST = 3, REPS_MOST = 64 };
/* A log goes on that is so much longer than the phone lay on the bar. Common practice, no source. */
static const double GOES_ON_S = 1;
static const double CM = 100;

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
        const double *axis = motion->along.axis; /* its largest component is positive */
        const char *name = axis[1] > axis[0] && axis[1] > axis[2] ? "y" : axis[0] > axis[2] ? "x" : "z";
        bp_findings_add(
            findings, "axis-assumed", BP_RESERVATION, (double)NAN,
            "the bar rolled too little to show plainly which way it lies in the phone; the phone's "
            "%s axis is taken to lie along the bar, else say --along-bar",
            name);
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
    if (!reps->cut_short) {
        return;
    }
    const double *t = motion->trace->time_s;
    double end_s = t[motion->trace->count - 1], on_bar_s = t[motion->on_bar.last];
    if (end_s - on_bar_s > GOES_ON_S) {
        bp_findings_add(
            findings, "cut-short", BP_RESERVATION, on_bar_s,
            "the phone turned over in the middle of a rep, as it does when it is taken off or falls, or when "
            "its axes are mixed up from there on: nothing after it is counted");
    } else {
        bp_findings_add(findings, "cut-short", BP_NOTE, end_s,
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

/* After the set the phone may lie otherwise than before. */
static void slip_finding(const struct bp_slip *slip, struct bp_findings *findings)
{
    if (slip->slipped) {
        char degrees[40];
        bp_number_write(fabs(slip->turned_rad) / BP_DEGREE, 1, degrees, sizeof degrees);
        bp_findings_add(
            findings, "slipped", BP_RESERVATION, slip->at_s,
            "after the set the phone lies %s degrees otherwise along the bar than before: it may have "
            "slipped; strap it tighter. Shake and sway are less sure, tilt is left out",
            degrees);
    }
}

/* The first sample from `from` on that is accelerated like nothing a lifter does; `to` if none is. */
static size_t next_hit(const struct bp_motion *motion, size_t from, size_t to)
{
    size_t i = from;
    for (; i < to; i++) {
        double square = 0;
        for (int a = 0; a < 3; a++) {
            double pushed = motion->trace->force[a][i] - BP_STANDARD_GRAVITY * motion->up[a][i];
            square += pushed * pushed;
        }
        if (square > HIT_M_S2 * HIT_M_S2) {
            break;
        }
    }
    return i;
}

/* Is the time near where this lift's bar meets the floor? */
static bool at_floor(const struct bp_motion *motion, const struct bp_reps *reps,
                     const struct bp_analyse_settings *settings, double t)
{
    const double *time = motion->trace->time_s;
    bool near = false;
    for (size_t r = 0; r < reps->count && bp_lift_facts(settings->lift)->from_floor; r++) {
        const struct bp_rep *rep = &reps->list[r];
        near = near || fabs(t - time[rep->bottom]) < FLOOR_S ||
               (rep->has_after && fabs(t - time[rep->bottom_after]) < FLOOR_S);
    }
    return near;
}

/* Knocks within the set: plates against the upright, hooks, a bar thrown down. */
static void hit_findings(const struct bp_motion *motion, const struct bp_reps *reps,
                         const struct bp_analyse_settings *settings, struct bp_findings *findings)
{
    const struct bp_trace *trace = motion->trace;
    const struct bp_rep *first = &reps->list[0];
    size_t start = first->has_before ? first->top_before : first->bottom;
    size_t end = reps->list[reps->count - 1].top, hits = 0;
    double at = (double)NAN;
    for (size_t i = next_hit(motion, start, end); i < end;) {
        double t = trace->time_s[i];
        if (!at_floor(motion, reps, settings, t)) {
            at = hits == 0 ? t : at;
            hits++;
        }
        while (i < end && trace->time_s[i] < t + HIT_S) {
            i++;
        }
        i = next_hit(motion, i, end);
    }
    if ((double)hits > HITS_A_REP * (double)reps->count) {
        return;
    }
    if (hits == 1) {
        bp_findings_add(findings, "hit", BP_NOTE, at, "the bar was struck within the set");
    } else if (hits > 1) {
        bp_findings_add(findings, "hit", BP_NOTE, at,
                        "the bar was struck %zu times within the set, here the first time", hits);
    }
}

static void clatter_finding(const struct bp_set_figures *set, struct bp_findings *findings)
{
    if (set->clatter_m_s2.value > CLATTERING_M_S2) {
        char clatter[40];
        bp_number_write(set->clatter_m_s2.value, 1, clatter, sizeof clatter);
        bp_findings_add(findings, "clattering", BP_RESERVATION, (double)NAN,
                        "the bar rang with %s m/s² rms (links, plates): every speed is less sure", clatter);
    }
}

static void agreement_finding(const struct bp_track *track, struct bp_findings *findings)
{
    if (track->variance_factor > DISAGREES) {
        char factor[40];
        bp_number_write(sqrt(track->variance_factor), 1, factor, sizeof factor);
        bp_findings_add(findings, "disagrees", BP_RESERVATION, (double)NAN,
                        "sensors and lift (level lockouts, a bar at rest) disagree %s times more than they "
                        "should; intervals are as much wider",
                        factor);
    }
}

/* Of spoilt reps another finding speaks. */
static void unsure_findings(const struct bp_summary *summary, const struct bp_reps *reps,
                            struct bp_findings *findings)
{
    for (size_t r = 0; r < summary->rep_count; r++) {
        const struct bp_rep_figures *rep = &summary->reps[r];
        if (!rep->missed && !reps->list[r].spoilt && !bp_quantity_known(rep->mean_velocity_m_s)) {
            bp_findings_add(findings, "rep-unsure", BP_RESERVATION, rep->turnaround_s,
                            "rep %zu cannot be measured: its speed could not be told from none", r + 1);
        }
    }
}

/* The median range of all complete reps that were measured; NaN where there are too few to tell which is odd.
 */
static double usual_range(const struct bp_summary *summary)
{
    double range[REPS_MOST];
    size_t count = 0;
    for (size_t r = 0; r < summary->rep_count && count < REPS_MOST; r++) {
        const struct bp_rep_figures *rep = &summary->reps[r];
        if (!rep->missed && isfinite(rep->range_m.value)) {
            range[count++] = rep->range_m.value;
        }
    }
    gsl_sort(range, 1, count);
    return count >= REPS_LEAST ? range[count / 2] : (double)NAN;
}

/* Reps of one set are alike: one that goes much less far, or further, was done otherwise, or the log is
 * wrong. */
static void unlike_findings(const struct bp_summary *summary, struct bp_findings *findings)
{
    double usual = usual_range(summary), spread = bp_reps_range_spread(summary->set.lift);
    for (size_t r = 0; r < summary->rep_count; r++) {
        const struct bp_quantity *range = &summary->reps[r].range_m;
        double off = fabs(range->value - usual), half = (range->high - range->low) / 2;
        if (!summary->reps[r].missed && off > UNLIKE_SPREADS * spread && off > half) {
            char is[40], others[40];
            bp_number_write(CM * range->value, 0, is, sizeof is);
            bp_number_write(CM * usual, 0, others, sizeof others);
            bp_findings_add(findings, "rep-unlike", BP_RESERVATION, summary->reps[r].turnaround_s,
                            "rep %zu went %s cm, the others about %s: it was done otherwise, or the log is "
                            "wrong there",
                            r + 1, is, others);
        }
    }
}

void bp_summary_findings(const struct bp_motion *motion, const struct bp_track *track,
                         const struct bp_reps *reps, const struct bp_slip *slip,
                         const struct bp_analyse_settings *settings, struct bp_summary *summary)
{
    struct bp_findings *findings = &summary->findings;
    lift_finding(settings, findings);
    axis_finding(motion, findings);
    missed_findings(track, reps, findings);
    cut_finding(motion, reps, findings);
    rack_finding(motion, reps, findings);
    slip_finding(slip, findings);
    hit_findings(motion, reps, settings, findings);
    clatter_finding(&summary->set, findings);
    agreement_finding(track, findings);
    unsure_findings(summary, reps, findings);
    unlike_findings(summary, findings);
}
