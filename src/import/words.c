/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/vocabulary.h"

#include <string.h>

enum { NORMAL_BYTES = 256, UNIT_BYTES = 32 };

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || ((unsigned char)c & 0x80U) != 0;
}

static bool is_lower(char c)
{
    return (c >= 'a' && c <= 'z') || ((unsigned char)c & 0x80U) != 0;
}

static bool is_upper(char c)
{
    return c >= 'A' && c <= 'Z';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static char lower(char c)
{
    return is_upper(c) ? (char)(c - 'A' + 'a') : c;
}

/* A capital starts a word after a small letter ("AccX") and before one ("IMUAcc"). */
static bool starts_word(const char *text, size_t i, size_t count)
{
    if (i == 0 || !is_upper(text[i])) {
        return false;
    }
    return is_lower(text[i - 1]) || is_digit(text[i - 1]) ||
           (is_upper(text[i - 1]) && i + 1 < count && is_lower(text[i + 1]));
}

/* " word word word ", lower case. out holds 2 count + 3 bytes or is cut. */
static void separate_words(const char *text, size_t count, char *out, size_t size)
{
    size_t n = 0;
    out[n++] = ' ';
    for (size_t i = 0; i < count && n + 3 < size; i++) {
        bool part = is_letter(text[i]) || is_digit(text[i]);
        if ((!part || starts_word(text, i, count)) && out[n - 1] != ' ') {
            out[n++] = ' ';
        }
        if (part) {
            out[n++] = lower(text[i]);
        }
    }
    if (out[n - 1] != ' ') {
        out[n++] = ' ';
    }
    out[n] = '\0';
}

/* "m/s^2", "in G's", "m s⁻²" → "m/s2", "gs", "ms-2". */
static void plain_unit(const char *text, size_t count, char *out, size_t size)
{
    char plain[NORMAL_BYTES];
    size_t length = bp_import_plain_letters(text, count, plain, sizeof plain);
    const char *at = plain;
    while (*at == ' ') {
        at++;
    }
    if (strncmp(at, "in ", 3) == 0) {
        at += 3;
    }
    size_t n = 0;
    for (; at < plain + length && n + 1 < size; at++) {
        if (strchr(" ^*'.\"()[]{}<>", *at) == NULL) {
            out[n++] = lower(*at);
        }
    }
    out[n] = '\0';
}

static const struct bp_unit *find_unit(const char *text, enum bp_kind kind)
{
    if (kind == BP_KIND_GRAVITY || kind == BP_KIND_G) {
        kind = BP_KIND_FORCE;
    }
    for (size_t i = 0; i < bp_import_unit_count; i++) {
        if ((kind == BP_KIND_NONE || bp_import_units[i].kind == kind) &&
            strcmp(bp_import_units[i].text, text) == 0) {
            return &bp_import_units[i];
        }
    }
    return NULL;
}

const struct bp_unit *bp_import_unit_named(const char *text, size_t count, enum bp_kind kind)
{
    char plain[UNIT_BYTES];
    plain_unit(text, count, plain, sizeof plain);
    return find_unit(plain, kind);
}

const struct bp_unit *bp_import_unit_at(enum bp_kind kind, size_t index)
{
    for (size_t i = 0; i < bp_import_unit_count; i++) {
        if (bp_import_units[i].kind == kind &&
            strcmp(bp_import_units[i].text, bp_import_units[i].name) == 0 && index-- == 0) {
            return &bp_import_units[i];
        }
    }
    return NULL;
}

/* What has been found so far in one heading. */
struct reading {
    bool kinds[BP_KIND_OTHER + 1];
    unsigned flags;
    int axis;
    const char *unit_word;
    int demerits;
    char number; /* a digit that may count the axes: '0' to '3'; '\0': none */
};

static void apply(struct reading *r, const struct bp_word *w)
{
    r->kinds[w->kind] = true;
    r->flags |= w->flags;
    r->demerits += (w->flags & BP_WORD_DEMERIT) != 0 ? 10 : 0;
    if (w->unit != NULL && r->unit_word == NULL) {
        r->unit_word = w->unit;
    }
}

/* Takes every table word out of buffer (its letters become '\1'). */
static void take_words(char *buffer, struct reading *r)
{
    for (size_t i = 0; i < bp_import_word_count; i++) {
        size_t length = strlen(bp_import_words[i].text);
        for (char *hit = strstr(buffer, bp_import_words[i].text); hit != NULL;
             hit = strstr(hit + 1, bp_import_words[i].text)) {
            if (hit[-1] == ' ' && hit[length] == ' ') {
                apply(r, &bp_import_words[i]);
                memset(hit, '\1', length);
            }
        }
    }
}

static int axis_of(char c)
{
    return c >= 'x' && c <= 'z' ? c - 'x' : -1;
}

static const struct bp_word *find_stem(const char *text, size_t length, size_t least)
{
    for (size_t i = 0; i < bp_import_stem_count; i++) {
        if (length >= least && strlen(bp_import_stems[i].text) == length &&
            memcmp(bp_import_stems[i].text, text, length) == 0) {
            return &bp_import_stems[i];
        }
    }
    return NULL;
}

static void put_stem(const char *token, size_t length, struct reading *r, char *stem)
{
    r->demerits++;
    size_t n = strlen(stem);
    if (n + length + 2 < BP_STEM_BYTES) {
        memcpy(stem + n, token, length);
        stem[n + length] = ' ';
        stem[n + length + 1] = '\0';
    }
}

/* "1", or "acc1", where the digit may stand for an axis. */
static bool take_number(const char *token, size_t length, struct reading *r)
{
    char digit = token[length - 1];
    const struct bp_word *w = length > 1 ? find_stem(token, length - 1, 1) : NULL;
    if (r->number != '\0' || digit < '0' || digit > '3' ||
        (length > 1 && (w == NULL || w->kind == BP_KIND_OTHER))) {
        return false;
    }
    if (w != NULL) {
        apply(r, w);
    }
    r->number = digit;
    return true;
}

/* One leftover token: an axis, a stem with its axis, or a word that means nothing here. */
static void take_token(const char *token, size_t length, struct reading *r, char *stem)
{
    int last = axis_of(token[length - 1]), first = axis_of(token[0]);
    if (length == 1 && last >= 0) {
        r->axis = r->axis < 0 ? last : r->axis;
        return;
    }
    const struct bp_word *w = last >= 0 ? find_stem(token, length - 1, 1) : NULL;
    int axis = last;
    if (w == NULL && first >= 0) {
        w = find_stem(token + 1, length - 1, 3);
        axis = first;
    }
    if (w != NULL && r->axis < 0) {
        apply(r, w);
        r->axis = axis;
        return;
    }
    if (!take_number(token, length, r)) {
        put_stem(token, length, r, stem);
    }
}

static void take_tokens(const char *buffer, struct reading *r, char *stem)
{
    for (const char *at = buffer; *at != '\0';) {
        size_t length = strcspn(at, " \1");
        if (length > 0) {
            take_token(at, length, r, stem);
        }
        at += length + (at[length] != '\0');
    }
    if (r->number != '\0' && r->axis >= 0) { /* of the sensor, not of an axis: "acc 2 x" */
        put_stem(&r->number, 1, r, stem);
        r->number = '\0';
    }
}

/* The strongest kind of those found. */
static enum bp_kind settle_kind(const struct reading *r)
{
    const bool *k = r->kinds;
    if (k[BP_KIND_OTHER] || ((r->flags & BP_WORD_TOTAL) != 0 && r->axis < 0)) {
        return BP_KIND_OTHER;
    }
    if (k[BP_KIND_TIME] && r->axis < 0) {
        return BP_KIND_TIME;
    }
    if (k[BP_KIND_TURN]) {
        return BP_KIND_TURN;
    }
    if (k[BP_KIND_GRAVITY]) {
        return BP_KIND_GRAVITY;
    }
    if (k[BP_KIND_FORCE] || ((r->flags & BP_WORD_LINEAR) != 0 && r->axis >= 0)) {
        return BP_KIND_FORCE;
    }
    return k[BP_KIND_G] ? BP_KIND_G : BP_KIND_NONE;
}

/* Finds the last bracketed part of text. False when there is none. */
static bool find_brackets(const char *text, size_t count, size_t *open, size_t *close)
{
    for (size_t i = count; i-- > 0;) {
        if (text[i] == ')' || text[i] == ']') {
            char wanted = text[i] == ')' ? '(' : '[';
            *close = i;
            while (i-- > 0) {
                if (text[i] == wanted) {
                    *open = i;
                    return true;
                }
            }
            return false;
        }
    }
    return false;
}

/* A bracket with a unit nothing here is measured in (uT, hPa, m/s) makes the column another sensor's; a
 * bracket that is no unit ("01:00", "txt") says nothing. */
static bool is_other_unit(const char *unit)
{
    static const char *const others[] = {"ut",  "mt",   "gauss", "hpa", "mbar", "pa", "lx",   "m",    "cm",
                                         "m/s", "km/h", "deg",   "rad", "%",    "db", "degc", "degf", "hz"};
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
        if (strcmp(others[i], unit) == 0) {
            return true;
        }
    }
    return false;
}

