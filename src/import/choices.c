/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The settings' lists: "t=Time,ax=3" and "t=ms,a=g".
 */
#include "import/columns.h"

#include <string.h>

static const char *const column_keys[] = {"t", "ax", "ay", "az", "gravx", "gravy", "gravz", "gx", "gy", "gz"};
static const char *const unit_keys[] = {"t", "a", "w", "sign"};

static struct bp_choice trim(const char *at, const char *end)
{
    while (at < end && *at == ' ') {
        at++;
    }
    while (end > at && end[-1] == ' ') {
        end--;
    }
    return (struct bp_choice){at, (size_t)(end - at)};
}

/* The next "key=value" of *list; false at its end. A part without '=' has an empty key. */
static bool next_choice(const char **list, struct bp_choice *key, struct bp_choice *value)
{
    if (*list == NULL || **list == '\0') {
        return false;
    }
    const char *end = strchr(*list, ',');
    end = end != NULL ? end : *list + strlen(*list);
    const char *equals = memchr(*list, '=', (size_t)(end - *list));
    *key = equals != NULL ? trim(*list, equals) : (struct bp_choice){*list, 0};
    *value = trim(equals != NULL ? equals + 1 : *list, end);
    *list = *end == ',' ? end + 1 : end;
    return true;
}

static bool is_key(const struct bp_choice *key, const char *name)
{
    return key->count == strlen(name) && memcmp(key->at, name, key->count) == 0;
}

bool bp_import_find_choice(const char *list, const char *key, struct bp_choice *choice)
{
    struct bp_choice found;
    while (next_choice(&list, &found, choice)) {
        if (is_key(&found, key)) {
            return true;
        }
    }
    return false;
}

static enum bp_code check_list(struct bp_importer *im, const char *list, const char *option,
                               const char *const *keys, size_t count)
{
    struct bp_choice key, value;
    while (next_choice(&list, &key, &value)) {
        bool known = false;
        for (size_t i = 0; i < count; i++) {
            known = known || is_key(&key, keys[i]);
        }
        if (!known || value.count == 0) {
            return bp_import_fail(im, BP_ERR_ARGUMENT, 0, 0, "%s: '%.*s' is not key=value with a known key",
                                  option,
                                  (int)(key.count > 0      ? key.count
                                        : value.count < 60 ? value.count
                                                           : 60),
                                  key.count > 0 ? key.at : value.at);
        }
    }
    return BP_OK;
}

const struct bp_unit *bp_import_unit_given(const struct bp_import_settings *settings, enum bp_kind kind)
{
    struct bp_choice choice;
    const char *key = kind == BP_KIND_TIME ? "t" : kind == BP_KIND_TURN ? "w" : "a";
    if (!bp_import_find_choice(settings->units, key, &choice)) {
        return NULL;
    }
    return bp_import_unit_named(choice.at, choice.count, kind);
}

int bp_import_sign_given(const struct bp_import_settings *settings)
{
    struct bp_choice choice;
    if (!bp_import_find_choice(settings->units, "sign", &choice)) {
        return 0;
    }
    return is_key(&choice, "plus") ? 1 : is_key(&choice, "minus") ? -1 : 0;
}

enum bp_code bp_import_check_choices(struct bp_importer *im)
{
    const struct bp_import_settings *s = im->settings;
    static const enum bp_kind kinds[] = {BP_KIND_TIME, BP_KIND_FORCE, BP_KIND_TURN};
    struct bp_choice choice;
    enum bp_code code =
        check_list(im, s->columns, "columns", column_keys, sizeof column_keys / sizeof column_keys[0]);
    if (code == BP_OK) {
        code = check_list(im, s->units, "units", unit_keys, sizeof unit_keys / sizeof unit_keys[0]);
    }
    for (size_t i = 0; i < 3 && code == BP_OK; i++) {
        if (bp_import_find_choice(s->units, unit_keys[i], &choice) &&
            bp_import_unit_given(s, kinds[i]) == NULL) {
            code = bp_import_fail(im, BP_ERR_ARGUMENT, 0, 0, "units: '%.*s' is no unit for %s",
                                  (int)(choice.count < 60 ? choice.count : 60), choice.at, unit_keys[i]);
        }
    }
    if (code == BP_OK && bp_import_find_choice(s->units, "sign", &choice) && bp_import_sign_given(s) == 0) {
        code = bp_import_fail(im, BP_ERR_ARGUMENT, 0, 0, "units: sign is plus or minus");
    }
    return code;
}
