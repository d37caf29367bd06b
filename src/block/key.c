/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "block/key.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Raised whenever figures or pages come out otherwise for the same log. */
enum { METHOD = 10 };

enum { WORD_BYTES = 20 };

/* Letters, digits and single '-', lower case not forced; at most WORD_BYTES. */
static size_t put_word(char *out, const char *text)
{
    size_t length = 0;
    for (; *text != '\0' && length < WORD_BYTES; text++) {
        bool plain = (*text >= '0' && *text <= '9') || (*text >= 'a' && *text <= 'z') ||
                     (*text >= 'A' && *text <= 'Z');
        if (plain) {
            out[length++] = *text;
        } else if (length > 0 && out[length - 1] != '-') {
            out[length++] = '-';
        }
    }
    while (length > 0 && out[length - 1] == '-') {
        length--;
    }
    return length;
}

static void put_text(struct bp_text *out, const char *text)
{
    bp_text_put(out, text ? text : "");
    bp_text_put_char(out, '\0'); /* so that "ab", "c" is not "a", "bc" */
}

static void put_number(struct bp_text *out, double value)
{
    char bytes[sizeof value];
    memcpy(bytes, &value, sizeof value);
    bp_text_put_bytes(out, bytes, sizeof bytes);
}

/* Who did what, when, and in which log: two rows that agree in it are the same set written twice. */
static void put_identity(struct bp_text *out, const struct bp_sheet_row *row)
{
    put_text(out, row->date);
    put_text(out, row->lifter);
    put_text(out, bp_lift_facts(row->lift)->name);
    put_text(out, row->setup);
    put_text(out, row->log);
    if (row->part > 0) { /* a row that names no part keeps the name it has always had */
        put_number(out, (double)row->part);
    }
}

static struct bp_digest digest_text(struct bp_text *text)
{
    struct bp_digest digest = bp_digest_of(text->data ? text->data : "", text->length);
    bp_text_free(text);
    return digest;
}

static void name_set(struct bp_block_set *set)
{
    const struct bp_sheet_row *row = set->row;
    const char *const words[] = {row->date, row->lifter, bp_lift_facts(row->lift)->name, row->setup};
    struct bp_text identity;
    size_t length = 0;
    for (size_t w = 0; w < sizeof words / sizeof *words; w++) {
        size_t word = put_word(set->id + length, words[w]);
        length += word;
        if (word > 0) {
            set->id[length++] = '-';
        }
    }
    bp_text_init(&identity);
    put_identity(&identity, row);
    snprintf(set->id + length, BP_BLOCK_ID - length, "%08" PRIx32, (uint32_t)digest_text(&identity).high);
}

/* A set's name and where it stands in the sheet. */
struct named {
    char *id;
    size_t at;
};

static int by_id(const void *a, const void *b)
{
    const struct named *first = a, *second = b;
    int order = strcmp(first->id, second->id);
    return order != 0 ? order : first->at < second->at ? -1 : first->at > second->at;
}

void bp_key_ids(struct bp_block *block)
{
    struct named *sorted = calloc(block->count > 0 ? block->count : 1, sizeof *sorted);
    for (size_t i = 0; i < block->count; i++) {
        name_set(&block->sets[i]);
        if (sorted) {
            sorted[i] = (struct named){block->sets[i].id, i};
        }
    }
    if (sorted) {
        qsort(sorted, block->count, sizeof *sorted, by_id);
    }
    size_t same = 1;
    for (size_t i = 1; sorted && i < block->count; i++) {
        /* the first of equals keeps its name to the end, so compare with it */
        same = strcmp(sorted[i].id, sorted[i - same].id) == 0 ? same + 1 : 1;
        if (same > 1) {
            size_t length = strlen(sorted[i].id);
            snprintf(sorted[i].id + length, BP_BLOCK_ID - length, "-%zu", same);
        }
    }
    free(sorted);
}

void bp_key_origin(const struct bp_sheet_row *row, const struct bp_block_settings *settings,
                   struct bp_origin *origin)
{
    const struct bp_analyse_settings *analyse = &settings->analyse;
    const struct bp_import_settings *import = &analyse->import;
    struct bp_text how;
    memset(origin, 0, sizeof *origin);
    bp_text_init(&how);
    put_text(&how, BARPLUMB_VERSION);
    put_number(&how, METHOD);
    put_identity(&how, row);
    put_text(&how, row->rig);
    put_number(&how, row->lift_given);
    put_number(&how, row->bar_kg);
    put_number(&how, row->plates_kg);
    put_number(&how, analyse->edge_speed_m_s);
    put_number(&how, analyse->along_axis);
    put_number(&how, (double)(analyse->seed >> 32));
    put_number(&how, (double)(analyse->seed & UINT32_MAX));
    put_number(&how, analyse->check.latitude_deg);
    put_number(&how, analyse->check.height_m);
    put_text(&how, import->columns);
    put_text(&how, import->units);
    put_number(&how, import->full_scale_force);
    put_number(&how, import->full_scale_turn);
    put_number(&how, import->gravity_removed);
    put_number(&how, import->rate_hz);
    put_number(&how, settings->pages != NULL);
    put_text(&how, settings->assets);
    put_text(&how, settings->index);
    origin->how = digest_text(&how);
    (void)bp_stamp_of(row->log_path, &origin->log); /* an absent file is told when its bytes are asked for */
    if (row->rig_path[0] != '\0') {
        (void)bp_stamp_of(row->rig_path, &origin->rig);
    }
}

enum bp_code bp_key_bytes(const struct bp_sheet_row *row, struct bp_origin *origin, struct bp_error *error)
{
    enum bp_code code = bp_digest_of_path(row->log_path, &origin->log_bytes, error);
    if (code == BP_OK && row->rig_path[0] != '\0') {
        code = bp_digest_of_path(row->rig_path, &origin->rig_bytes, error);
    }
    return code;
}

static void put_digest(struct bp_text *out, struct bp_digest digest)
{
    char bytes[sizeof digest];
    memcpy(bytes, &digest, sizeof digest);
    bp_text_put_bytes(out, bytes, sizeof bytes);
}

struct bp_digest bp_key_of(const struct bp_origin *origin)
{
    struct bp_text all;
    bp_text_init(&all);
    put_digest(&all, origin->how);
    put_digest(&all, origin->log_bytes);
    put_digest(&all, origin->rig_bytes);
    return digest_text(&all);
}

static void put_row(struct bp_text *out, const struct bp_sheet_row *row, size_t extra_count)
{
    put_identity(out, row);
    put_text(out, row->notes);
    put_number(out, row->target_m_s);
    for (size_t e = 0; e < extra_count; e++) {
        put_text(out, row->extra[e]);
    }
}

void bp_key_block(struct bp_block *block, const struct bp_digest *keys,
                  const struct bp_block_settings *settings)
{
    struct bp_text all;
    bp_text_init(&all);
    put_text(&all, settings->lifter);
    put_text(&all, settings->since);
    for (size_t i = 0; i < block->count; i++) {
        const struct bp_block_set *set = &block->sets[i];
        /* measured now and kept later is the same */
        bool there = set->state == BP_BLOCK_MEASURED || set->state == BP_BLOCK_KEPT;
        put_number(&all, there ? BP_BLOCK_KEPT : set->state);
        put_digest(&all, keys[i]);
        put_text(&all, set->state == BP_BLOCK_FAILED ? set->error.text : "");
        put_row(&all, set->row, block->extra_count);
    }
    struct bp_digest digest = digest_text(&all);
    snprintf(block->key, sizeof block->key, "%016" PRIx64 "%016" PRIx64, digest.high, digest.low);
}