/* "qw", "quaternion x", "q0"; "roll", "Orientation X (pitch)", "euler x": the words say which part it is. An
 * angle by its name counts before an axis. */
static enum bp_attitude_part attitude_part(const char *words)
{
    static const struct {
        const char *word;
        enum bp_attitude_part part;
    } parts[] = {
        {"roll", BP_ATTITUDE_ROLL},   {"pitch", BP_ATTITUDE_PITCH}, {"yaw", BP_ATTITUDE_YAW},
        {"azimuth", BP_ATTITUDE_YAW}, {"heading", BP_ATTITUDE_YAW}, {"qw", BP_ATTITUDE_W},
        {"qx", BP_ATTITUDE_X},        {"qy", BP_ATTITUDE_Y},        {"qz", BP_ATTITUDE_Z},
        {"q0", BP_ATTITUDE_Q0},       {"q1", BP_ATTITUDE_Q1},       {"q2", BP_ATTITUDE_Q2},
        {"q3", BP_ATTITUDE_Q3},       {"w", BP_ATTITUDE_W},         {"x", BP_ATTITUDE_X},
        {"y", BP_ATTITUDE_Y},         {"z", BP_ATTITUDE_Z},
    };
    bool angles = strstr(words, " euler ") != NULL;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        size_t length = strlen(parts[i].word);
        for (const char *hit = strstr(words, parts[i].word); hit != NULL;
             hit = strstr(hit + 1, parts[i].word)) {
            if (hit[-1] == ' ' && hit[length] == ' ') {
                bool axis = parts[i].part >= BP_ATTITUDE_X && parts[i].part <= BP_ATTITUDE_Z;
                return angles && axis ? parts[i].part - BP_ATTITUDE_X + BP_ATTITUDE_ROLL : parts[i].part;
            }
        }
    }
    return BP_ATTITUDE_NONE;
}

