/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rig/value.h"

#include "barplumb/text.h"

#include <math.h>
#include <string.h>

enum { SHOWN_MAX = 40, PIECES_MAX = 50, OWNED_MAX = 1000 };

/* A bar that is lifted by somebody standing: 2.6 m overhead, and some to spare. */
const struct bp_rule bp_rule_height = {BP_UNIT_LENGTH, {1.0, 100.0}, 4.0, "4 m", false, false};

/* ---- spans ---- */

/* Bytes of the blank at c, before end; U+00A0 is what phones put between a number and its unit. */
static size_t blank_at(const char *c, const char *end)
{
    if (*c == ' ' || *c == '\t' || *c == '\n') {
        return 1;
    }
    return end - c >= 2 && c[0] == '\xC2' && c[1] == '\xA0' ? 2 : 0;
}

struct bp_span bp_span_of(const char *at, const char *end)
{
    struct bp_span span = {at, end};
    while (span.at < span.end && blank_at(span.at, span.end) > 0) {
        span.at += blank_at(span.at, span.end);
    }
    for (;;) {
        size_t left = (size_t)(span.end - span.at);
        if (left >= 1 && blank_at(span.end - 1, span.end) == 1) {
            span.end--;
        } else if (left >= 2 && blank_at(span.end - 2, span.end) == 2) {
            span.end -= 2;
        } else {
            return span;
        }
    }
}

int bp_span_shown(struct bp_span span)
{
    size_t length = (size_t)(span.end - span.at);
    return (int)(length < SHOWN_MAX ? length : SHOWN_MAX);
}

bool bp_span_next(struct bp_span *rest, struct bp_span *piece)
{
    while (!bp_span_empty(*rest)) {
        const char *c = rest->at;
        while (c < rest->end && *c != ',' && *c != '\n') {
            c++;
        }
        *piece = bp_span_of(rest->at, c);
        rest->at = c < rest->end ? c + 1 : c;
        if (!bp_span_empty(*piece)) {
            return true;
        }
    }
    return false;
}

static struct bp_span whole(const struct bp_rig_field *field)
{
    const char *value = bp_rig_entry(field)->value;
    return bp_span_of(value, value + strlen(value));
}

/* ---- a measured value ---- */

/* Where a ± begins in span, and how long it is; length 0: nowhere. */
static const char *find_plus_minus(struct bp_span span, size_t *length)
{
    static const char *const signs[] = {"\xC2\xB1", "+-", "+/-"};
    for (const char *c = span.at; c < span.end; c++) {
        for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
            size_t n = strlen(signs[i]);
            if ((size_t)(span.end - c) >= n && memcmp(c, signs[i], n) == 0) {
                *length = n;
                return c;
            }
        }
    }
    *length = 0;
    return span.end;
}

bool bp_span_has_give(struct bp_span span)
{
    size_t length = 0;
    (void)find_plus_minus(span, &length);
    return length > 0;
}

/* A number and the unit behind it, not yet looked up. */
struct amount {
    double number;
    struct bp_span unit; /* empty: none */
};

static enum bp_code read_amount(const struct bp_rig_field *field, struct bp_span span, struct amount *amount)
{
    size_t used = bp_number_read(span.at, (size_t)(span.end - span.at), '.', &amount->number);
    if (bp_span_empty(span)) {
        return bp_rig_fail(field, span.at, BP_ERR_NUMBER, "a number is missing");
    }
    if (used == 0) {
        return bp_rig_fail(field, span.at, BP_ERR_NUMBER, "'%.*s' is not a number", bp_span_shown(span),
                           span.at);
    }
    if (!isfinite(amount->number)) {
        return bp_rig_fail(field, span.at, BP_ERR_NUMBER, "'%.*s' is not a finite number",
                           bp_span_shown(span), span.at);
    }
    amount->unit = bp_span_of(span.at + used, span.end);
    if (!bp_span_empty(amount->unit) && *amount->unit.at == ',') {
        return bp_rig_fail(field, span.at, BP_ERR_NUMBER,
                           "'%.*s' has a comma: write the decimal mark as a point", bp_span_shown(span),
                           span.at);
    }
    return BP_OK;
}

