/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/rig: values of keys as numbers, lists and words.
 */
#ifndef BARPLUMB_RIG_VALUE_H
#define BARPLUMB_RIG_VALUE_H

#include "rig/place.h"
#include "rig/unit.h"

/* A piece of a key's value, blanks at its ends left out. */
struct bp_span {
    const char *at, *end;
};

struct bp_span bp_span_of(const char *at, const char *end);
static inline bool bp_span_empty(struct bp_span span)
{
    return span.at >= span.end;
}

/* How many bytes of the span go into an error's text, for "%.*s". */
int bp_span_shown(struct bp_span span);

/* Takes the next piece of a list off *rest: pieces are parted by commas or line ends, empty ones left out.
 * False when there is none. */
bool bp_span_next(struct bp_span *rest, struct bp_span *piece);

/* Is there a ± in it? */
bool bp_span_has_give(struct bp_span span);

#define BP_HALF_WIDTH_SD 1.96 /* a 95 % half-width in standard deviations of a normal */

/* What a number may be. */
struct bp_rule {
    enum bp_unit_kind unit_kind;
    struct bp_unit bare;   /* the unit of a number without one */
    double most;           /* in SI */
    const char *most_text; /* as people would write it */
    bool zero;             /* may be 0 */
    bool exact;            /* takes no ± */
};

/* Reads "3.8 kg/m ± 0.1": a number with unit and ± as rule allows. Errors: NUMBER, UNITS, ARGUMENT. */
enum bp_code bp_value_span(const struct bp_rig_field *field, struct bp_span span, const struct bp_rule *rule,
                           struct bp_measured *value);

/* The same of the field's whole value. A key that was not given leaves *value as it is; if `required`, it is
 * an error (FORMAT). */
enum bp_code bp_value_measured(const struct bp_rig_field *field, const struct bp_rule *rule, bool required,
                               struct bp_measured *value);

/* A whole number from 1 to most. Leaves *value as it is when the key was not given. */
enum bp_code bp_value_count_span(const struct bp_rig_field *field, struct bp_span span, size_t most,
                                 size_t *value);
enum bp_code bp_value_count(const struct bp_rig_field *field, size_t most, size_t *value);

/* Which of the words the value is, "both|left|right", its position in *choice. Leaves *choice as it is when
 * the key was not given. */
enum bp_code bp_value_word(const struct bp_rig_field *field, const char *words, size_t *choice);

/* One of the plain keys of a section, as a field. */
static inline struct bp_rig_field bp_rig_field(const struct bp_rig_file *file,
                                               const struct bp_rig_section *section, enum bp_rig_key key)
{
    struct bp_rig_field field = {file, section, key};
    return field;
}

/* sd of a sum of two independent values. */
double bp_measured_sd(struct bp_measured a, struct bp_measured b);

extern const struct bp_rule bp_rule_height; /* above the floor, as the bar's own */

/* "both|left|right", "single|doubled", "count" and "own": what chains and bands have in common. */
struct bp_hung {
    size_t pieces, owned;
    enum bp_side side;
    bool doubled;
};
enum bp_code bp_value_hung(const struct bp_rig_file *file, const struct bp_rig_section *section,
                           struct bp_hung *hung);

#endif
