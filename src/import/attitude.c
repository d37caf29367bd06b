/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The attitude that a phone's own filter tells: which way is up by it, on the acceleration's clock. Its
 * convention is that under which the log's acceleration points up; where none is, it is not used.
 */
#include "import/attitude.h"

#include "barplumb/units.h"
#include "import/stream.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { WINDOWS_MAX = 3000 };
/* Over so long a bar's own acceleration mostly averages out of the force. */
static const double BLOCK_S = 0.5;
/* Over so long a bar turns by more than the noise, and not yet back. */
static const double TURN_S = 0.3;
/* rad, rms over the log: what a filter is off (0.06, docs/error-model.md), a bias (0.03), and how far a bar's
 * own acceleration over half a second turns the force (0.1) make 0.12. */
static const double FIT_MOST = 0.2;
/* A convention must be so much better than a more usual one, as a part of that: less is noise. */
static const double BETTER_BY = 0.05;
/* Of how "up" turns and how the gyroscope says it does, by how much the correlation must be better… */
static const double MORE_ALIKE_BY = 0.05;
/* …and which part of what it would be if all between them were the filter's error, as it comes and goes in a
 * window: rad an axis (0.04 rad for 2 s, docs/error-model.md). */
static const double ALIKE_LEAST = 0.5, TURN_NOISE = 0.022;
/* An attitude that stands still so long while the force on an axis moves by so much is stuck. */
static const double STUCK_S = 1, STUCK_FORCE = 1;
/* Lines between readings further apart do not follow a bar that rolls with the reps. */
static const double RATE_LEAST = 5;
/* Which part of the acceleration's time it must cover; at the ends its last reading stands. */
static const double SHARE_LEAST = 0.9;

void bp_import_ignore_attitude(struct bp_importer *im, const char *why)
{
    bp_findings_add(im->findings, "attitude-ignored", BP_NOTE, (double)NAN,
                    "the phone's own attitude is in the log and was not used: %s", why);
}

/* ---- from the table ---- */

static bool filled(double *const *column, size_t width, size_t row)
{
    for (size_t a = 0; a < width; a++) {
        if (isnan(column[a][row])) {
            return false;
        }
    }
    return true;
}

enum bp_code bp_import_take_attitude(struct bp_importer *im, struct bp_table *t, struct bp_attitude *attitude)
{
    *attitude = (struct bp_attitude){.form = t->layout.form, .angle_factor = t->layout.angle_factor};
    struct bp_stream *s = &attitude->stream;
    double *const *column = t->column + BP_ROLE_ATTITUDE;
    if (t->layout.form == BP_FORM_NONE) {
        return BP_OK;
    }
    s->width = column[3] != NULL ? 4 : 3;
    s->time = bp_arena_doubles(&im->scratch, t->rows);
    if (s->time == NULL) {
        return bp_import_no_memory(im);
    }
    for (size_t i = 0; i < t->rows; i++) {
        double at = t->column[BP_ROLE_TIME][i];
        /* Rows that are late are not worth sorting in. */
        if (!filled(column, s->width, i) || (s->count > 0 && !(at > s->time[s->count - 1]))) {
            continue;
        }
        s->time[s->count] = at;
        for (size_t a = 0; a < s->width; a++) {
            column[a][s->count] = column[a][i];
        }
        s->count++;
    }
    for (size_t a = 0; a < s->width; a++) {
        s->value[a] = column[a];
    }
    return BP_OK;
}

/* ---- readings that are none ---- */

static bool same_reading(const struct bp_stream *s, size_t i, size_t k)
{
    for (size_t a = 0; a < s->width; a++) {
        if (s->value[a][i] < s->value[a][k] || s->value[a][i] > s->value[a][k]) {
            return false;
        }
    }
    return true;
}

