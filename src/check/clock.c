/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check/parts.h"

#include "barplumb/shake.h"

#include <math.h>

/* Ten readings a second put six into a quick drive of 0.6 s, and the smoother has nothing left to smooth. */
static const double rate_least_hz = 10;
/* Half of it must lie past where links ring, 15 Hz, by enough to hear them. */
static const double rate_good_hz = 50;

/* No rep with a still spell on either side is shorter. */
static const double duration_least_s = 2;

/* Bridging a gap by a straight line costs a'' dt³/12 of speed, a'' up to 360 D/T⁴ = 70 m/s⁴ in a smooth
 * drive of 0.4 m in 1.2 s: 0.006 m/s for this long a gap, what a figure may be off by anyway. */
static const double gap_harmless_s = 0.1;
static const double missing_share_most = 0.2; /* of the log's length; past it there is no set to speak of */
static const double gap_steps = 2.5;          /* as bp_clock counts them */
enum { GAPS_NAMED_MOST = 8 };
/* The smoother bridges shorter holes, and its intervals hold what a rep did in them (reps/find.c). */
static const double gap_bridged_s = 0.4;

/* One reading in ten lost makes two in a row lost every second at 100 Hz, and a still spell ends there. More
 * than a few at once is a gap. */
static const double lost_share_most = 0.1, lost_steps = 1.5, lost_steps_most = 5.5;

static const double jitter_share = 0.1;    /* of a step; worth a note */
static const double declared_share = 0.01; /* 1 % of rate is 1 % of every speed */

static void check_rate(double rate_hz, struct bp_findings *findings)
{
    double shake_whole_hz = BP_SHAKE_HIGH_HZ / BP_SHAKE_BAND_END;
    double clatter_least_hz = BP_CLATTER_RATE_FACTOR * BP_CLATTER_HZ;
    struct bp_digits rate_text = bp_digits(rate_hz, 1);
    const char *rate = rate_text.text;
    if (rate_hz < rate_least_hz) {
        bp_findings_add(findings, "too-slow", BP_REFUSAL, (double)NAN,
                        "%s readings a second are too few for any figure; %s is the least, 100 is good", rate,
                        bp_digits(rate_least_hz, 0).text);
    } else if (rate_hz < shake_whole_hz) {
        bp_findings_add(findings, "slow", BP_RESERVATION, (double)NAN,
                        "%s readings a second show shake up to %s Hz only, and no clatter; 100 is good", rate,
                        bp_digits(BP_SHAKE_BAND_END * rate_hz, 1).text);
    } else if (rate_hz < clatter_least_hz) {
        bp_findings_add(findings, "slow", BP_RESERVATION, (double)NAN,
                        "%s readings a second do not show clatter; 100 is good", rate);
    } else if (rate_hz < rate_good_hz) {
        bp_findings_add(findings, "slow", BP_RESERVATION, (double)NAN,
                        "%s readings a second show clatter up to %s Hz only; 100 is good", rate,
                        bp_digits(rate_hz / 2, 1).text);
    }
}

static void report_gap(double at_s, double missing_s, struct bp_findings *findings)
{
    bp_findings_add(findings, "gap", BP_RESERVATION, at_s,
                    "%s s of readings are missing here: a rep across it is not to be trusted",
                    bp_digits(missing_s, 2).text);
}

/* The gaps that were not named one by one. */
struct rest_of_gaps {
    size_t count;
    double missing_s, first_at_s, longest_s;
};

static void report_rest(const struct rest_of_gaps *rest, bool more, struct bp_findings *findings)
{
    if (rest->count > 0) {
        bp_findings_add(findings, "gaps", rest->longest_s > gap_harmless_s ? BP_RESERVATION : BP_NOTE,
                        rest->first_at_s, "%zu%s %s, %s s of readings in all, the longest %s s", rest->count,
                        more ? " more" : " short", rest->count == 1 ? "gap" : "gaps",
                        bp_digits(rest->missing_s, 2).text, bp_digits(rest->longest_s, 2).text);
    }
}

