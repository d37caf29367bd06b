/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One comparison as a sentence.
 */
#include "barplumb/compare.h"

#include <string.h>

enum { RATIO_DECIMALS = 1 };

static void put_name(struct bp_text *text, const char *name, bool capital)
{
    const char *shown = name[0] != '\0' ? name : "unnamed";
    char first = shown[0];
    bp_text_put_char(text, capital && first >= 'a' && first <= 'z' ? (char)(first - 'a' + 'A') : first);
    bp_text_put(text, shown + 1);
}

/* One digit more where the interval is so narrow, or its nearer end so close to none, that it would not show.
 */
static int digits_for(struct bp_quantity q, double none, int decimals)
{
    double step = pow(10.0, -decimals), nearest = fmin(fabs(q.low - none), fabs(q.high - none));
    bool fine = q.high - q.low < 2.0 * step || ((q.low > none || q.high < none) && nearest < 0.5 * step);
    return fine && decimals < 9 ? decimals + 1 : decimals;
}

static void put_with_unit(struct bp_text *text, double value, int decimals, const char *unit)
{
    bp_text_put_number(text, value, decimals);
    if (unit[0] != '\0') {
        bp_text_put_char(text, ' ');
        bp_text_put(text, unit);
    }
}

static void put_interval(struct bp_text *text, struct bp_quantity q, int decimals)
{
    bp_text_put(text, " (");
    bp_text_put_number(text, q.low, decimals);
    bp_text_put(text, " to ");
    bp_text_put_number(text, q.high, decimals);
    bp_text_put_char(text, ')');
}

/* The pair turned so that the first has more. */
struct turned {
    const char *more, *less;
    struct bp_quantity q;
};

static struct turned turn(const struct bp_compare_result *r, const struct bp_compare_pair *p)
{
    bool ratio = r->figure.scale == BP_SCALE_RATIO, swap = p->verdict == BP_FIRST_LESS;
    struct bp_quantity q = ratio ? p->ratio_all : p->difference_all;
    const char *first = r->groups[p->first].name, *second = r->groups[p->second].name;
    if (swap && ratio) {
        q = (struct bp_quantity){1.0 / q.value, 1.0 / q.high, 1.0 / q.low};
    } else if (swap) {
        q = (struct bp_quantity){-q.value, -q.high, -q.low};
    }
    return (struct turned){swap ? second : first, swap ? first : second, q};
}

static void put_ratio(const struct bp_compare_figure *f, const struct turned *t, struct bp_text *text)
{
    int decimals = digits_for(t->q, 1.0, RATIO_DECIMALS);
    if (f->deed != NULL) {
        put_name(text, t->more, true);
        bp_text_put_char(text, ' ');
        bp_text_put(text, f->deed);
        bp_text_put_char(text, ' ');
        bp_text_put_number(text, t->q.value, decimals);
        bp_text_put(text, " times as much as ");
        put_name(text, t->less, false);
    } else {
        bp_text_put(text, f->words);
        bp_text_put(text, ": ");
        bp_text_put_number(text, t->q.value, decimals);
        bp_text_put(text, " times as much with ");
        put_name(text, t->more, false);
        bp_text_put(text, " as with ");
        put_name(text, t->less, false);
    }
    put_interval(text, t->q, decimals);
}

static void put_difference(const struct bp_compare_figure *f, const struct turned *t, struct bp_text *text)
{
    int decimals = digits_for(t->q, 0.0, f->decimals);
    bp_text_put(text, f->where != NULL ? "loads differ" : f->words);
    bp_text_put(text, ": ");
    put_with_unit(text, t->q.value, decimals, f->unit);
    bp_text_put(text, " more ");
    if (f->where != NULL && f->where[0] != '\0') {
        bp_text_put(text, f->where);
        bp_text_put_char(text, ' ');
    }
    bp_text_put(text, "with ");
    put_name(text, t->more, false);
    bp_text_put(text, " than with ");
    put_name(text, t->less, false);
    put_interval(text, t->q, decimals);
}

/* "a and b" behind what they are compared in. */
static void put_both(const struct bp_compare_result *r, const struct bp_compare_pair *p, const char *between,
                     struct bp_text *text)
{
    put_name(text, r->groups[p->first].name, false);
    bp_text_put(text, between);
    put_name(text, r->groups[p->second].name, false);
}

