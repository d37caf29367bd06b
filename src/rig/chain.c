/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * [chain NAME]: what a metre weighs, said in one of three ways, and where the chain hangs.
 */
#include "rig/link.h"
#include "rig/parts.h"

#include <string.h>

static const struct bp_rule rule_line = {BP_UNIT_LINE, {1.0, 1.0}, 50.0, "50 kg/m", false, false};
static const struct bp_rule rule_piece = {BP_UNIT_MASS, {1.0, 1.0}, 500.0, "500 kg", false, false};
static const struct bp_rule rule_length = {BP_UNIT_LENGTH, {1.0, 100.0}, 20.0, "20 m", false, true};
static const struct bp_rule rule_leader = {BP_UNIT_LENGTH, {1.0, 100.0}, 4.0, "4 m", true, false};
static const struct bp_rule rule_link = {BP_UNIT_LENGTH, {1.0, 1000.0}, 0.5, "50 cm", false, true};

/* "13x36", with mm behind if you like: mm both. */
static enum bp_code read_size(const struct bp_rig_field *field, double *wire_mm, double *pitch_mm)
{
    const char *text = bp_rig_entry(field)->value;
    const char *end = text + strlen(text);
    const char *cross = strpbrk(text, "xX*");
    const char *behind = cross != NULL ? cross + 1 : NULL;
    if (cross == NULL && (cross = strstr(text, "\xC3\x97")) != NULL) {
        behind = cross + 2;
    }
    if (cross == NULL) {
        return bp_rig_fail(field, NULL, BP_ERR_FORMAT,
                           "write the link's thickness and inside length in mm, as 13x36");
    }
    struct bp_measured wire = {0.0, 0.0};
    struct bp_measured pitch = {0.0, 0.0};
    enum bp_code code = bp_value_span(field, bp_span_of(text, cross), &rule_link, &wire);
    code = code != BP_OK ? code : bp_value_span(field, bp_span_of(behind, end), &rule_link, &pitch);
    *wire_mm = wire.value * 1000.0;
    *pitch_mm = pitch.value * 1000.0;
    return code;
}

static bool same_mm(double a, double b)
{
    return a - b < 0.05 && b - a < 0.05; /* half of the last digit people write */
}

static enum bp_code find_link(const struct bp_rig_field *field, enum bp_link_standard standard,
                              const struct bp_link **link)
{
    double wire_mm = 0.0;
    double pitch_mm = 0.0;
    enum bp_code code = read_size(field, &wire_mm, &pitch_mm);
    if (code != BP_OK) {
        return code;
    }
    *link = NULL;
    for (size_t i = 0; i < bp_link_count; i++) {
        const struct bp_link *l = &bp_links[i];
        if (!same_mm(l->wire_mm, wire_mm) || !same_mm(l->pitch_mm, pitch_mm) ||
            (standard != BP_LINK_STANDARDS && l->standard != standard)) {
            continue;
        }
        if (*link != NULL) {
            return bp_rig_fail(field, NULL, BP_ERR_FORMAT,
                               "this link is in %s and in %s: say which as standard",
                               bp_link_standard_name((*link)->standard), bp_link_standard_name(l->standard));
        }
        *link = l;
    }
    if (*link == NULL) {
        char nearest[100];
        bp_link_nearest(standard, wire_mm, pitch_mm, nearest, sizeof nearest);
        return bp_rig_fail(field, NULL, BP_ERR_ARGUMENT,
                           "this link is in no table; nearest: %s. Or weigh a metre: mass-per-metre",
                           nearest);
    }
    return BP_OK;
}

static enum bp_code take_link(const struct bp_rig_file *file, const struct bp_rig_section *section,
                              struct bp_chain *chain)
{
    const struct bp_rig_field size = bp_rig_field(file, section, BP_KEY_LINK);
    const struct bp_rig_field standard = bp_rig_field(file, section, BP_KEY_STANDARD);
    const char *name = bp_rig_entry(&standard)->value;
    enum bp_link_standard which = BP_LINK_STANDARDS;
    if (name != NULL) {
        which = bp_link_standard_find(name, strlen(name));
        if (which == BP_LINK_STANDARDS) {
            return bp_rig_fail(&standard, NULL, BP_ERR_ARGUMENT,
                               "'%.40s' is none of din766|din763|din764|en818-2", name);
        }
    }
    const struct bp_link *link = NULL;
    enum bp_code code = find_link(&size, which, &link);
    if (code == BP_OK && link != NULL) {
        chain->kg_per_m =
            (struct bp_measured){link->kg_per_m, BP_LINK_SHARE * link->kg_per_m / BP_HALF_WIDTH_SD};
    }
    return code;
}

