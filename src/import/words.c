/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/words.h"

#include "barplumb/units.h"

#include <string.h>

enum { NORMAL_BYTES = 256, UNIT_BYTES = 32 };

/* The first unit of each factor is the one whose name is shown and that is tried when none is stated. */
static const struct bp_unit units[] = {
    {"s", BP_KIND_TIME, 1.0, "s"},
    {"sec", BP_KIND_TIME, 1.0, "s"},
    {"secs", BP_KIND_TIME, 1.0, "s"},
    {"second", BP_KIND_TIME, 1.0, "s"},
    {"seconds", BP_KIND_TIME, 1.0, "s"},
    {"ms", BP_KIND_TIME, 1e-3, "ms"},
    {"msec", BP_KIND_TIME, 1e-3, "ms"},
    {"millis", BP_KIND_TIME, 1e-3, "ms"},
    {"millisecond", BP_KIND_TIME, 1e-3, "ms"},
    {"milliseconds", BP_KIND_TIME, 1e-3, "ms"},
    {"us", BP_KIND_TIME, 1e-6, "us"},
    {"usec", BP_KIND_TIME, 1e-6, "us"},
    {"micros", BP_KIND_TIME, 1e-6, "us"},
    {"microseconds", BP_KIND_TIME, 1e-6, "us"},
    {"ns", BP_KIND_TIME, 1e-9, "ns"},
    {"nsec", BP_KIND_TIME, 1e-9, "ns"},
    {"nanos", BP_KIND_TIME, 1e-9, "ns"},
    {"nanoseconds", BP_KIND_TIME, 1e-9, "ns"},
    {"m/s2", BP_KIND_FORCE, 1.0, "m/s2"},
    {"m/s/s", BP_KIND_FORCE, 1.0, "m/s2"},
    {"m/sec2", BP_KIND_FORCE, 1.0, "m/s2"},
    {"ms-2", BP_KIND_FORCE, 1.0, "m/s2"},
    {"ms2", BP_KIND_FORCE, 1.0, "m/s2"},
    {"mps2", BP_KIND_FORCE, 1.0, "m/s2"},
    {"g", BP_KIND_FORCE, BP_STANDARD_GRAVITY, "g"},
    {"gs", BP_KIND_FORCE, BP_STANDARD_GRAVITY, "g"},
    {"mg", BP_KIND_FORCE, BP_STANDARD_GRAVITY * 1e-3, "mg"},
    {"millig", BP_KIND_FORCE, BP_STANDARD_GRAVITY * 1e-3, "mg"},
    {"mm/s2", BP_KIND_FORCE, 1e-3, "mm/s2"},
    {"mms-2", BP_KIND_FORCE, 1e-3, "mm/s2"},
    {"mms2", BP_KIND_FORCE, 1e-3, "mm/s2"},
    {"1/64g", BP_KIND_FORCE, BP_STANDARD_GRAVITY / 64.0, "1/64g"}, /* 8-bit counts at +-2 g */
    {"rad/s", BP_KIND_TURN, 1.0, "rad/s"},
    {"rad/sec", BP_KIND_TURN, 1.0, "rad/s"},
    {"rad/second", BP_KIND_TURN, 1.0, "rad/s"},
    {"radians/s", BP_KIND_TURN, 1.0, "rad/s"},
    {"rads-1", BP_KIND_TURN, 1.0, "rad/s"},
    {"rads", BP_KIND_TURN, 1.0, "rad/s"},
    {"radps", BP_KIND_TURN, 1.0, "rad/s"},
    {"deg/s", BP_KIND_TURN, BP_DEGREE, "deg/s"},
    {"deg/sec", BP_KIND_TURN, BP_DEGREE, "deg/s"},
    {"deg/second", BP_KIND_TURN, BP_DEGREE, "deg/s"},
    {"degrees/s", BP_KIND_TURN, BP_DEGREE, "deg/s"},
    {"degrees/sec", BP_KIND_TURN, BP_DEGREE, "deg/s"},
    {"degrees/second", BP_KIND_TURN, BP_DEGREE, "deg/s"},
    {"degs-1", BP_KIND_TURN, BP_DEGREE, "deg/s"},
    {"degs", BP_KIND_TURN, BP_DEGREE, "deg/s"},
    {"degps", BP_KIND_TURN, BP_DEGREE, "deg/s"},
    {"dps", BP_KIND_TURN, BP_DEGREE, "deg/s"},
};
enum { UNIT_COUNT = sizeof units / sizeof units[0] };

