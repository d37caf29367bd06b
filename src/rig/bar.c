/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * [rig], [bar] and [stock]: names, masses, heights.
 */
#include "rig/parts.h"

#include <math.h>
#include <string.h>

enum { PLATES_OWNED_MAX = 1000 };

static const struct bp_rule rule_bar = {BP_UNIT_MASS, {1.0, 1.0}, 100.0, "100 kg", false, false};
static const struct bp_rule rule_collars = {BP_UNIT_MASS, {1.0, 1.0}, 20.0, "20 kg", true, false};
static const struct bp_rule rule_plates = {BP_UNIT_MASS, {1.0, 1.0}, 1000.0, "1000 kg", true, false};
static const struct bp_rule rule_one_plate = {BP_UNIT_MASS, {1.0, 1.0}, 100.0, "100 kg", false, true};

enum bp_code bp_rig_take_rig(const struct bp_rig_file *file, const struct bp_rig_section *section,
                             struct bp_rig *rig)
{
    static const enum bp_matched places[] = {BP_MATCHED_BOTTOM, BP_MATCHED_BOTTOM, BP_MATCHED_HALFWAY,
                                             BP_MATCHED_LOCKOUT};
    const struct bp_rig_field name = bp_rig_field(file, section, BP_KEY_NAME);
    const struct bp_rig_field matched = bp_rig_field(file, section, BP_KEY_MATCHED);
    const char *text = bp_rig_entry(&name)->value;
    if (text != NULL) {
        size_t length = strlen(text);
        if (length >= BP_RIG_NAME) {
            return bp_rig_fail(&name, NULL, BP_ERR_LIMIT, "a name has at most 63 bytes");
        }
        for (size_t i = 0; i < length; i++) {
            rig->name[i] = text[i] == '\n' ? ' ' : text[i];
        }
    }
    size_t choice = 0;
    enum bp_code code = bp_value_word(&matched, "bottom|chest|halfway|lockout", &choice);
    if (code == BP_OK && bp_rig_given(section, BP_KEY_MATCHED)) {
        rig->matched = places[choice];
    }
    return code;
}

/* Takes "4 x" off the front of *span. False: there is no such thing there, *span as it was. */
static bool take_times(struct bp_span *span, struct bp_span *number)
{
    static const char *const signs[] = {"x", "X", "*", "\xC3\x97"};
    const char *c = span->at;
    while (c < span->end && *c >= '0' && *c <= '9') {
        c++;
    }
    struct bp_span rest = bp_span_of(c, span->end);
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
        size_t n = strlen(signs[i]);
        if (c > span->at && (size_t)(rest.end - rest.at) >= n && memcmp(rest.at, signs[i], n) == 0) {
            *number = bp_span_of(span->at, c);
            *span = bp_span_of(rest.at + n, rest.end);
            return true;
        }
    }
    return false;
}

static struct bp_span list_of(const struct bp_rig_field *field)
{
    const char *value = bp_rig_entry(field)->value;
    return bp_span_of(value, value != NULL ? value + strlen(value) : NULL);
}

/* "4 x 20 kg, 2 x 5 kg", or the plates' mass in all. Plates of one kind are off together, kinds apart. */
static enum bp_code take_plates_on(const struct bp_rig_field *field, struct bp_measured *plates)
{
    struct bp_span rest = list_of(field);
    struct bp_span piece = rest;
    bool any = false;
    while (bp_span_next(&rest, &piece)) {
        size_t times = 1;
        struct bp_span number;
        struct bp_measured one = {0.0, 0.0};
        enum bp_code code = take_times(&piece, &number)
                                ? bp_value_count_span(field, number, PLATES_OWNED_MAX, &times)
                                : BP_OK;
        code = code != BP_OK ? code : bp_value_span(field, piece, &rule_plates, &one);
        if (code != BP_OK) {
            return code;
        }
        one.value *= (double)times;
        one.sd *= (double)times;
        plates->sd = bp_measured_sd(*plates, one);
        plates->value += one.value;
        any = true;
    }
    if (bp_rig_entry(field)->value != NULL && !any) {
        return bp_rig_fail(field, NULL, BP_ERR_NUMBER, "a number is missing");
    }
    if (plates->value > rule_plates.most) {
        return bp_rig_fail(field, NULL, BP_ERR_ARGUMENT, "all plates are more than %s",
                           rule_plates.most_text);
    }
    return BP_OK;
}