static void put_no_different(const struct bp_compare_result *r, const struct bp_compare_pair *p,
                             struct bp_text *text)
{
    const struct bp_compare_figure *f = &r->figure;
    bool load = f->where != NULL;
    bp_text_put(text, load ? "loads match" : f->words);
    bp_text_put(text, ": ");
    put_both(r, p, " and ", text);
    bp_text_put(text, load ? " " : " no different");
    if (load && f->where[0] != '\0') {
        bp_text_put(text, f->where);
        bp_text_put_char(text, ' ');
    }
    bp_text_put(text, load ? "within " : " within ");
    if (f->scale == BP_SCALE_RATIO) {
        double most = fmax(p->ratio_all.high, 1.0 / p->ratio_all.low), step = 0.01;
        bp_text_put_number(text, ceil(most / step - 1e-9) * step, 2);
        bp_text_put(text, " times");
    } else {
        double most = fmax(p->difference_all.high, -p->difference_all.low), step = pow(10.0, -f->decimals);
        put_with_unit(text, ceil(most / step - 1e-9) * step, f->decimals, f->unit);
    }
}

static void put_more(const struct bp_compare_result *r, const struct bp_compare_pair *p, struct bp_text *text)
{
    bool ratio = r->figure.scale == BP_SCALE_RATIO;
    double seen = ratio ? fabs(log(p->ratio.value)) : fabs(p->difference.value);
    double worth = r->figure.worth > 0.0 ? (ratio ? log(r->figure.worth) : r->figure.worth) : (double)NAN;
    /* A difference that looks larger than is worth naming takes what it takes to see it; else that is looked
     * for. */
    size_t more = seen > worth || !(r->figure.worth > 0.0) ? p->more_as_seen : p->more_for_worth;
    if (more == 0) {
        return;
    }
    bp_text_put(text, more > BP_MORE_MAX ? "; more than " : "; about ");
    bp_text_put_count(text, more > BP_MORE_MAX ? BP_MORE_MAX : more);
    bp_text_put(text, " more ");
    bp_text_put(text, bp_compare_unit_name(p->unit));
    bp_text_put(text, more == 1 ? " of each would" : "s of each would");
}

static void put_cannot_tell(const struct bp_compare_result *r, const struct bp_compare_pair *p,
                            struct bp_text *text)
{
    static const char *const why[] = {
        [BP_REASON_NONE] = "",
        [BP_REASON_FEW] = "; at least two of each are needed, on one day or on several",
        [BP_REASON_LIFTERS] = "; no lifter did both",
        [BP_REASON_NOTHING] = "; it was not measured on both sides",
    };
    bp_text_put(text, r->figure.words);
    bp_text_put(text, ": cannot tell ");
    put_both(r, p, " from ", text);
    bp_text_put(text, why[p->reason]);
    if (p->reason == BP_REASON_NONE) {
        put_more(r, p, text);
    }
}

void bp_compare_put_sentence(const struct bp_compare_result *result, const struct bp_compare_pair *pair,
                             struct bp_text *text)
{
    struct turned t = turn(result, pair);
    switch (pair->verdict) {
    case BP_FIRST_MORE:
    case BP_FIRST_LESS:
        if (result->figure.scale == BP_SCALE_RATIO) {
            put_ratio(&result->figure, &t, text);
        } else {
            put_difference(&result->figure, &t, text);
        }
        bp_text_put(text, pair->small ? ", which is less than is worth naming" : "");
        return;
    case BP_NO_DIFFERENT:
        put_no_different(result, pair, text);
        return;
    default:
        put_cannot_tell(result, pair, text);
    }
}

const char *bp_compare_unit_name(enum bp_compare_unit unit)
{
    static const char *const names[] = {"", "set", "day", "lifter"};
    return (int)unit >= 0 && unit <= BP_UNIT_LIFTER ? names[unit] : "";
}

const char *bp_compare_verdict_name(enum bp_compare_verdict verdict)
{
    static const char *const names[] = {"cannot_tell", "more", "less", "no_different"};
    return (int)verdict >= 0 && verdict <= BP_NO_DIFFERENT ? names[verdict] : "";
}

const char *bp_compare_reason_name(enum bp_compare_reason reason)
{
    static const char *const names[] = {"", "few", "lifters", "nothing"};
    return (int)reason >= 0 && reason <= BP_REASON_NOTHING ? names[reason] : "";
}