/* The most that one axis of the force goes through from time `from` to `to`; *at moves on. */
static double force_span(const struct bp_stream *force, double from, double to, size_t *at)
{
    double low[3] = {HUGE_VAL, HUGE_VAL, HUGE_VAL}, high[3] = {-HUGE_VAL, -HUGE_VAL, -HUGE_VAL}, most = 0;
    while (*at < force->count && force->time[*at] < from) {
        ++*at;
    }
    for (; *at < force->count && force->time[*at] <= to; ++*at) {
        for (int a = 0; a < 3; a++) {
            low[a] = fmin(low[a], force->value[a][*at]);
            high[a] = fmax(high[a], force->value[a][*at]);
        }
    }
    for (int a = 0; a < 3; a++) {
        most = fmax(most, high[a] - low[a]);
    }
    return most;
}

/* Leaves of each stuck run its first reading: from there a line leads to where it goes on. Returns how many
 * were left out. */
static size_t drop_stuck(struct bp_attitude *attitude, const struct bp_stream *force)
{
    struct bp_stream *s = &attitude->stream;
    size_t kept = 0, at = 0, count = s->count;
    for (size_t i = 0, end; i < count; i = end) {
        for (end = i + 1; end < count && same_reading(s, end, i); end++) {
        }
        bool stuck = s->time[end - 1] - s->time[i] >= STUCK_S &&
                     force_span(force, s->time[i] - attitude->shift_s, s->time[end - 1] - attitude->shift_s,
                                &at) > STUCK_FORCE;
        for (size_t k = i; k < (stuck ? i + 1 : end); k++, kept++) {
            s->time[kept] = s->time[k];
            for (size_t a = 0; a < s->width; a++) {
                s->value[a][kept] = s->value[a][k];
            }
        }
    }
    s->count = kept;
    return count - kept;
}

/* ---- which convention ---- */

/* What the log shows of itself in some window, and the attitude's readings nearest its ends. */
struct window {
    double seen[3]; /* the mean force; or how far the phone turned by its gyroscope, in the log's own unit */
    double first[4], last[4];
};

struct windows {
    size_t count;
    struct window *list;
    bool turns;
};

/* The sensor that windows are made of. */
struct witness {
    const double *time;
    double *value[3];
    size_t count;
    double shift_s; /* the attitude's time = its + this */
};

static void take_reading(const struct bp_stream *s, double at, size_t *k, double out[4])
{
    while (*k + 1 < s->count && fabs(s->time[*k + 1] - at) <= fabs(s->time[*k] - at)) {
        ++*k;
    }
    for (size_t a = 0; a < s->width; a++) {
        out[a] = s->value[a][*k];
    }
}

/* One window from sample *i on; *i moves behind it. Means over its time are of samples, turns of lines
 * between them. */
static void fill_window(const struct witness *w, double length_s, bool turns, size_t *i, struct window *out)
{
    double from = w->time[*i], n = 0;
    for (; *i < w->count && w->time[*i] < from + length_s; ++*i, n++) {
        for (int a = 0; a < 3; a++) {
            double step = *i + 1 < w->count ? w->time[*i + 1] - w->time[*i] : 0;
            double next = w->value[a][*i + (*i + 1 < w->count)];
            out->seen[a] += turns ? 0.5 * step * (w->value[a][*i] + next) : w->value[a][*i];
        }
    }
    for (int a = 0; a < 3 && !turns; a++) {
        out->seen[a] /= n;
    }
}

static bool make_windows(struct bp_importer *im, const struct bp_attitude *attitude, const struct witness *w,
                         bool turns, struct windows *out)
{
    const double length = turns ? TURN_S : BLOCK_S;
    double step = fmax(length, (w->time[w->count - 1] - w->time[0]) / WINDOWS_MAX);
    size_t k = 0, i = 0;
    *out = (struct windows){.turns = turns};
    out->list = bp_arena_zero(&im->scratch, WINDOWS_MAX, sizeof *out->list);
    while (out->list != NULL && i < w->count && out->count < WINDOWS_MAX) {
        struct window *window = &out->list[out->count++];
        double from = w->time[i];
        fill_window(w, length, turns, &i, window);
        double to = i < w->count ? w->time[i] : w->time[w->count - 1];
        double inward = turns ? 0 : 0.5 * (to - from); /* a mean is of its middle */
        take_reading(&attitude->stream, from + inward + w->shift_s, &k, window->first);
        take_reading(&attitude->stream, to - inward + w->shift_s, &k, window->last);
        while (i < w->count && w->time[i] < from + step) {
            i++;
        }
    }
    return out->list != NULL;
}