/* Before the brackets are taken out: they may name the angle, or its unit. */
static void read_attitude(const char *plain, size_t length, struct bp_heading *h)
{
    char words[NORMAL_BYTES + 8];
    separate_words(plain, length, words, sizeof words);
    h->part = attitude_part(words);
    h->degrees = strstr(words, " deg ") != NULL || strstr(words, " degrees ") != NULL;
    h->radians = strstr(words, " rad ") != NULL || strstr(words, " radians ") != NULL;
}

static void settle(const struct reading *r, const char *bracket, struct bp_heading *h)
{
    h->kind = settle_kind(r);
    h->axis = r->axis;
    h->numbered = r->number != '\0';
    h->linear = (r->flags & BP_WORD_LINEAR) != 0;
    h->of_turn = h->kind == BP_KIND_TIME && r->kinds[BP_KIND_TURN];
    h->attitude = (r->flags & BP_WORD_ATTITUDE) != 0;
    h->elapsed = (r->flags & BP_WORD_ELAPSED) != 0;
    h->steps = h->kind == BP_KIND_TIME && (r->flags & BP_WORD_STEPS) != 0;
    h->demerits = r->demerits;
    h->unit = bracket[0] != '\0' ? find_unit(bracket, h->kind) : NULL;
    if (h->kind == BP_KIND_G) { /* "gx (rad/s)", "Gx_dps", "gx (g)": the unit says which it is */
        const char *unit = bracket[0] != '\0' ? bracket : r->unit_word != NULL ? r->unit_word : "";
        const struct bp_unit *turn = find_unit(unit, BP_KIND_TURN), *force = find_unit(unit, BP_KIND_FORCE);
        h->kind = turn != NULL ? BP_KIND_TURN : force != NULL ? BP_KIND_FORCE : BP_KIND_G;
        h->unit = turn != NULL ? turn : h->unit;
    }
    if (h->unit == NULL && bracket[0] != '\0' && is_other_unit(bracket)) {
        h->kind = BP_KIND_OTHER;
    }
    if (h->unit == NULL && r->unit_word != NULL) {
        h->unit = find_unit(r->unit_word, h->kind);
    }
    if (h->kind == BP_KIND_NONE && h->unit != NULL && (h->axis >= 0 || h->unit->kind == BP_KIND_TIME)) {
        h->kind = h->unit->kind;
    }
}

