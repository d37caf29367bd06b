/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The lines of a rig file, by libinih. It is handed one line at a time, so that every line's number is known,
 * and what it would do silently is seen first: cutting long lines and names, taking an indented key for the
 * end of the line above, joining two sections of one name.
 */
#include "rig/file.h"

#include "rig/place.h"

#include <ini.h>
#include <math.h>
#include <string.h>

enum { LINE_BYTES_MAX = 190 /* libinih's own limit is 200, with line end and terminator */ };

struct splitter {
    struct bp_rig_file *file;
    const char *next, *end;    /* what is left of the bytes */
    size_t line;               /* of the line libinih has in hand */
    bool continues;            /* that line carries on the value above */
    enum bp_code code;         /* BP_OK until something is wrong */
    struct bp_rig_entry *last; /* the entry to carry on; NULL at a section's beginning */
    char *pool_end;            /* of the kept values, behind the last one's terminator */
    size_t last_line;          /* where the last value has come to */
};

size_t bp_rig_pool_size(size_t count)
{
    return count + 2; /* a value is shorter than its line, and the last line may lack its end */
}

static enum bp_code fail_line(struct splitter *s, enum bp_code code, const char *text)
{
    s->code = code;
    bp_error_set(s->file->error, code, "%s", text);
    bp_error_place(s->file->error, s->file->path, s->line, 0, (double)NAN);
    return code;
}

/* ---- is it text? ---- */

/* Bytes of the UTF-8 character at c, 0 if there is none (RFC 3629; overlong forms are let through). */
static size_t utf8_length(const char *c, const char *end)
{
    unsigned char first = (unsigned char)*c;
    size_t length = first < 0x80   ? 1
                    : first < 0xC2 ? 0
                    : first < 0xE0 ? 2
                    : first < 0xF0 ? 3
                    : first < 0xF5 ? 4
                                   : 0;
    if (length > (size_t)(end - c)) {
        return 0;
    }
    for (size_t i = 1; i < length; i++) {
        if (((unsigned char)c[i] & 0xC0U) != 0x80U) {
            return 0;
        }
    }
    return length;
}

static enum bp_code check_text(struct splitter *s)
{
    size_t length = 1;
    s->line = 1;
    for (const char *c = s->next; c < s->end; c += length) {
        bool control = (unsigned char)*c < 0x20 && *c != '\t' && *c != '\n' && *c != '\r';
        length = utf8_length(c, s->end);
        if (control || *c == 0x7F) {
            return fail_line(s, BP_ERR_FORMAT,
                             "this is no text: a rig file is written with a plain text editor");
        }
        if (length == 0) {
            return fail_line(s, BP_ERR_FORMAT, "this is no UTF-8 text: save it as UTF-8, or write +- for ±");
        }
        s->line += *c == '\n' || (*c == '\r' && !(c + 1 < s->end && c[1] == '\n'));
    }
    s->file->lines = s->line;
    s->line = 0;
    return BP_OK;
}

/* ---- sections ---- */

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool same_name(const char *a, const char *b)
{
    for (; *a != '\0' && *b != '\0'; a++, b++) {
        char x = *a >= 'A' && *a <= 'Z' ? (char)(*a | 0x20) : *a;
        char y = *b >= 'A' && *b <= 'Z' ? (char)(*b | 0x20) : *b;
        if (x != y) {
            return false;
        }
    }
    return *a == *b;
}

/* Is there room for one more section of that kind and name? */
static enum bp_code check_section(struct splitter *s, enum bp_rig_kind kind, const char *name)
{
    const struct bp_rig_file *file = s->file;
    size_t of_kind = 0;
    for (size_t i = 0; i < file->section_count; i++) {
        const struct bp_rig_section *other = &file->sections[i];
        of_kind += other->kind == kind;
        if (other->kind == kind && same_name(other->name, name)) {
            return fail_line(s, BP_ERR_FORMAT,
                             kind == BP_KIND_CHAIN || kind == BP_KIND_BAND
                                 ? "this section is there already: give each chain and band a name of its own"
                                 : "this section is there already");
        }
    }
    if (of_kind >= (kind == BP_KIND_CHAIN ? BP_CHAINS_MAX : BP_BANDS_MAX)) {
        return fail_line(s, BP_ERR_LIMIT, "a rig has at most 8 kinds of chain and 8 kinds of band");
    }
    return BP_OK;
}

