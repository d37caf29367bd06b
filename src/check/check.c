/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/check.h"

#include "check/parts.h"

#include <math.h>
#include <string.h>

const struct bp_check_settings bp_check_defaults = {.latitude_deg = (double)NAN, .height_m = 0};

/* Where people lift, with room to spare. */
static const double height_least_m = -1000, height_most_m = 10000;

const char *bp_verdict_name(enum bp_verdict verdict)
{
    switch (verdict) {
    case BP_FIT:
        return "fit";
    case BP_FIT_WITH_RESERVATIONS:
        return "fit with reservations";
    case BP_NOT_FIT:
        return "not fit";
    }
    return "unknown";
}

static bool settings_in_range(const struct bp_check_settings *settings)
{
    return isnan(settings->latitude_deg) ||
           (fabs(settings->latitude_deg) <= 90 && settings->height_m >= height_least_m &&
            settings->height_m <= height_most_m);
}

static bool comes_before(const struct bp_finding *a, const struct bp_finding *b)
{
    if (a->severity != b->severity) {
        return a->severity > b->severity;
    }
    if (isnan(a->at_s) || isnan(b->at_s)) {
        return isnan(a->at_s) && !isnan(b->at_s); /* of the whole log: before those at a time */
    }
    return a->at_s < b->at_s;
}

/* Insertion: at most 64 findings, and equals keep their order. */
static void sort_findings(struct bp_findings *findings)
{
    for (size_t i = 1; i < findings->count; i++) {
        struct bp_finding moving = findings->list[i];
        size_t to = i;
        while (to > 0 && comes_before(&moving, &findings->list[to - 1])) {
            findings->list[to] = findings->list[to - 1];
            to--;
        }
        findings->list[to] = moving;
    }
}

/* What the check judges itself, from the marks and times the importer left; its word counts alone. */
static bool judged_here(const char *code)
{
    static const char *const codes[] = {"gap", "clipped", "gyro-clipped", "gravity-removed"};
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        if (strcmp(code, codes[i]) == 0) {
            return true;
        }
    }
    return false;
}

/* After the check's own, so that none of those is lost when the list is full. Returns the worst severity
 * of both, even of what no longer fits the list. */
static enum bp_severity add_importers(const struct bp_findings *theirs, struct bp_findings *findings)
{
    enum bp_severity worst = bp_findings_worst(findings);
    findings->dropped += theirs->dropped;
    for (size_t i = 0; i < theirs->count; i++) {
        const struct bp_finding *finding = &theirs->list[i];
        if (judged_here(finding->code)) {
            continue;
        }
        worst = finding->severity > worst ? finding->severity : worst;
        if (findings->count < BP_FINDINGS_MAX) {
            findings->list[findings->count++] = *finding;
        } else {
            findings->dropped++;
        }
    }
    return worst;
}

static enum bp_verdict verdict_of(enum bp_severity worst)
{
    switch (worst) {
    case BP_REFUSAL:
        return BP_NOT_FIT;
    case BP_RESERVATION:
        return BP_FIT_WITH_RESERVATIONS;
    case BP_NOTE:
    default:
        return BP_FIT;
    }
}

enum bp_code bp_check_trace(const struct bp_trace *trace, const struct bp_check_settings *settings,
                            struct bp_arena *arena, struct bp_check *check, struct bp_error *error)
{
    *check = (struct bp_check){.still_total_s = 0};
    settings = settings == NULL ? &bp_check_defaults : settings;
    if (!settings_in_range(settings)) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "latitude goes from -90 to 90 degrees and height from -1000 to 10000 m");
    }
    if (trace->count < 2) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "a trace to check holds at least two readings");
    }
    if (!bp_trace_clock(trace, arena, &check->clock)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while checking the log's clock");
    }
    enum bp_code code =
        bp_still_find(trace, &bp_still_defaults, arena, &check->still, &check->noise, NULL, error);
    if (code != BP_OK) {
        return code;
    }
    bp_check_expect_gravity(settings, &check->gravity_low, &check->gravity_high);
    bp_check_marked_doubts(trace, check);
    bp_check_axes(trace, check);
    bp_check_clock(trace, check);
    if (!bp_check_pace(trace, arena, check)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while checking the log's clock");
    }
    bp_check_rest(trace, check);
    if (!bp_check_steady(trace, arena, check)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while checking gravity");
    }
    bp_check_leaps(trace, check);
    if (!bp_check_turns(trace, arena, check) || !bp_check_turned(trace, arena, check)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while checking the gyroscope");
    }
    check->verdict = verdict_of(add_importers(&trace->findings, &check->findings));
    sort_findings(&check->findings);
    return BP_OK;
}