/* What a convention makes of the windows. */
struct fit {
    double cosines;                   /* of the force and "up" */
    double product, turned, expected; /* of how "up" turned and how the gyroscope says it did */
    size_t count, bad;
};

static void add_window(const struct window *window, const struct bp_convention *c, struct fit *fit)
{
    double up[3], later[3];
    const double *s = window->seen;
    fit->count++;
    if (!bp_convention_up(c, window->first, up) || !bp_convention_up(c, window->last, later)) {
        fit->bad++;
        return;
    }
    double length = sqrt(s[0] * s[0] + s[1] * s[1] + s[2] * s[2]);
    fit->cosines += length > 0 ? (s[0] * up[0] + s[1] * up[1] + s[2] * up[2]) / length : 0;
    for (int a = 0; a < 3; a++) { /* u' = -w x u */
        int b = (a + 1) % 3, d = (a + 2) % 3;
        double expected = -0.5 * (s[b] * (up[d] + later[d]) - s[d] * (up[b] + later[b]));
        double turned = later[a] - up[a];
        fit->product += expected * turned;
        fit->turned += turned * turned;
        fit->expected += expected * expected;
    }
}

/* How far off a convention is: "up" from the direction of the force, rad rms (*sign is -1 where it points
 * down), over what it may be; or, with a gyroscope, how little its turning is like the gyroscope's. 1 is too
 * far off. */
static double misfit(const struct windows *w, const struct bp_convention *c, double *sign)
{
    struct fit fit = {0};
    for (size_t i = 0; i < w->count; i++) {
        add_window(&w->list[i], c, &fit);
    }
    *sign = fit.cosines < 0 && !w->turns ? -1 : 1;
    if (fit.bad * 10 > fit.count) {
        return HUGE_VAL;
    }
    if (w->turns) {
        const double AXES = 2; /* across "up" */
        double noise = AXES * TURN_NOISE * TURN_NOISE * (double)fit.count;
        double alike = fit.product / sqrt(fit.turned * fit.expected);
        double wanted = sqrt(fit.expected / (fit.expected + noise));
        return fit.turned * fit.expected > 0 ? 1 - (alike - ALIKE_LEAST * wanted) : HUGE_VAL;
    }
    return sqrt(fmax(0, 2 - 2 * fabs(fit.cosines) / (double)(fit.count - fit.bad))) / FIT_MOST;
}

/* The convention that fits best, the usual where others are no better. Returns how far it is off. */
static double choose(const struct bp_attitude *attitude, const struct windows *w, struct bp_convention *best,
                     double *sign)
{
    struct bp_convention c;
    double least = HUGE_VAL, points;
    for (int i = 0; bp_convention_at(attitude->form, attitude->angle_factor, i, &c); i++) {
        double off = misfit(w, &c, &points);
        if (off < least - (w->turns ? MORE_ALIKE_BY : BETTER_BY)) {
            least = off;
            *best = c;
            *sign = points;
        }
    }
    return least;
}

/* ---- up on the acceleration's clock ---- */

static bool put_up(struct bp_importer *im, struct bp_attitude *attitude, const struct bp_convention *c,
                   double sign)
{
    struct bp_stream *s = &attitude->stream, *up = &attitude->up;
    *up = (struct bp_stream){.width = 3, .time = s->time};
    for (int a = 0; a < 3; a++) {
        up->value[a] = bp_arena_doubles(&im->scratch, s->count);
        if (up->value[a] == NULL) {
            return false;
        }
    }
    for (size_t i = 0; i < s->count; i++) {
        double reading[4] = {0}, v[3];
        for (size_t a = 0; a < s->width; a++) {
            reading[a] = s->value[a][i];
        }
        if (bp_convention_up(c, reading, v)) {
            s->time[up->count] = s->time[i];
            for (int a = 0; a < 3; a++) {
                up->value[a][up->count] = sign * v[a];
            }
            up->count++;
        }
    }
    return true;
}

