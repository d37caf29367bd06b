/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sets of a log of several recordings: those of each, numbered on through all of them.
 */
#include "barplumb/split.h"

#include <string.h>

struct work {
    const struct bp_recordings *recordings;
    struct bp_parts *of; /* [recordings->count]; count 0: it could not be read */
    struct bp_arena *arena;
};

static enum bp_code no_memory(struct bp_error *error)
{
    return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the sets of a log");
}

static enum bp_code split_each(const struct work *w, const struct bp_split_settings *settings, bool whole,
                               struct bp_error *error)
{
    enum bp_code code = BP_OK;
    for (size_t r = 0; r < w->recordings->count && code == BP_OK; r++) {
        const struct bp_recording *recording = &w->recordings->list[r];
        if (recording->code != BP_OK) {
            continue;
        }
        if (whole) {
            w->of[r] = (struct bp_parts){.count = 1, .list = recording->trace};
        } else {
            code = bp_split_trace(recording->trace, settings, w->arena, &w->of[r], error);
        }
    }
    return code;
}

static enum bp_code join(const struct work *w, struct bp_parts *parts, struct bp_error *error)
{
    for (size_t r = 0; r < w->recordings->count; r++) {
        parts->count += w->of[r].count;
        parts->left_count += w->of[r].left_count;
    }
    parts->list = bp_arena_take(w->arena, parts->count, sizeof *parts->list);
    parts->left = bp_arena_take(w->arena, parts->left_count + 1, sizeof *parts->left);
    if (!parts->list || !parts->left) {
        return no_memory(error);
    }
    size_t at = 0, left = 0;
    for (size_t r = 0; r < w->recordings->count; r++) {
        for (size_t p = 0; p < w->of[r].count; p++, at++) {
            parts->list[at] = w->of[r].list[p];
            parts->list[at].part = at + 1;
            parts->list[at].parts = parts->count;
        }
        for (size_t k = 0; k < w->of[r].left_count; k++) {
            parts->left[left++] = w->of[r].left[k];
        }
    }
    return BP_OK;
}

enum bp_code bp_split_recordings(const struct bp_recordings *recordings,
                                 const struct bp_split_settings *settings, bool whole, struct bp_arena *arena,
                                 struct bp_parts *parts, struct bp_error *error)
{
    struct work w = {recordings, bp_arena_zero(arena, recordings->count, sizeof *w.of), arena};
    memset(parts, 0, sizeof *parts);
    bp_error_clear(error);
    if (!w.of) {
        return no_memory(error);
    }
    enum bp_code code = split_each(&w, settings, whole, error);
    if (code == BP_OK && recordings->count == 1) {
        *parts = w.of[0];
    } else if (code == BP_OK) {
        code = join(&w, parts, error);
    }
    if (code != BP_OK) {
        memset(parts, 0, sizeof *parts);
    }
    return code;
}