enum { LINEAR = 1, TOTAL = 2, ELAPSED = 4, DEMERIT = 8, NEUTRAL = 16 };

/* Words and phrases, separated by one space, lower case; a phrase stands before the words it is made of.
 * kind NONE: the word only sets its flags; unit: the word is one (UNIT_IF: where the kind allows it). */
static const struct word {
    const char *text;
    enum bp_kind kind;
    unsigned flags;
    const char *unit;
} words[] = {
    {"with gravity", BP_KIND_FORCE, 0, NULL},
    {"including gravity", BP_KIND_FORCE, 0, NULL},
    {"incl gravity", BP_KIND_FORCE, 0, NULL},
    {"without gravity", BP_KIND_FORCE, LINEAR, NULL},
    {"excluding gravity", BP_KIND_FORCE, LINEAR, NULL},
    {"excl gravity", BP_KIND_FORCE, LINEAR, NULL},
    {"no gravity", BP_KIND_FORCE, LINEAR, NULL},
    {"gravity removed", BP_KIND_FORCE, LINEAR, NULL},
    {"rotation rate", BP_KIND_TURN, 0, NULL},
    {"rate of rotation", BP_KIND_TURN, 0, NULL},
    {"rate of turn", BP_KIND_TURN, 0, NULL},
    {"turn rate", BP_KIND_TURN, 0, NULL},
    {"angular velocity", BP_KIND_TURN, 0, NULL},
    {"angular rate", BP_KIND_TURN, 0, NULL},
    {"angular speed", BP_KIND_TURN, 0, NULL},
    {"velocidad angular", BP_KIND_TURN, 0, NULL},
    {"vitesse angulaire", BP_KIND_TURN, 0, NULL},
    {"angular acceleration", BP_KIND_OTHER, 0, NULL},
    {"gravity vector", BP_KIND_GRAVITY, 0, NULL},
    {"rotation vector", BP_KIND_OTHER, 0, NULL},
    {"specific force", BP_KIND_FORCE, 0, NULL},
    {"g force", BP_KIND_FORCE, 0, "g"},
    {"g f", BP_KIND_FORCE, 0, "g"},
    {"time stamp", BP_KIND_TIME, 0, NULL},
    {"since start", BP_KIND_TIME, ELAPSED, NULL},
    {"since reboot", BP_KIND_TIME, ELAPSED, NULL},
    {"relative time", BP_KIND_TIME, ELAPSED, NULL},
    {"m s 2", BP_KIND_NONE, 0, "m/s2"},
    {"m s2", BP_KIND_NONE, 0, "m/s2"},
    {"mm s 2", BP_KIND_NONE, 0, "mm/s2"},
    {"mm s2", BP_KIND_NONE, 0, "mm/s2"},
    {"rad s", BP_KIND_NONE, 0, "rad/s"},
    {"deg s", BP_KIND_NONE, 0, "deg/s"},

    {"time", BP_KIND_TIME, 0, NULL},
    {"timestamp", BP_KIND_TIME, 0, NULL},
    {"datetime", BP_KIND_TIME, 0, NULL},
    {"date", BP_KIND_TIME, 0, NULL},
    {"clock", BP_KIND_TIME, 0, NULL},
    {"epoch", BP_KIND_TIME, 0, NULL},
    {"unix", BP_KIND_TIME, 0, NULL},
    {"utc", BP_KIND_TIME, 0, NULL},
    {"elapsed", BP_KIND_TIME, ELAPSED, NULL},
    {"uptime", BP_KIND_TIME, ELAPSED, NULL},
    {"t", BP_KIND_TIME, 0, NULL},
    {"zeit", BP_KIND_TIME, 0, NULL},
    {"tiempo", BP_KIND_TIME, 0, NULL},
    {"temps", BP_KIND_TIME, 0, NULL},
    {"acceleration", BP_KIND_FORCE, 0, NULL},
    {"accelerations", BP_KIND_FORCE, 0, NULL},
    {"accelerometer", BP_KIND_FORCE, 0, NULL},
    {"accelero", BP_KIND_FORCE, 0, NULL},
    {"accel", BP_KIND_FORCE, 0, NULL},
    {"accl", BP_KIND_FORCE, 0, NULL},
    {"acc", BP_KIND_FORCE, 0, NULL},
    {"gforce", BP_KIND_FORCE, 0, "g"},
    {"gf", BP_KIND_FORCE, 0, "g"},
    {"beschleunigung", BP_KIND_FORCE, 0, NULL},
    {"aceleraci\xc3\xb3n", BP_KIND_FORCE, 0, NULL},
    {"aceleracion", BP_KIND_FORCE, 0, NULL},
    {"acc\xc3\xa9l\xc3\xa9ration", BP_KIND_FORCE, 0, NULL},
    {"a", BP_KIND_FORCE, 0, NULL},
    {"gravity", BP_KIND_GRAVITY, 0, NULL},
    {"grav", BP_KIND_GRAVITY, 0, NULL},
    {"gyroscope", BP_KIND_TURN, 0, NULL},
    {"gyro", BP_KIND_TURN, 0, NULL},
    {"gyr", BP_KIND_TURN, 0, NULL},
    {"angvel", BP_KIND_TURN, 0, NULL},
    {"omega", BP_KIND_TURN, 0, NULL},
    {"w", BP_KIND_TURN, 0, NULL},
    {"drehrate", BP_KIND_TURN, 0, NULL},
    {"winkelgeschwindigkeit", BP_KIND_TURN, 0, NULL},
    {"linear", BP_KIND_NONE, LINEAR, NULL},
    {"linearacceleration", BP_KIND_FORCE, LINEAR, NULL},
    {"lin", BP_KIND_NONE, LINEAR, NULL},
    {"user", BP_KIND_NONE, LINEAR, NULL},
    {"absolute", BP_KIND_NONE, TOTAL, NULL},
    {"abs", BP_KIND_NONE, TOTAL, NULL},
    {"total", BP_KIND_NONE, TOTAL, NULL},
    {"magnitude", BP_KIND_NONE, TOTAL, NULL},
    {"norm", BP_KIND_NONE, TOTAL, NULL},
    {"resultant", BP_KIND_NONE, TOTAL, NULL},
    {"measured", BP_KIND_NONE, TOTAL, NULL},
    {"estimated", BP_KIND_NONE, DEMERIT, NULL},
    {"est", BP_KIND_NONE, DEMERIT, NULL},
    {"compensated", BP_KIND_NONE, DEMERIT, NULL},
    {"filtered", BP_KIND_NONE, DEMERIT, NULL},
    {"smoothed", BP_KIND_NONE, DEMERIT, NULL},
    {"uncalibrated", BP_KIND_NONE, DEMERIT, NULL},
    {"axis", BP_KIND_NONE, NEUTRAL, NULL},
    {"data", BP_KIND_NONE, NEUTRAL, NULL},
    {"sensor", BP_KIND_NONE, NEUTRAL, NULL},
    {"raw", BP_KIND_NONE, NEUTRAL, NULL},
    {"in", BP_KIND_NONE, NEUTRAL, NULL},
    {"of", BP_KIND_NONE, NEUTRAL, NULL},
    {"times", BP_KIND_NONE, NEUTRAL, NULL},
    {"g", BP_KIND_NONE, 0, "g"},
    {"gs", BP_KIND_NONE, 0, "g"},
    {"mg", BP_KIND_NONE, 0, "mg"},
    {"ms2", BP_KIND_NONE, 0, "m/s2"},
    {"mps2", BP_KIND_NONE, 0, "m/s2"},
    {"mms2", BP_KIND_NONE, 0, "mm/s2"},
    {"rads", BP_KIND_NONE, 0, "rad/s"},
    {"radps", BP_KIND_NONE, 0, "rad/s"},
    {"dps", BP_KIND_NONE, 0, "deg/s"},
    {"degs", BP_KIND_NONE, 0, "deg/s"},
    {"degps", BP_KIND_NONE, 0, "deg/s"},
    {"s", BP_KIND_NONE, 0, "s"},
    {"sec", BP_KIND_TIME, 0, "s"},
    {"secs", BP_KIND_TIME, 0, "s"},
    {"second", BP_KIND_TIME, 0, "s"},
    {"seconds", BP_KIND_TIME, 0, "s"},
    {"ms", BP_KIND_NONE, 0, "ms"},
    {"msec", BP_KIND_TIME, 0, "ms"},
    {"millis", BP_KIND_TIME, 0, "ms"},
    {"milliseconds", BP_KIND_TIME, 0, "ms"},
    {"us", BP_KIND_NONE, 0, "us"},
    {"micros", BP_KIND_TIME, 0, "us"},
    {"microseconds", BP_KIND_TIME, 0, "us"},
    {"ns", BP_KIND_NONE, 0, "ns"},
    {"nanos", BP_KIND_TIME, 0, "ns"},
    {"nanoseconds", BP_KIND_TIME, 0, "ns"},

    {"magnetometer", BP_KIND_OTHER, 0, NULL},
    {"magnetic", BP_KIND_OTHER, 0, NULL},
    {"mag", BP_KIND_OTHER, 0, NULL},
    {"compass", BP_KIND_OTHER, 0, NULL},
    {"orientation", BP_KIND_OTHER, 0, NULL},
    {"orient", BP_KIND_OTHER, 0, NULL},
    {"quaternion", BP_KIND_OTHER, 0, NULL},
    {"quat", BP_KIND_OTHER, 0, NULL},
    {"attitude", BP_KIND_OTHER, 0, NULL},
    {"euler", BP_KIND_OTHER, 0, NULL},
    {"roll", BP_KIND_OTHER, 0, NULL},
    {"pitch", BP_KIND_OTHER, 0, NULL},
    {"yaw", BP_KIND_OTHER, 0, NULL},
    {"azimuth", BP_KIND_OTHER, 0, NULL},
    {"angle", BP_KIND_OTHER, 0, NULL},
    {"theta", BP_KIND_OTHER, 0, NULL},
    {"delta", BP_KIND_OTHER, 0, NULL},
    {"bias", BP_KIND_OTHER, 0, NULL},
    {"offset", BP_KIND_OTHER, 0, NULL},
    {"pressure", BP_KIND_OTHER, 0, NULL},
    {"barometer", BP_KIND_OTHER, 0, NULL},
    {"altitude", BP_KIND_OTHER, 0, NULL},
    {"light", BP_KIND_OTHER, 0, NULL},
    {"proximity", BP_KIND_OTHER, 0, NULL},
    {"humidity", BP_KIND_OTHER, 0, NULL},
    {"temperature", BP_KIND_OTHER, 0, NULL},
    {"temp", BP_KIND_OTHER, 0, NULL},
    {"location", BP_KIND_OTHER, 0, NULL},
    {"latitude", BP_KIND_OTHER, 0, NULL},
    {"longitude", BP_KIND_OTHER, 0, NULL},
    {"gps", BP_KIND_OTHER, 0, NULL},
    {"speed", BP_KIND_OTHER, 0, NULL},
    {"velocity", BP_KIND_OTHER, 0, NULL},
    {"vel", BP_KIND_OTHER, 0, NULL},
    {"position", BP_KIND_OTHER, 0, NULL},
    {"displacement", BP_KIND_OTHER, 0, NULL},
    {"distance", BP_KIND_OTHER, 0, NULL},
    {"jerk", BP_KIND_OTHER, 0, NULL},
    {"heading", BP_KIND_OTHER, 0, NULL},
    {"bearing", BP_KIND_OTHER, 0, NULL},
    {"accuracy", BP_KIND_OTHER, 0, NULL},
    {"battery", BP_KIND_OTHER, 0, NULL},
    {"microphone", BP_KIND_OTHER, 0, NULL},
    {"sound", BP_KIND_OTHER, 0, NULL},
    {"heart", BP_KIND_OTHER, 0, NULL},
    {"pedometer", BP_KIND_OTHER, 0, NULL},
    {"steps", BP_KIND_OTHER, 0, NULL},
};
enum { WORD_COUNT = sizeof words / sizeof words[0] };

