/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rests cut a log into stretches; those that hold a lift become parts.
 */
#include "barplumb/split.h"

#include "barplumb/text.h"
#include "split/parts.h"

#include <math.h>
#include <string.h>

const struct bp_split_settings bp_split_defaults = {.least_rest_s = 20, .keep_s = 5, .least_way_m = 0.06};

static const double REST_LEAST = 10, REST_MOST = 600, KEEP_LEAST = 1, WAY_MOST = 1;
static const double TOLD_S = 3; /* less is a knock, and not worth a line */

/* What lies between two rests, the log's ends among them. */
struct stretch {
    const struct bp_calm *before, *after; /* NULL: the log's end */
    size_t first, last;
    bool lift;
    /* The calm spells between which the phone is on the bar, about all lifts; NULL: not seen, so from or to
     * the rest before or after, or the log's end. */
    const struct bp_calm *on_bar_from, *on_bar_to;
};

struct work {
    const struct bp_trace *trace;
    const struct bp_split_settings *settings;
    struct bp_arena *arena;
    struct bp_calms calms, rests;
    struct stretch *stretches;
    size_t count;
};

static enum bp_code check_settings(const struct bp_split_settings *s, struct bp_error *error)
{
    if (!(s->least_rest_s >= REST_LEAST && s->least_rest_s <= REST_MOST)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "a rest between sets lasts 10 to 600 s");
    }
    if (!(s->keep_s >= KEEP_LEAST && s->keep_s <= 0.5 * s->least_rest_s)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "a part keeps from 1 s to half of a rest");
    }
    if (!(s->least_way_m > 0 && s->least_way_m <= WAY_MOST)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "the least way of a lift lies between 0 and 1 m");
    }
    return BP_OK;
}

/* Reading a stretch from calm spell to calm spell. */
struct reader {
    const struct bp_calm *before;   /* the movement at hand */
    const struct bp_calm *run_from; /* since there the phone lies nearly the same */
    bool run_holds_lift;
};

static void read_movement(const struct work *w, struct stretch *stretch, struct reader *reader,
                          const struct bp_calm *after)
{
    struct bp_movement movement = bp_movement_read(w->trace, reader->before, after, w->settings->least_way_m);
    bool lift = movement.lift_before || movement.lift_after;
    if (lift && !stretch->lift) {
        stretch->on_bar_from = movement.lift_before || movement.on_bar ? reader->run_from : NULL;
    }
    stretch->lift = stretch->lift || lift;
    if (movement.on_bar) {
        reader->run_holds_lift = reader->run_holds_lift || lift;
    } else {
        stretch->on_bar_to = lift && !movement.lift_after ? NULL : stretch->on_bar_to;
        reader->run_holds_lift = movement.lift_after;
        reader->run_from = after;
    }
    if (reader->run_holds_lift) {
        stretch->on_bar_to = after;
    }
    reader->before = after;
}

/* *at: the first calm spell that ends after the stretch begins; moved on, so that all stretches together see
 * each spell once. */
static void read_stretch(const struct work *w, struct stretch *stretch, size_t *at)
{
    struct reader reader = {stretch->before, stretch->before, false};
    for (; *at < w->calms.count && w->calms.list[*at].last <= stretch->last; (*at)++) {
        if (w->calms.list[*at].first >= stretch->first) {
            read_movement(w, stretch, &reader, &w->calms.list[*at]);
        }
    }
    read_movement(w, stretch, &reader, stretch->after);
}

static void add_stretch(struct work *w, const struct bp_calm *before, const struct bp_calm *after, size_t *at)
{
    struct stretch stretch = {.before = before,
                              .after = after,
                              .first = before ? before->last + 1 : 0,
                              .last = after ? after->first : w->trace->count};
    if (stretch.first < stretch.last) {
        stretch.last--;
        read_stretch(w, &stretch, at);
        w->stretches[w->count++] = stretch;
    }
}

static bool find_stretches(struct work *w)
{
    size_t at = 0;
    w->stretches = bp_arena_take(w->arena, w->rests.count + 1, sizeof *w->stretches);
    if (!w->stretches) {
        return false;
    }
    for (size_t r = 0; r <= w->rests.count; r++) {
        add_stretch(w, r > 0 ? &w->rests.list[r - 1] : NULL, r < w->rests.count ? &w->rests.list[r] : NULL,
                    &at);
    }
    return true;
}

static double length_of(const struct work *w, const struct stretch *stretch)
{
    return w->trace->time_s[stretch->last] - w->trace->time_s[stretch->first];
}

/* How many parts to cut: one for each stretch with a lift. 0: none, the log is as good as one set; one lift
 * is cut out only of a log that holds more movement than a knock. */
static size_t count_parts(const struct work *w)
{
    size_t lifts = 0, others = 0;
    for (size_t s = 0; s < w->count; s++) {
        lifts += w->stretches[s].lift;
        others += !w->stretches[s].lift && length_of(w, &w->stretches[s]) >= TOLD_S;
    }
    return lifts > 1 || others > 0 ? lifts : 0;
}