/* text[0..length) is what stands between the brackets. */
static void begin_section(struct splitter *s, const char *text, size_t length)
{
    size_t word = 0;
    while (word < length && !is_blank(text[word])) {
        word++;
    }
    enum bp_rig_kind kind = bp_rig_kind_find(text, word);
    const char *name = text + word;
    while (name < text + length && is_blank(*name)) {
        name++;
    }
    size_t name_length = (size_t)(text + length - name);
    char kept[BP_RIG_NAME] = "";
    if (kind == BP_KIND_COUNT) {
        fail_line(s, BP_ERR_FORMAT,
                  "there is no such section: [rig], [bar], [chain NAME], [band NAME] and [stock] are known");
        return;
    }
    if (name_length >= BP_RIG_NAME) {
        fail_line(s, BP_ERR_LIMIT, "a name has at most 63 bytes");
        return;
    }
    if (name_length > 0 && kind != BP_KIND_CHAIN && kind != BP_KIND_BAND) {
        fail_line(s, BP_ERR_FORMAT, "only chains and bands have a name in their section's brackets");
        return;
    }
    memcpy(kept, name, name_length);
    if (check_section(s, kind, kept) != BP_OK) {
        return;
    }
    struct bp_rig_section *section = &s->file->sections[s->file->section_count++];
    *section = (struct bp_rig_section){.kind = kind, .line = s->line};
    memcpy(section->name, kept, sizeof kept);
    s->last = NULL;
}

static void see_section(struct splitter *s, const char *line, size_t length)
{
    const char *close = memchr(line, ']', length);
    if (close == NULL) {
        fail_line(s, BP_ERR_FORMAT, "a section's ']' is missing");
        return;
    }
    const char *rest = close + 1;
    while (rest < line + length && is_blank(*rest)) {
        rest++;
    }
    if (rest < line + length && *rest != ';' && *rest != '#') {
        fail_line(s, BP_ERR_FORMAT, "something stands behind a section's ']'");
        return;
    }
    const char *first = line + 1;
    while (first < close && is_blank(*first)) {
        first++;
    }
    while (close > first && is_blank(close[-1])) {
        close--;
    }
    begin_section(s, first, (size_t)(close - first));
}

/* ---- lines, as libinih asks for them ---- */

static const char *take_line(struct splitter *s, size_t *length)
{
    const char *line = s->next;
    const char *c = line;
    while (c < s->end && *c != '\n' && *c != '\r') {
        c++;
    }
    *length = (size_t)(c - line);
    s->next = c < s->end && *c == '\r' && c + 1 < s->end && c[1] == '\n' ? c + 2 : c < s->end ? c + 1 : c;
    s->line++;
    return line;
}

/* Where a remark begins in a line: at a ';' behind a blank; length if there is none. */
static size_t remark_start(const char *line, size_t length)
{
    size_t at = 1;
    while (at < length && !(line[at] == ';' && is_blank(line[at - 1]))) {
        at++;
    }
    return at < length ? at : length;
}

/* An indented line carries on the value above, unless it has a '=': then somebody likes to indent. */
static char *next_line(char *out, int size, void *user)
{
    struct splitter *s = user;
    if (s->code != BP_OK || s->next >= s->end) {
        return NULL;
    }
    size_t length = 0;
    const char *line = take_line(s, &length);
    size_t indent = 0;
    while (indent < length && is_blank(line[indent])) {
        indent++;
    }
    char first = indent < length ? line[indent] : '\0';
    bool remark = first == ';' || first == '#' || first == '\0';
    size_t said = remark_start(line, length);
    s->continues =
        !remark && first != '[' && indent > 0 && s->last != NULL && memchr(line, '=', said) == NULL;
    if (remark) {
        out[0] = '\0'; /* of any length */
        return out;
    }
    if (s->continues) {
        length = remark_start(line, length); /* libinih leaves remarks in such lines */
    } else {
        line += indent;
        length -= indent;
    }
    if (length > LINE_BYTES_MAX || size < LINE_BYTES_MAX + 2) {
        fail_line(s, BP_ERR_LIMIT, "a line has at most 190 bytes: go on on the next one, indented");
        return NULL;
    }
    if (first == '[') {
        see_section(s, line, length);
    }
    memcpy(out, line, length);
    memcpy(out + length, "\n", 2);
    return s->code != BP_OK ? NULL : out;
}