/* The piece as it was weighed; chain->length_m must be set. */
static enum bp_code take_weighed(const struct bp_rig_field *field, struct bp_chain *chain)
{
    struct bp_measured piece = {0.0, 0.0};
    enum bp_code code = bp_value_measured(field, &rule_piece, true, &piece);
    if (code != BP_OK) {
        return code;
    }
    chain->kg_per_m = (struct bp_measured){piece.value / chain->length_m, piece.sd / chain->length_m};
    if (chain->kg_per_m.value > rule_line.most) {
        return bp_rig_fail(field, NULL, BP_ERR_ARGUMENT, "for its length that is more than %s",
                           rule_line.most_text);
    }
    return BP_OK;
}

static enum bp_code take_mass(const struct bp_rig_file *file, const struct bp_rig_section *section,
                              struct bp_chain *chain)
{
    const struct bp_rig_field line = bp_rig_field(file, section, BP_KEY_MASS_PER_METRE);
    const struct bp_rig_field link = bp_rig_field(file, section, BP_KEY_LINK);
    const struct bp_rig_field weighed = bp_rig_field(file, section, BP_KEY_WEIGHED);
    const struct bp_rig_field standard = bp_rig_field(file, section, BP_KEY_STANDARD);
    size_t ways = (size_t)bp_rig_given(section, line.key) + (size_t)bp_rig_given(section, link.key) +
                  (size_t)bp_rig_given(section, weighed.key);
    if (ways != 1) {
        return bp_rig_fail_section(file, section, BP_ERR_FORMAT, "%s: mass-per-metre, weighed or link",
                                   ways == 0 ? "what does it weigh? One of these is missing"
                                             : "its mass is given more than once: keep one of");
    }
    if (bp_rig_given(section, standard.key) && !bp_rig_given(section, link.key)) {
        return bp_rig_fail(&standard, NULL, BP_ERR_FORMAT, "this belongs to a link, and none is given");
    }
    return bp_rig_given(section, link.key) ? take_link(file, section, chain)
           : bp_rig_given(section, weighed.key)
               ? take_weighed(&weighed, chain)
               : bp_value_measured(&line, &rule_line, true, &chain->kg_per_m);
}

static enum bp_code take_leader(const struct bp_rig_file *file, const struct bp_rig_section *section,
                                const struct bp_rig *rig, struct bp_chain *chain)
{
    const struct bp_rig_field leader = bp_rig_field(file, section, BP_KEY_LEADER);
    const struct bp_rig_field first = bp_rig_field(file, section, BP_KEY_FIRST_LINK);
    bool from_floor = bp_rig_given(section, first.key);
    if (from_floor && bp_rig_given(section, leader.key)) {
        return bp_rig_fail(&first, NULL, BP_ERR_FORMAT, "leader says it already: keep one of the two");
    }
    if (!from_floor) {
        enum bp_code code = bp_value_measured(&leader, &rule_leader, false, &chain->leader_m);
        if (code == BP_OK && chain->leader_m.value >= rig->lockout_m.value) {
            return bp_rig_fail(&leader, NULL, BP_ERR_ARGUMENT,
                               "it is as long as lockout is high: the chain never leaves the floor");
        }
        return code;
    }
    struct bp_measured height = {0.0, 0.0};
    enum bp_code code = bp_value_measured(&first, &bp_rule_height, true, &height);
    if (code != BP_OK) {
        return code;
    }
    if (!(rig->lockout_m.value > 0.0)) {
        return bp_rig_fail(&first, NULL, BP_ERR_FORMAT,
                           "[bar] lockout is missing, which this is measured at");
    }
    if (height.value > rig->lockout_m.value) {
        return bp_rig_fail(&first, NULL, BP_ERR_ARGUMENT, "that is above the bar at lockout");
    }
    /* Two heights were measured to know it. */
    chain->leader_m.value = rig->lockout_m.value - height.value;
    chain->leader_m.sd = bp_measured_sd(rig->lockout_m, height);
    return BP_OK;
}

enum bp_code bp_rig_take_chain(const struct bp_rig_file *file, const struct bp_rig_section *section,
                               struct bp_rig *rig)
{
    struct bp_chain *chain = &rig->chains[rig->chain_count++];
    const struct bp_rig_field length = bp_rig_field(file, section, BP_KEY_LENGTH);
    struct bp_measured metres = {0.0, 0.0};
    struct bp_hung hung;
    memcpy(chain->name, section->name, sizeof chain->name);
    enum bp_code code = bp_value_measured(&length, &rule_length, true, &metres);
    chain->length_m = metres.value;
    code = code != BP_OK ? code : take_mass(file, section, chain);
    code = code != BP_OK ? code : take_leader(file, section, rig, chain);
    code = code != BP_OK ? code : bp_value_hung(file, section, &hung);
    if (code == BP_OK) {
        chain->doubled = hung.doubled;
        chain->pieces = hung.pieces;
        chain->side = hung.side;
        chain->owned = hung.owned;
    }
    return code;
}