/* A stretch from where the phone is on the bar, with what is kept of the rests if it is there already. */
static void bound_part(const struct work *w, const struct stretch *stretch, size_t *first, size_t *last)
{
    const double *t = w->trace->time_s, keep_s = w->settings->keep_s;
    const struct bp_calm *from = stretch->on_bar_from, *to = stretch->on_bar_to;
    *first = stretch->first;
    *last = stretch->last;
    if (from && from != stretch->before) {
        *first = from->first;
    } else if (stretch->before) {
        while (*first > stretch->before->first && t[stretch->first] - t[*first - 1] <= keep_s) {
            (*first)--;
        }
    }
    if (to && to != stretch->after) {
        *last = to->last;
    } else if (stretch->after) {
        while (*last < stretch->after->last && t[*last + 1] - t[stretch->last] <= keep_s) {
            (*last)++;
        }
    }
}

/* Those of the whole log, and those in the part, in its time. */
static void take_findings(const struct bp_findings *all, double from_s, double to_s, struct bp_findings *own)
{
    own->count = 0;
    for (size_t f = 0; f < all->count; f++) {
        const struct bp_finding *finding = &all->list[f];
        if (!(finding->at_s < from_s || finding->at_s > to_s)) {
            own->list[own->count] = *finding;
            own->list[own->count++].at_s -= from_s;
        }
    }
}

static bool make_part(const struct work *w, const struct stretch *stretch, struct bp_trace *part)
{
    const struct bp_trace *trace = w->trace;
    size_t first, last;
    bound_part(w, stretch, &first, &last);
    *part = *trace;
    part->count = last - first + 1;
    part->from_s = trace->from_s + trace->time_s[first];
    part->start_epoch_s = trace->start_epoch_s + trace->time_s[first];
    part->time_s = bp_arena_doubles(w->arena, part->count);
    part->marks = trace->marks + first;
    for (int a = 0; a < 3; a++) {
        part->force[a] = trace->force[a] + first;
        part->turn[a] = trace->gyroscope ? trace->turn[a] + first : NULL;
        part->up[a] = trace->up[a] ? trace->up[a] + first : NULL;
    }
    for (size_t i = 0; part->time_s && i < part->count; i++) {
        part->time_s[i] = trace->time_s[first + i] - trace->time_s[first];
    }
    take_findings(&trace->findings, trace->time_s[first], trace->time_s[last], &part->findings);
    return part->time_s != NULL;
}

/* In the time of the part that tells of it. */
static void tell_left_out(const struct bp_left_out *left, struct bp_trace *part)
{
    char from[32], to[32];
    bp_number_write(left->from_s, 1, from, sizeof from);
    bp_number_write(left->to_s, 1, to, sizeof to);
    bp_findings_add(&part->findings, "no-lift", BP_NOTE, left->from_s - part->from_s,
                    "what moves from %s to %s s is no lift, and was left out", from, to);
}

static bool make_parts(const struct work *w, struct bp_parts *parts)
{
    const struct bp_trace *trace = w->trace;
    size_t made = 0, told = 0;
    for (size_t s = 0; s < w->count; s++) {
        const struct stretch *stretch = &w->stretches[s];
        if (!stretch->lift && length_of(w, stretch) < TOLD_S) {
            continue;
        }
        if (!stretch->lift) {
            parts->left[parts->left_count++] = (struct bp_left_out){
                trace->from_s + trace->time_s[stretch->first], trace->from_s + trace->time_s[stretch->last]};
            continue;
        }
        struct bp_trace *part = &parts->list[made++];
        if (!make_part(w, stretch, part)) {
            return false;
        }
        part->part = made;
        part->parts = parts->count;
        for (; told < parts->left_count; told++) {
            tell_left_out(&parts->left[told], part);
        }
    }
    for (; told < parts->left_count; told++) {
        tell_left_out(&parts->left[told], &parts->list[parts->count - 1]);
    }
    return true;
}

static bool split(struct work *w, struct bp_parts *parts)
{
    bool found = bp_calm_find(w->trace, w->arena, &w->calms) &&
                 bp_calm_rests(w->trace, &w->calms, w->settings->least_rest_s, w->arena, &w->rests) &&
                 find_stretches(w);
    if (!found) {
        return false;
    }
    size_t cut = count_parts(w);
    parts->count = cut > 0 ? cut : 1;
    parts->list = bp_arena_take(w->arena, parts->count, sizeof *parts->list);
    parts->left = bp_arena_take(w->arena, w->count + 1, sizeof *parts->left);
    if (!parts->list || !parts->left) {
        return false;
    }
    if (cut > 0) {
        return make_parts(w, parts);
    }
    parts->list[0] = *w->trace;
    return true;
}

enum bp_code bp_split_trace(const struct bp_trace *trace, const struct bp_split_settings *settings,
                            struct bp_arena *arena, struct bp_parts *parts, struct bp_error *error)
{
    struct work w = {.trace = trace, .settings = settings ? settings : &bp_split_defaults, .arena = arena};
    memset(parts, 0, sizeof *parts);
    bp_error_clear(error);
    enum bp_code code = check_settings(w.settings, error);
    if (code == BP_OK && !split(&w, parts)) {
        code = bp_error_set(error, BP_ERR_MEMORY, "out of memory while looking for the sets of a log");
    }
    if (code != BP_OK) {
        memset(parts, 0, sizeof *parts);
    }
    return code;
}
