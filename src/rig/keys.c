/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rig/keys.h"

#include <string.h>

enum { KEY_BYTES = 40 };
enum { IN_RIG = 1, IN_BAR = 2, IN_CHAIN = 4, IN_BAND = 8, IN_STOCK = 16, HUNG = IN_CHAIN | IN_BAND };

static const char *const kind_names[BP_KIND_COUNT] = {"rig", "bar", "chain", "band", "stock"};

/* The first name of a key is its own; the others are read as well. */
static const struct key_name {
    const char *name;
    enum bp_rig_key key;
    unsigned kinds;
} key_names[] = {
    {"name", BP_KEY_NAME, IN_RIG},
    {"matched", BP_KEY_MATCHED, IN_RIG},
    {"mass", BP_KEY_MASS, IN_BAR},
    {"collars", BP_KEY_COLLARS, IN_BAR},
    {"plates", BP_KEY_PLATES, IN_BAR | IN_STOCK},
    {"bottom", BP_KEY_BOTTOM, IN_BAR},
    {"chest", BP_KEY_BOTTOM, IN_BAR},
    {"lockout", BP_KEY_LOCKOUT, IN_BAR},
    {"mass-per-metre", BP_KEY_MASS_PER_METRE, IN_CHAIN},
    {"mass-per-meter", BP_KEY_MASS_PER_METRE, IN_CHAIN},
    {"link", BP_KEY_LINK, IN_CHAIN},
    {"standard", BP_KEY_STANDARD, IN_CHAIN},
    {"weighed", BP_KEY_WEIGHED, IN_CHAIN},
    {"length", BP_KEY_LENGTH, IN_CHAIN},
    {"leader", BP_KEY_LEADER, IN_CHAIN},
    {"first-link-at-lockout", BP_KEY_FIRST_LINK, IN_CHAIN},
    {"width", BP_KEY_WIDTH, IN_BAND},
    {"rest", BP_KEY_REST, IN_BAND},
    {"points", BP_KEY_POINTS, IN_BAND},
    {"stretches", BP_KEY_STRETCHES, IN_BAND},
    {"slackening-points", BP_KEY_SLACKENING_POINTS, IN_BAND},
    {"slackening-stretches", BP_KEY_SLACKENING_STRETCHES, IN_BAND},
    {"pull-uncertainty", BP_KEY_PULL_UNCERTAINTY, IN_BAND},
    {"peg", BP_KEY_PEG, IN_BAND},
    {"peg-1", BP_KEY_PEG, IN_BAND},
    {"peg-2", (enum bp_rig_key)(BP_KEY_PEG + 1), IN_BAND},
    {"peg-3", (enum bp_rig_key)(BP_KEY_PEG + 2), IN_BAND},
    {"peg-4", BP_KEY_PEG_LAST, IN_BAND},
    {"count", BP_KEY_COUNT_OF, HUNG},
    {"side", BP_KEY_SIDE, HUNG},
    {"fold", BP_KEY_FOLD, HUNG},
    {"own", BP_KEY_OWN, HUNG},
};
enum { KEY_NAMES = sizeof key_names / sizeof key_names[0] };

/* Not tolower: it follows the locale. */
static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c | 0x20) : c;
}

static bool same_word(const char *word, size_t length, const char *name)
{
    if (strlen(name) != length) {
        return false;
    }
    for (size_t i = 0; i < length; i++) {
        if (lower(word[i]) != name[i]) {
            return false;
        }
    }
    return true;
}

enum bp_rig_kind bp_rig_kind_find(const char *word, size_t length)
{
    size_t kind = 0;
    while (kind < BP_KIND_COUNT && !same_word(word, length, kind_names[kind])) {
        kind++;
    }
    return (enum bp_rig_kind)kind;
}

const char *bp_rig_kind_name(enum bp_rig_kind kind)
{
    return kind_names[kind];
}

enum bp_rig_key bp_rig_key_find(enum bp_rig_kind kind, const char *name, const char **spelling)
{
    char plain[KEY_BYTES];
    size_t n = 0;
    for (const char *c = name; *c != '\0' && n < sizeof plain; c++) {
        bool joint = *c == '_' || *c == ' ' || *c == '\t';
        if (!joint || n == 0 || plain[n - 1] != '-') {
            plain[n++] = joint ? '-' : *c;
        }
    }
    for (size_t i = 0; i < KEY_NAMES; i++) {
        if ((key_names[i].kinds & (1U << (unsigned)kind)) != 0 && same_word(plain, n, key_names[i].name)) {
            *spelling = key_names[i].name;
            return key_names[i].key;
        }
    }
    return BP_KEY_COUNT;
}

const char *bp_rig_key_name(enum bp_rig_key key)
{
    size_t i = 0;
    while (i < KEY_NAMES - 1 && key_names[i].key != key) {
        i++;
    }
    return key_names[i].name;
}

void bp_rig_key_list(enum bp_rig_kind kind, char *out, size_t size)
{
    size_t n = 0;
    out[0] = '\0';
    for (size_t i = 0; i < KEY_NAMES; i++) {
        bool own_name = i == 0 || key_names[i].key != key_names[i - 1].key;
        if (!own_name || (key_names[i].kinds & (1U << (unsigned)kind)) == 0) {
            continue;
        }
        const char *parts[] = {n > 0 ? ", " : "", key_names[i].name};
        for (size_t p = 0; p < 2; p++) {
            size_t length = strlen(parts[p]);
            if (n + length < size) {
                memcpy(out + n, parts[p], length + 1);
                n += length;
            }
        }
    }
}