static void put_value(struct splitter *s, const char *value)
{
    size_t length = strlen(value) + 1;
    memcpy(s->pool_end, value, length);
    s->pool_end += length;
    s->last_line = s->line;
}

static enum bp_code fail_key(struct splitter *s, const struct bp_rig_section *section, const char *name)
{
    char keys[BP_ERROR_TEXT];
    bp_rig_key_list(section->kind, keys, sizeof keys);
    s->code = BP_ERR_FORMAT;
    bp_error_set(s->file->error, BP_ERR_FORMAT, "[%s%s%s] has no key '%.40s'; its keys: %s",
                 bp_rig_kind_name(section->kind), section->name[0] != '\0' ? " " : "", section->name, name,
                 keys);
    bp_error_place(s->file->error, s->file->path, s->line, 0, (double)NAN);
    return BP_ERR_FORMAT;
}

/* libinih's handler: 1 is well, 0 is an error. */
static int take_entry(void *user, const char *section_name, const char *name, const char *value)
{
    struct splitter *s = user;
    (void)section_name; /* cut at 50 bytes; see_section has the whole of it */
    if (s->code != BP_OK) {
        return 0;
    }
    if (s->continues) {
        s->pool_end--;
        while (s->last_line < s->line) {
            *s->pool_end++ = '\n';
            s->last_line++;
        }
        put_value(s, value);
        return 1;
    }
    if (s->file->section_count == 0) {
        return fail_line(s, BP_ERR_FORMAT, "a key stands before the first section, as [bar]") == BP_OK;
    }
    struct bp_rig_section *section = &s->file->sections[s->file->section_count - 1];
    const char *spelling = NULL;
    enum bp_rig_key key = bp_rig_key_find(section->kind, name, &spelling);
    if (key == BP_KEY_COUNT) {
        return fail_key(s, section, name) == BP_OK;
    }
    if (section->entries[key].value != NULL) {
        struct bp_rig_field field = {s->file, section, key};
        bp_rig_fail(&field, NULL, BP_ERR_FORMAT, "this key is given twice in its section, first in line %zu",
                    section->entries[key].line);
        bp_error_place(s->file->error, NULL, s->line, 0, (double)NAN);
        s->code = BP_ERR_FORMAT;
        return 0;
    }
    s->last = &section->entries[key];
    *s->last = (struct bp_rig_entry){spelling, s->pool_end, s->line};
    put_value(s, value);
    return 1;
}

enum bp_code bp_rig_file_split(const char *bytes, size_t count, char *pool, struct bp_rig_file *file)
{
    static const char mark[] = "\xEF\xBB\xBF"; /* UTF-8's byte order mark */
    struct splitter s = {.file = file, .next = bytes, .end = bytes + count};
    s.pool_end = pool;
    file->section_count = 0;
    if (count >= sizeof mark - 1 && memcmp(bytes, mark, sizeof mark - 1) == 0) {
        s.next += sizeof mark - 1;
    }
    enum bp_code code = check_text(&s);
    if (code != BP_OK) {
        return code;
    }
    int wrong = ini_parse_stream(next_line, &s, take_entry, &s);
    /* The line libinih could not read comes before anything it was let to go on to. */
    if (wrong > 0 && (s.code == BP_OK || (size_t)wrong < s.line)) {
        s.line = (size_t)wrong;
        return fail_line(&s, BP_ERR_FORMAT, "this is neither a [section] nor a 'key = value'");
    }
    if (s.code != BP_OK) {
        return s.code;
    }
    if (wrong < 0) {
        return bp_error_set(file->error, BP_ERR_MEMORY, "memory is out");
    }
    if (file->section_count == 0) {
        s.line = file->lines;
        return fail_line(&s, BP_ERR_EMPTY, "the rig file is empty: it needs at least a [bar] and its mass");
    }
    return BP_OK;
}