/* Straight lines between directions, made unit length again. False when memory is out. */
static bool up_at(struct bp_arena *arena, const struct bp_attitude *attitude, const struct bp_stream *force,
                  double *out[3])
{
    for (int a = 0; a < 3; a++) {
        out[a] = bp_arena_doubles(arena, force->count);
        if (out[a] == NULL) {
            return false;
        }
    }
    double *const to[3] = {out[0], out[1], out[2]};
    bp_import_resample(&attitude->up, force->time, force->count, attitude->shift_s, to);
    for (size_t i = 0; i < force->count; i++) {
        double length = sqrt(out[0][i] * out[0][i] + out[1][i] * out[1][i] + out[2][i] * out[2][i]);
        for (int a = 0; a < 3; a++) {
            out[a][i] = length > 0 ? out[a][i] / length : a == 2;
        }
    }
    return true;
}

/* What the phone's filter took out, it took out along this very direction, whatever that is off: put back,
 * the readings are the sensor's again. */
static enum bp_code add_gravity(struct bp_importer *im, struct bp_part *part, const struct bp_convention *c,
                                double sign)
{
    double *up[3];
    if (!up_at(&im->scratch, &part->attitude, &part->force, up)) {
        return bp_import_no_memory(im);
    }
    for (int a = 0; a < 3; a++) {
        for (size_t i = 0; i < part->force.count; i++) {
            part->force.value[a][i] += BP_STANDARD_GRAVITY * up[a][i];
        }
    }
    part->linear = false;
    part->sign_assumed = bp_import_sign_given(im->settings) == 0;
    bp_findings_add(
        im->findings, "gravity-from-attitude", BP_RESERVATION, (double)NAN,
        "gravity is not in the acceleration; it was put back by the phone's own attitude (%s), the "
        "acceleration counted %s%s",
        bp_convention_name(c), sign > 0 ? "upward" : "downward",
        part->sign_assumed ? ", as is usual in its unit" : "");
    return BP_OK;
}

/* Counted in g, phones tell acceleration with the opposite sign, gravity in it or not (docs/import.md).
 * Nothing in the readings says so: what the lift's movement says of it is asked later (trace.h:
 * sign_assumed). */
static double linear_sign(const struct bp_importer *im, const struct bp_part *part)
{
    const struct bp_unit *unit = part->force_unit;
    int given = bp_import_sign_given(im->settings);
    bool in_g = unit != NULL && (strcmp(unit->name, "g") == 0 || strcmp(unit->name, "mg") == 0);
    return given != 0 ? given : in_g ? -1 : 1;
}

static double longest_step(const struct bp_stream *s)
{
    double longest = 0;
    for (size_t i = 1; i < s->count; i++) {
        longest = fmax(longest, s->time[i] - s->time[i - 1]);
    }
    return longest;
}

/* Too little of it to be of use, in words; NULL: enough. Beside gravity it may be left out, so none of it may
 * be missing; to put gravity back, lines have to do over up to half of it. */
static const char *too_little(const struct bp_attitude *attitude, const struct bp_stream *force, size_t stuck,
                              bool linear)
{
    const struct bp_stream *s = &attitude->stream;
    if (stuck > (linear ? s->count : 0)) {
        return "it stands still while the phone moves";
    }
    if (s->count < 2) {
        return "it has fewer than two readings";
    }
    double from = fmax(s->time[0] - attitude->shift_s, force->time[0]);
    double to = fmin(s->time[s->count - 1] - attitude->shift_s, force->time[force->count - 1]);
    if (to - from < SHARE_LEAST * (force->time[force->count - 1] - force->time[0])) {
        return "it does not cover the acceleration's time";
    }
    if (!linear && longest_step(s) > STUCK_S) {
        return "it has a hole of more than a second";
    }
    return (double)(s->count + stuck) < RATE_LEAST * (s->time[s->count - 1] - s->time[0])
               ? "it has fewer than five readings a second"
               : NULL;
}