/* What an axis letter may be glued to: "ax", "accx", "gyrox"; one letter only in front of the axis. */
static const struct word stems[] = {
    {"a", BP_KIND_FORCE, 0, NULL},       {"f", BP_KIND_FORCE, 0, NULL},
    {"acc", BP_KIND_FORCE, 0, NULL},     {"accel", BP_KIND_FORCE, 0, NULL},
    {"accl", BP_KIND_FORCE, 0, NULL},    {"acceleration", BP_KIND_FORCE, 0, NULL},
    {"gf", BP_KIND_FORCE, 0, "g"},       {"accelerometer", BP_KIND_FORCE, 0, NULL},
    {"la", BP_KIND_FORCE, LINEAR, NULL}, {"linacc", BP_KIND_FORCE, LINEAR, NULL},
    {"grav", BP_KIND_GRAVITY, 0, NULL},  {"gravity", BP_KIND_GRAVITY, 0, NULL},
    {"w", BP_KIND_TURN, 0, NULL},        {"gyr", BP_KIND_TURN, 0, NULL},
    {"gyro", BP_KIND_TURN, 0, NULL},     {"gyroscope", BP_KIND_TURN, 0, NULL},
    {"omega", BP_KIND_TURN, 0, NULL},    {"g", BP_KIND_G, 0, NULL},
    {"mag", BP_KIND_OTHER, 0, NULL},     {"m", BP_KIND_OTHER, 0, NULL},
    {"b", BP_KIND_OTHER, 0, NULL},
};
enum { STEM_COUNT = sizeof stems / sizeof stems[0] };