static enum bp_code find_unit(const struct bp_rig_field *field, struct bp_span name, enum bp_unit_kind kind,
                              struct bp_unit *unit)
{
    if (bp_span_empty(name)) {
        return BP_OK;
    }
    if (memchr(name.at, '#', (size_t)(name.end - name.at)) != NULL) {
        return bp_rig_fail(field, name.at, BP_ERR_FORMAT, "a remark behind a value begins with ';', not '#'");
    }
    if (!bp_unit_find(kind, name.at, (size_t)(name.end - name.at), unit)) {
        return bp_rig_fail(field, name.at, BP_ERR_UNITS, "'%.*s' is not a unit here: write %s",
                           bp_span_shown(name), name.at, bp_unit_names(kind));
    }
    return BP_OK;
}

static bool is_percent(struct bp_span unit)
{
    return unit.end - unit.at == 1 && *unit.at == '%';
}

static enum bp_code check_range(const struct bp_rig_field *field, struct bp_span span,
                                const struct bp_rule *rule, const struct bp_measured *value,
                                double half_width)
{
    const char *problem = NULL;
    if (value->value < 0.0) {
        problem = "is negative";
    } else if (value->value == 0.0 && !rule->zero) {
        problem = "is not more than 0";
    } else if (half_width < 0.0) {
        problem = "has a negative ±";
    } else if (value->value > 0.0 && half_width >= value->value) {
        problem = "has a ± as large as itself";
    }
    if (problem != NULL) {
        return bp_rig_fail(field, span.at, BP_ERR_ARGUMENT, "'%.*s' %s", bp_span_shown(span), span.at,
                           problem);
    }
    if (value->value > rule->most || half_width > rule->most) {
        return bp_rig_fail(field, span.at, BP_ERR_ARGUMENT, "'%.*s' is more than %s", bp_span_shown(span),
                           span.at, rule->most_text);
    }
    return BP_OK;
}

enum bp_code bp_value_span(const struct bp_rig_field *field, struct bp_span span, const struct bp_rule *rule,
                           struct bp_measured *value)
{
    size_t sign = 0;
    const char *pm = find_plus_minus(span, &sign);
    struct amount amount = {0.0, {NULL, NULL}};
    struct amount give = {0.0, {NULL, NULL}}; /* the ± */
    enum bp_code code = read_amount(field, bp_span_of(span.at, pm), &amount);
    if (code == BP_OK && sign > 0 && rule->exact) {
        code =
            bp_rig_fail(field, pm, BP_ERR_FORMAT, "'%.*s': there is no ± here", bp_span_shown(span), span.at);
    }
    if (code == BP_OK && sign > 0) {
        code = read_amount(field, bp_span_of(pm + sign, span.end), &give);
    }
    bool percent = is_percent(give.unit);
    /* "3.8 ± 0.1 kg/m": one unit serves both. */
    struct bp_span own = bp_span_empty(amount.unit) && !percent ? give.unit : amount.unit;
    struct bp_unit unit = rule->bare;
    code = code != BP_OK ? code : find_unit(field, own, rule->unit_kind, &unit);
    struct bp_unit give_unit = unit;
    code = code != BP_OK || percent ? code : find_unit(field, give.unit, rule->unit_kind, &give_unit);
    if (code != BP_OK) {
        return code;
    }
    value->value = amount.number * unit.up / unit.down;
    double half_width =
        percent ? value->value * give.number / 100.0 : give.number * give_unit.up / give_unit.down;
    value->sd = half_width / BP_HALF_WIDTH_SD;
    return check_range(field, span, rule, value, half_width);
}