static void check_gaps(const struct bp_trace *trace, struct bp_check *check)
{
    struct rest_of_gaps rest = {0, 0, 0, 0};
    size_t named = 0;
    check->missing_s = 0;
    for (size_t i = 1; check->clock.gaps > 0 && i < trace->count; i++) {
        double step = trace->time_s[i] - trace->time_s[i - 1];
        if (step <= gap_steps * check->clock.step_s) {
            continue;
        }
        double missing_s = step - check->clock.step_s;
        check->missing_s += missing_s;
        if (missing_s > gap_bridged_s) {
            bp_check_doubt(check, trace->time_s[i - 1], trace->time_s[i]);
        }
        if (missing_s > gap_harmless_s && named < GAPS_NAMED_MOST) {
            report_gap(trace->time_s[i - 1], missing_s, &check->findings);
            named++;
            continue;
        }
        rest.first_at_s = rest.count == 0 ? trace->time_s[i - 1] : rest.first_at_s;
        rest.longest_s = fmax(rest.longest_s, missing_s);
        rest.missing_s += missing_s;
        rest.count++;
    }
    report_rest(&rest, named > 0, &check->findings);
    if (check->missing_s > missing_share_most * check->clock.duration_s) {
        bp_findings_add(&check->findings, "holes", BP_REFUSAL, (double)NAN,
                        "%s of %s s of readings are missing: too many for a set",
                        bp_digits(check->missing_s, 1).text, bp_digits(check->clock.duration_s, 1).text);
    }
}

/* Readings lost one by one leave no gap worth the name, but each breaks up a rest. */
static void check_losses(const struct bp_trace *trace, struct bp_check *check)
{
    double lost = 0;
    for (size_t i = 1; i < trace->count; i++) {
        double steps = (trace->time_s[i] - trace->time_s[i - 1]) / check->clock.step_s;
        lost += steps > lost_steps && steps < lost_steps_most ? round(steps) - 1 : 0;
    }
    double share = lost / (lost + (double)trace->count);
    if (share > lost_share_most) {
        bp_findings_add(
            &check->findings, "lossy", BP_RESERVATION, (double)NAN,
            "about %s %% of the readings are missing, here and there: rests are hard to tell, and "
            "figures less sure",
            bp_digits(100 * share, 0).text);
    }
}

static void check_evenness(const struct bp_trace *trace, struct bp_check *check)
{
    const struct bp_clock *clock = &check->clock;
    if (clock->jitter_s > jitter_share * clock->step_s) {
        bp_findings_add(&check->findings, "uneven", BP_NOTE, (double)NAN,
                        "readings come unevenly, %s ms apart, give or take %s; each one's own time is used",
                        bp_digits(1e3 * clock->step_s, 1).text, bp_digits(1e3 * clock->jitter_s, 1).text);
    }
    double declared_hz = trace->recognised.declared_rate_hz;
    if (declared_hz > 0 && fabs(declared_hz - clock->rate_hz) > declared_share * clock->rate_hz) {
        bp_findings_add(&check->findings, "declared-rate", BP_NOTE, (double)NAN,
                        "the log claims %s readings a second, its times say %s; the times are used",
                        bp_digits(declared_hz, 2).text, bp_digits(clock->rate_hz, 2).text);
    }
}

void bp_check_clock(const struct bp_trace *trace, struct bp_check *check)
{
    double new_hz = check->clock.rate_hz;
    if (check->repeated_share > BP_CHECK_REPEATED_SHARE_MOST) {
        new_hz *= 1 - check->repeated_share;
    }
    check_rate(new_hz, &check->findings);
    if (check->clock.duration_s < duration_least_s) {
        bp_findings_add(&check->findings, "too-short", BP_REFUSAL, (double)NAN,
                        "the log lasts %s s: no set is that short",
                        bp_digits(check->clock.duration_s, 2).text);
    }
    check_gaps(trace, check);
    check_losses(trace, check);
    check_evenness(trace, check);
}