/* Signs that stand for ASCII in headings, in UTF-8 and, one byte long, in Latin-1. */
static const struct sign {
    const char *bytes, *plain;
} signs[] = {
    {"\xc2\xb2", "2"},     {"\xc2\xb5", "u"}, {"\xce\xbc", "u"},     {"\xc2\xb0", "deg"},
    {"\xe2\x88\x92", "-"}, {"\xc2\xb7", " "}, {"\xe2\x8b\x85", " "}, {"\xe2\x81\xbb", "-"},
    {"\xc2\xb9", "1"},     {"\xc2\xa0", " "}, {"\xe2\x80\x99", "'"}, {"\xb2", "2"},
    {"\xb5", "u"},         {"\xb0", "deg"},
};

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

/* Replaces the signs; a Latin-1 byte is one only where it is not inside a UTF-8 character. Returns bytes. */
static size_t plain_signs(const char *text, size_t count, char *out, size_t size)
{
    size_t n = 0;
    for (size_t i = 0; i < count;) {
        size_t used = 1;
        const char *plain = NULL;
        for (size_t k = 0; k < sizeof signs / sizeof signs[0] && plain == NULL; k++) {
            size_t length = strlen(signs[k].bytes);
            bool inside = length == 1 && i > 0 && ((unsigned char)text[i - 1] & 0x80U) != 0;
            if (!inside && count - i >= length && memcmp(text + i, signs[k].bytes, length) == 0) {
                plain = signs[k].plain;
                used = length;
            }
        }
        size_t length = plain != NULL ? strlen(plain) : 1;
        if (n + length >= size) {
            break;
        }
        memcpy(out + n, plain != NULL ? plain : text + i, length);
        n += length;
        i += used;
    }
    out[n] = '\0';
    return n;
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
    size_t length = plain_signs(text, count, plain, sizeof plain);
    const char *at = plain;
    while (*at == ' ') {
        at++;
    }
    if (strncmp(at, "in ", 3) == 0) {
        at += 3;
    }
    size_t n = 0;
    for (; at < plain + length && n + 1 < size; at++) {
        if (strchr(" ^*'.\"", *at) == NULL) {
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
    for (size_t i = 0; i < UNIT_COUNT; i++) {
        if ((kind == BP_KIND_NONE || units[i].kind == kind) && strcmp(units[i].text, text) == 0) {
            return &units[i];
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
    for (size_t i = 0; i < UNIT_COUNT; i++) {
        if (units[i].kind == kind && strcmp(units[i].text, units[i].name) == 0 && index-- == 0) {
            return &units[i];
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
};

static void apply(struct reading *r, const struct word *w)
{
    r->kinds[w->kind] = true;
    r->flags |= w->flags;
    r->demerits += (w->flags & DEMERIT) != 0 ? 10 : 0;
    if (w->unit != NULL && r->unit_word == NULL) {
        r->unit_word = w->unit;
    }
}

/* Takes every table word out of buffer (its letters become '\1'). */
static void take_words(char *buffer, struct reading *r)
{
    for (size_t i = 0; i < WORD_COUNT; i++) {
        size_t length = strlen(words[i].text);
        for (char *hit = strstr(buffer, words[i].text); hit != NULL; hit = strstr(hit + 1, words[i].text)) {
            if (hit[-1] == ' ' && hit[length] == ' ') {
                apply(r, &words[i]);
                memset(hit, '\1', length);
            }
        }
    }
}

static int axis_of(char c)
{
    return c >= 'x' && c <= 'z' ? c - 'x' : -1;
}

static const struct word *find_stem(const char *text, size_t length, size_t least)
{
    for (size_t i = 0; i < STEM_COUNT; i++) {
        if (length >= least && strlen(stems[i].text) == length && memcmp(stems[i].text, text, length) == 0) {
            return &stems[i];
        }
    }
    return NULL;
}

/* One leftover token: an axis, a stem with its axis, or a word that means nothing here. */
static void take_token(const char *token, size_t length, struct reading *r, char *stem)
{
    int last = axis_of(token[length - 1]), first = axis_of(token[0]);
    if (length == 1 && last >= 0) {
        r->axis = r->axis < 0 ? last : r->axis;
        return;
    }
    const struct word *w = last >= 0 ? find_stem(token, length - 1, 1) : NULL;
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
    r->demerits++;
    size_t n = strlen(stem);
    if (n + length + 2 < BP_STEM_BYTES) {
        memcpy(stem + n, token, length);
        stem[n + length] = ' ';
        stem[n + length + 1] = '\0';
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
}

/* The strongest kind of those found. */
static enum bp_kind settle_kind(const struct reading *r)
{
    const bool *k = r->kinds;
    if (k[BP_KIND_OTHER] || ((r->flags & TOTAL) != 0 && r->axis < 0)) {
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
    if (k[BP_KIND_FORCE] || ((r->flags & LINEAR) != 0 && r->axis >= 0)) {
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

static void settle(const struct reading *r, const char *bracket, struct bp_heading *h)
{
    h->kind = settle_kind(r);
    h->axis = r->axis;
    h->linear = (r->flags & LINEAR) != 0;
    h->elapsed = (r->flags & ELAPSED) != 0;
    h->demerits = r->demerits;
    h->unit = bracket[0] != '\0' ? find_unit(bracket, h->kind) : NULL;
    if (h->kind == BP_KIND_G && bracket[0] != '\0') { /* "gx (rad/s)", "gx (g)": the unit says which it is */
        const struct bp_unit *turn = find_unit(bracket, BP_KIND_TURN);
        h->kind = turn != NULL ? BP_KIND_TURN : h->unit != NULL ? BP_KIND_FORCE : BP_KIND_G;
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
    size_t length = plain_signs(text, count, plain, sizeof plain);
    if (find_brackets(plain, length, &open, &close)) {
        plain_unit(plain + open + 1, close - open - 1, bracket, sizeof bracket);
        memset(plain + open, ' ', close - open + 1);
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
    char buffer[NORMAL_BYTES + 8], stem[BP_STEM_BYTES] = "";
    struct reading r = {.axis = -1};
    separate_words(name, dot != NULL ? (size_t)(dot - name) : strlen(name), buffer, sizeof buffer);
    take_words(buffer, &r);
    take_tokens(buffer, &r, stem);
    r.axis = 0;                    /* a name has no axis: "Total Acceleration" is no sum in it… */
    r.kinds[BP_KIND_TIME] = false; /* …and a date or a time in it says nothing */
    *heading = (struct bp_heading){
        .kind = settle_kind(&r), .axis = -1, .linear = (r.flags & LINEAR) != 0, .demerits = r.demerits};
}
