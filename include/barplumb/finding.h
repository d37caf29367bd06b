/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Findings: what a stage noticed about a log, in plain words, with the time it happened.
 */
#ifndef BARPLUMB_FINDING_H
#define BARPLUMB_FINDING_H

#include "barplumb/export.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum bp_severity {
    BP_NOTE,        /* worth knowing; no figure suffers */
    BP_RESERVATION, /* fit to use, but a figure is wider or missing because of it */
    BP_REFUSAL      /* not fit: no figure is given */
};

enum { BP_FINDING_TEXT = 200, BP_FINDINGS_MAX = 64 };

struct bp_finding {
    const char *code; /* constant, lower-case words with '-', e.g. "gap", "clipped"; stable for scripts */
    enum bp_severity severity;
    double at_s; /* seconds from the log's first sample; NaN: the whole log */
    char text[BP_FINDING_TEXT];
};

struct bp_findings {
    size_t count;
    size_t dropped; /* findings past BP_FINDINGS_MAX, counted but not kept */
    struct bp_finding list[BP_FINDINGS_MAX];
};

/* What the bar did from from_s to to_s is not known, or written otherwise than it was: readings are missing,
 * stood still, or were put in. Log seconds. */
struct bp_doubt {
    double from_s, to_s;
};

enum { BP_DOUBTS_MAX = 16 };

/* In no order. Where there were more than fit, the last takes in all the others. */
struct bp_doubts {
    size_t count;
    struct bp_doubt list[BP_DOUBTS_MAX];
};

/* Adds one; text is printf-formatted (write numbers with bp_number_write first: printf's %f follows the
 * locale) and cut to fit. code must outlive findings. */
#if defined(__GNUC__)
__attribute__((format(printf, 5, 6)))
#endif
BP_API void
bp_findings_add(struct bp_findings *findings, const char *code, enum bp_severity severity, double at_s,
                const char *format, ...);

/* The worst severity in the list, BP_NOTE when empty. */
BP_API enum bp_severity bp_findings_worst(const struct bp_findings *findings);

/* "note", "reservation", "refusal". */
BP_API const char *bp_severity_name(enum bp_severity severity);

#ifdef __cplusplus
}
#endif
#endif