/* By the force, where gravity is in it. */
static enum bp_code settle_by_force(struct bp_importer *im, struct bp_part *part, struct bp_convention *c,
                                    double *sign, const char **why)
{
    const struct bp_stream *f = &part->force;
    struct witness witness = {
        f->time, {f->value[0], f->value[1], f->value[2]}, f->count, part->attitude.shift_s};
    struct windows windows;
    if (!make_windows(im, &part->attitude, &witness, false, &windows)) {
        return bp_import_no_memory(im);
    }
    *why = choose(&part->attitude, &windows, c, sign) <= 1
               ? NULL
               : "under no convention does the acceleration point up by it";
    return BP_OK;
}

/* By the gyroscope, where gravity is not. Without one either, nothing tells conventions apart: that of the
 * phones' own interfaces is taken, which all turn phone to world. Of angles there is none. */
static enum bp_code settle_linear(struct bp_importer *im, struct bp_part *part, const struct bp_part *turning,
                                  struct bp_convention *c, const char **why)
{
    const struct bp_attitude *attitude = &part->attitude;
    bool same = part->force.width == BP_STREAM_WIDTH;
    const struct bp_stream *t = same ? &part->force : &turning->turn;
    struct windows windows;
    double sign;
    *why = NULL;
    if (t->width == 0) {
        *why = attitude->form == BP_FORM_ANGLES
                   ? "without gravity and gyroscope nothing tells how its angles are counted"
                   : NULL;
        (void)bp_convention_at(attitude->form, attitude->angle_factor, 0, c);
        return BP_OK;
    }
    size_t first = same ? 3 : 0;
    struct witness witness = {t->time,
                              {t->value[first], t->value[first + 1], t->value[first + 2]},
                              t->count,
                              attitude->shift_s - (same ? 0 : bp_import_shift_between(part, turning))};
    if (!make_windows(im, attitude, &witness, true, &windows)) {
        return bp_import_no_memory(im);
    }
    *why = choose(attitude, &windows, c, &sign) <= 1
               ? NULL
               : "under no convention does it turn as the gyroscope says";
    return BP_OK;
}

enum bp_code bp_import_settle_attitude(struct bp_importer *im, struct bp_part *part,
                                       const struct bp_part *turning)
{
    struct bp_attitude *attitude = &part->attitude;
    struct bp_convention c = {0};
    double sign = 1;
    if (attitude->form == BP_FORM_NONE || part->force.count < 2) {
        return BP_OK;
    }
    size_t stuck = drop_stuck(attitude, &part->force);
    const char *why = too_little(attitude, &part->force, stuck, part->linear);
    enum bp_code code = BP_OK;
    if (why == NULL) {
        code = part->linear ? settle_linear(im, part, turning, &c, &why)
                            : settle_by_force(im, part, &c, &sign, &why);
    }
    if (code != BP_OK) {
        return code;
    }
    if (why != NULL) {
        bp_import_ignore_attitude(im, why);
        return BP_OK;
    }
    sign = part->linear ? linear_sign(im, part) : sign;
    if (!put_up(im, attitude, &c, sign)) {
        return bp_import_no_memory(im);
    }
    return part->linear ? add_gravity(im, part, &c, sign) : BP_OK;
}

enum bp_code bp_import_put_attitude(struct bp_importer *im, const struct bp_part *part,
                                    struct bp_trace *trace)
{
    return part->attitude.up.width == 0 || up_at(im->arena, &part->attitude, &part->force, trace->up)
               ? BP_OK
               : bp_import_no_memory(im);
}