enum bp_code bp_rig_take_bar(const struct bp_rig_file *file, const struct bp_rig_section *section,
                             struct bp_rig *rig)
{
    const struct bp_rig_field mass = bp_rig_field(file, section, BP_KEY_MASS);
    const struct bp_rig_field collars = bp_rig_field(file, section, BP_KEY_COLLARS);
    const struct bp_rig_field plates = bp_rig_field(file, section, BP_KEY_PLATES);
    const struct bp_rig_field bottom = bp_rig_field(file, section, BP_KEY_BOTTOM);
    const struct bp_rig_field lockout = bp_rig_field(file, section, BP_KEY_LOCKOUT);
    struct bp_measured both_collars = {0.0, 0.0};
    enum bp_code code = bp_value_measured(&mass, &rule_bar, true, &rig->bar_kg);
    code = code != BP_OK ? code : bp_value_measured(&collars, &rule_collars, false, &both_collars);
    code = code != BP_OK ? code : take_plates_on(&plates, &rig->plates_kg);
    code = code != BP_OK ? code : bp_value_measured(&bottom, &bp_rule_height, false, &rig->bottom_m);
    code = code != BP_OK ? code : bp_value_measured(&lockout, &bp_rule_height, false, &rig->lockout_m);
    if (code != BP_OK) {
        return code;
    }
    rig->bar_kg.sd = bp_measured_sd(rig->bar_kg, both_collars);
    rig->bar_kg.value += both_collars.value;
    if (rig->bottom_m.value >= rig->lockout_m.value) { /* false while one is not said: NaN */
        return bp_rig_fail(&lockout, NULL, BP_ERR_ARGUMENT, "lockout is not above the bottom");
    }
    return BP_OK;
}

static enum bp_code take_plate(const struct bp_rig_field *field, struct bp_span piece, struct bp_rig *rig)
{
    struct bp_span number;
    struct bp_span all = piece;
    struct bp_measured one = {0.0, 0.0};
    size_t owned = 0;
    if (!take_times(&piece, &number)) {
        return bp_rig_fail(field, all.at, BP_ERR_FORMAT, "'%.*s': write how many of which, as 4 x 20 kg",
                           bp_span_shown(all), all.at);
    }
    enum bp_code code = bp_value_count_span(field, number, PLATES_OWNED_MAX, &owned);
    code = code != BP_OK ? code : bp_value_span(field, piece, &rule_one_plate, &one);
    if (code != BP_OK) {
        return code;
    }
    for (size_t i = 0; i < rig->plate_count; i++) {
        if (rig->plates[i].kg == one.value) {
            return bp_rig_fail(field, all.at, BP_ERR_ARGUMENT, "'%.*s': plates of that mass are listed twice",
                               bp_span_shown(all), all.at);
        }
    }
    if (rig->plate_count == BP_PLATES_MAX) {
        return bp_rig_fail(field, all.at, BP_ERR_LIMIT, "a stock has at most 16 kinds of plate");
    }
    rig->plates[rig->plate_count++] = (struct bp_plate){one.value, owned};
    return BP_OK;
}

enum bp_code bp_rig_take_stock(const struct bp_rig_file *file, const struct bp_rig_section *section,
                               struct bp_rig *rig)
{
    const struct bp_rig_field plates = bp_rig_field(file, section, BP_KEY_PLATES);
    struct bp_span rest = list_of(&plates);
    struct bp_span piece = rest;
    enum bp_code code = BP_OK;
    while (code == BP_OK && bp_span_next(&rest, &piece)) {
        code = take_plate(&plates, piece, rig);
    }
    if (code == BP_OK && rig->plate_count == 0) {
        code =
            bp_rig_fail(&plates, NULL, BP_ERR_FORMAT, "write the gym's plates here, as 4 x 20 kg, 2 x 5 kg");
    }
    return code;
}