enum bp_code bp_value_measured(const struct bp_rig_field *field, const struct bp_rule *rule, bool required,
                               struct bp_measured *value)
{
    if (bp_rig_entry(field)->value != NULL) {
        return bp_value_span(field, whole(field), rule, value);
    }
    return required ? bp_rig_fail(field, NULL, BP_ERR_FORMAT, "this key is missing") : BP_OK;
}

/* ---- counts and words ---- */

enum bp_code bp_value_count_span(const struct bp_rig_field *field, struct bp_span span, size_t most,
                                 size_t *value)
{
    size_t n = 0;
    const char *c = span.at;
    for (; c < span.end && *c >= '0' && *c <= '9'; c++) {
        n = n > most ? n : 10 * n + (size_t)(*c - '0');
    }
    if (c != span.end || bp_span_empty(span)) {
        return bp_rig_fail(field, span.at, BP_ERR_NUMBER, "'%.*s' is not a whole number", bp_span_shown(span),
                           span.at);
    }
    if (n < 1 || n > most) {
        return bp_rig_fail(field, span.at, BP_ERR_ARGUMENT, "'%.*s' is not from 1 to %zu",
                           bp_span_shown(span), span.at, most);
    }
    *value = n;
    return BP_OK;
}

enum bp_code bp_value_count(const struct bp_rig_field *field, size_t most, size_t *value)
{
    return bp_rig_entry(field)->value == NULL ? BP_OK : bp_value_count_span(field, whole(field), most, value);
}

enum bp_code bp_value_word(const struct bp_rig_field *field, const char *words, size_t *choice)
{
    if (bp_rig_entry(field)->value == NULL) {
        return BP_OK;
    }
    struct bp_span span = whole(field);
    size_t length = (size_t)(span.end - span.at);
    size_t position = 0;
    for (const char *word = words; *word != '\0'; position++) {
        size_t n = strcspn(word, "|");
        size_t i = 0;
        while (i < n && i < length && (span.at[i] | 0x20) == word[i]) {
            i++;
        }
        if (n == length && i == n) {
            *choice = position;
            return BP_OK;
        }
        word += n + (word[n] == '|');
    }
    return bp_rig_fail(field, NULL, BP_ERR_ARGUMENT, "'%.*s' is none of %s", bp_span_shown(span), span.at,
                       words);
}

double bp_measured_sd(struct bp_measured a, struct bp_measured b)
{
    return sqrt(a.sd * a.sd + b.sd * b.sd);
}

enum bp_code bp_value_hung(const struct bp_rig_file *file, const struct bp_rig_section *section,
                           struct bp_hung *hung)
{
    const struct bp_rig_field count = bp_rig_field(file, section, BP_KEY_COUNT_OF);
    const struct bp_rig_field side = bp_rig_field(file, section, BP_KEY_SIDE);
    const struct bp_rig_field fold = bp_rig_field(file, section, BP_KEY_FOLD);
    const struct bp_rig_field own = bp_rig_field(file, section, BP_KEY_OWN);
    size_t which_side = 0;
    size_t which_fold = 0;
    *hung = (struct bp_hung){.pieces = 1};
    enum bp_code code = bp_value_count(&count, PIECES_MAX, &hung->pieces);
    code = code != BP_OK ? code : bp_value_word(&side, "both|left|right", &which_side);
    code = code != BP_OK ? code : bp_value_word(&fold, "single|doubled", &which_fold);
    code = code != BP_OK ? code : bp_value_count(&own, OWNED_MAX, &hung->owned);
    if (code != BP_OK) {
        return code;
    }
    static const enum bp_side sides[] = {BP_SIDE_BOTH, BP_SIDE_LEFT, BP_SIDE_RIGHT};
    hung->side = sides[which_side];
    hung->doubled = which_fold == 1;
    size_t hanging = hung->pieces * (hung->side == BP_SIDE_BOTH ? 2 : 1);
    if (hung->owned > 0 && hung->owned < hanging) {
        return bp_rig_fail(&own, NULL, BP_ERR_ARGUMENT, "%zu hang, and the gym owns %zu", hanging,
                           hung->owned);
    }
    return BP_OK;
}
