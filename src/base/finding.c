/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/finding.h"

#include "base/plain.h"

#include <stdarg.h>

void bp_findings_add(struct bp_findings *findings, const char *code, enum bp_severity severity, double at_s,
                     const char *format, ...)
{
    if (findings->count >= BP_FINDINGS_MAX) {
        findings->dropped++;
        return;
    }
    struct bp_finding *finding = &findings->list[findings->count++];
    finding->code = code;
    finding->severity = severity;
    finding->at_s = at_s;
    va_list arguments;
    va_start(arguments, format);
    bp_plain_format(finding->text, sizeof finding->text, format, arguments);
    va_end(arguments);
}

enum bp_severity bp_findings_worst(const struct bp_findings *findings)
{
    enum bp_severity worst = BP_NOTE;
    for (size_t i = 0; i < findings->count; i++) {
        if (findings->list[i].severity > worst) {
            worst = findings->list[i].severity;
        }
    }
    return worst;
}

const char *bp_severity_name(enum bp_severity severity)
{
    switch (severity) {
    case BP_NOTE:
        return "note";
    case BP_RESERVATION:
        return "reservation";
    case BP_REFUSAL:
        return "refusal";
    }
    return "unknown";
}
