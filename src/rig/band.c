/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * [band NAME]: the pegs the band runs to, and the rest of it; its pulls are read in curve.c.
 */
#include "rig/parts.h"

#include <string.h>

static const struct bp_rule rule_width = {BP_UNIT_LENGTH, {1.0, 1000.0}, 0.3, "300 mm", false, true};
static const struct bp_rule rule_way = {BP_UNIT_LENGTH, {1.0, 100.0}, 4.0, "4 m", true, true};

/* ---- pegs ---- */

enum way { WAY_ASIDE, WAY_FORWARD, WAY_HIGH, WAYS };

/* The words behind a length, and where each leads. */
static const struct way_word {
    const char *word;
    enum way way;
    double sign;
} way_words[] = {{"aside", WAY_ASIDE, 1.0},
                 {"inward", WAY_ASIDE, -1.0},
                 {"forward", WAY_FORWARD, 1.0},
                 {"back", WAY_FORWARD, -1.0},
                 {"high", WAY_HIGH, 1.0}};
enum { WAY_WORDS = sizeof way_words / sizeof way_words[0] };

static bool same_word(struct bp_span word, const char *name)
{
    size_t length = strlen(name);
    if ((size_t)(word.end - word.at) != length) {
        return false;
    }
    for (size_t i = 0; i < length; i++) {
        if ((word.at[i] | 0x20) != name[i]) {
            return false;
        }
    }
    return true;
}

static const struct way_word *find_way(struct bp_span word)
{
    for (size_t i = 0; i < WAY_WORDS; i++) {
        if (same_word(word, way_words[i].word)) {
            return &way_words[i];
        }
    }
    return NULL;
}

/* "20 cm aside", or "floor". */
static enum bp_code read_way(const struct bp_rig_field *field, struct bp_span piece, double ways[WAYS],
                             bool said[WAYS])
{
    const char *word = piece.end;
    while (word > piece.at && word[-1] != ' ' && word[-1] != '\t') {
        word--;
    }
    struct bp_span last = bp_span_of(word, piece.end);
    bool floor_level = same_word(piece, "floor");
    const struct way_word *way = floor_level ? &way_words[WAY_WORDS - 1] : find_way(last);
    struct bp_measured length = {0.0, 0.0};
    if (way == NULL) {
        return bp_rig_fail(
            field, piece.at, BP_ERR_FORMAT,
            "'%.*s': say which way, as 20 cm aside (or inward), 5 cm forward (or back), 15 cm high",
            bp_span_shown(piece), piece.at);
    }
    if (said[way->way]) {
        return bp_rig_fail(field, piece.at, BP_ERR_FORMAT, "'%.*s': that way is said twice",
                           bp_span_shown(piece), piece.at);
    }
    enum bp_code code =
        floor_level ? BP_OK : bp_value_span(field, bp_span_of(piece.at, word), &rule_way, &length);
    ways[way->way] = way->sign * length.value;
    said[way->way] = true;
    return code;
}

static enum bp_code read_peg(const struct bp_rig_field *field, struct bp_peg *peg)
{
    const char *value = bp_rig_entry(field)->value;
    struct bp_span rest = bp_span_of(value, value + strlen(value));
    struct bp_span piece = rest;
    double ways[WAYS] = {0.0};
    bool said[WAYS] = {false};
    while (bp_span_next(&rest, &piece)) {
        enum bp_code code = read_way(field, piece, ways, said);
        if (code != BP_OK) {
            return code;
        }
    }
    if (!said[WAY_HIGH]) {
        return bp_rig_fail(field, NULL, BP_ERR_FORMAT, "how high is it? As 15 cm high, or floor");
    }
    *peg = (struct bp_peg){ways[WAY_ASIDE], ways[WAY_FORWARD], ways[WAY_HIGH]};
    return BP_OK;
}

static enum bp_code take_pegs(const struct bp_rig_file *file, const struct bp_rig_section *section,
                              struct bp_band *band)
{
    for (size_t i = 0; i < BP_PEGS_MAX; i++) {
        const struct bp_rig_field field = bp_rig_field(file, section, (enum bp_rig_key)(BP_KEY_PEG + i));
        if (!bp_rig_given(section, field.key)) {
            continue;
        }
        if (band->peg_count != i) {
            return bp_rig_fail(&field, NULL, BP_ERR_FORMAT, "the peg before it is missing");
        }
        enum bp_code code = read_peg(&field, &band->pegs[i]);
        if (code != BP_OK) {
            return code;
        }
        band->peg_count++;
    }
    const struct bp_rig_field peg = bp_rig_field(file, section, BP_KEY_PEG);
    return band->peg_count > 0
               ? BP_OK
               : bp_rig_fail(&peg, NULL, BP_ERR_FORMAT,
                             "this key is missing: where does the band end? As 20 cm aside, floor");
}

enum bp_code bp_rig_take_band(const struct bp_rig_file *file, const struct bp_rig_section *section,
                              struct bp_rig *rig)
{
    struct bp_band *band = &rig->bands[rig->band_count++];
    const struct bp_rig_field width = bp_rig_field(file, section, BP_KEY_WIDTH);
    struct bp_measured metres = {0.0, 0.0};
    struct bp_hung hung;
    memcpy(band->name, section->name, sizeof band->name);
    enum bp_code code = bp_value_measured(&width, &rule_width, false, &metres);
    band->width_mm = metres.value * 1000.0;
    code = code != BP_OK ? code : bp_rig_take_pulls(file, section, band);
    code = code != BP_OK ? code : take_pegs(file, section, band);
    code = code != BP_OK ? code : bp_value_hung(file, section, &hung);
    if (code == BP_OK) {
        band->doubled = hung.doubled;
        band->pieces = hung.pieces;
        band->side = hung.side;
        band->owned = hung.owned;
    }
    return code;
}