void bp_import_read_heading(const char *text, size_t count, struct bp_heading *heading)
{
    char plain[NORMAL_BYTES / 2], buffer[NORMAL_BYTES + 8], bracket[UNIT_BYTES] = "";
    struct reading r = {.axis = -1};
    size_t open, close;
    *heading = (struct bp_heading){.axis = -1};
    size_t length = bp_import_plain_letters(text, count, plain, sizeof plain);
    read_attitude(plain, length, heading);
    if (find_brackets(plain, length, &open, &close)) {
        plain_unit(plain + open + 1, close - open - 1, bracket, sizeof bracket);
        memset(plain + open, ' ', close - open + 1);
        if (bracket[0] >= '0' && bracket[0] <= '3' && bracket[1] == '\0') { /* "values[0]" */
            plain[open] = bracket[0];
        }
    }
    separate_words(plain, length, buffer, sizeof buffer);
    take_words(buffer, &r);
    take_tokens(buffer, &r, heading->stem);
    settle(&r, bracket, heading);
}

void bp_import_read_file_name(const char *path, struct bp_heading *heading)
{
    const char *slash = strrchr(path, '/');
    const char *name = slash != NULL ? slash + 1 : path;
    const char *dot = strrchr(name, '.');
    char plain[NORMAL_BYTES / 2], buffer[NORMAL_BYTES + 8], stem[BP_STEM_BYTES] = "";
    struct reading r = {.axis = -1};
    size_t length =
        bp_import_plain_letters(name, dot != NULL ? (size_t)(dot - name) : strlen(name), plain, sizeof plain);
    separate_words(plain, length, buffer, sizeof buffer);
    take_words(buffer, &r);
    take_tokens(buffer, &r, stem);
    r.axis = 0;                    /* a name has no axis: "Total Acceleration" is no sum in it… */
    r.kinds[BP_KIND_TIME] = false; /* …and a date or a time in it says nothing */
    *heading = (struct bp_heading){.kind = settle_kind(&r),
                                   .axis = -1,
                                   .attitude = (r.flags & BP_WORD_ATTITUDE) != 0,
                                   .linear = (r.flags & BP_WORD_LINEAR) != 0,
                                   .demerits = r.demerits};
}
