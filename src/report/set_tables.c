/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The tables of the text report: how fast, how steady and what the bar weighs, a row a rep.
 */
#include "report/set_tables.h"

#include "report/columns.h"
#include "report/figures.h"
#include "report/table.h"

#include <string.h>

/* A column, and where its figure stands: in the rep, or in its range-th range. */
struct source {
    struct bp_column column;
    size_t offset;
    int range; /* from 0; NOT_A_RANGE: offset is in the rep; its head is the range's name */
};
enum { NOT_A_RANGE = -1 };

/* NOLINTBEGIN(bugprone-macro-parentheses): a field's name takes none */
#define OF_REP(field) offsetof(struct bp_rep_figures, field), NOT_A_RANGE
#define OF_RANGE(field, range) offsetof(struct bp_range_figures, field), (range)
/* NOLINTEND(bugprone-macro-parentheses) */

/* ---- how fast; the groups are what a coach reads together ---- */

static const struct source speed_sources[] = {
    {{"mean", "m/s", 3, 1.0, 0, true}, OF_REP(mean_velocity_m_s)},
    {{"peak", "m/s", 3, 1.0, 0, false}, OF_REP(peak_velocity_m_s)},
    {{"prop.", "m/s", 3, 1.0, 0, false}, OF_REP(propulsive_velocity_m_s)},
    {{"", "m/s", 3, 1.0, 1, false}, OF_RANGE(mean_velocity_m_s, 0)},
    {{"", "m/s", 3, 1.0, 1, false}, OF_RANGE(mean_velocity_m_s, 1)},
    {{"", "m/s", 3, 1.0, 1, false}, OF_RANGE(mean_velocity_m_s, 2)},
    {{"range", "cm", 1, 100.0, 2, false}, OF_REP(range_m)},
    {{"descent", "s", 2, 1.0, 2, false}, OF_REP(descent_time_s)},
    {{"pause", "s", 2, 1.0, 2, false}, OF_REP(pause_s)},
    {{"drive", "s", 2, 1.0, 2, false}, OF_REP(drive_time_s)},
    {{"sticks at", "% up", 0, 1.0, 2, false}, OF_REP(sticking.end_pct)},
    {{"slowest", "m/s", 3, 1.0, 2, false}, OF_REP(sticking.low_m_s)},
};
/* A lift that begins at the bottom has its descent after its pause and its drive. */
enum { DESCENT_AT = 7, DRIVE_AT = 9 };

/* ---- how steady ---- */

static const struct source steady_sources[] = {
    {{"drive", "mm", 2, 1.0, 0, true}, OF_REP(shake_mm)},
    {{"", "mm", 2, 1.0, 0, false}, OF_RANGE(shake_mm, 0)},
    {{"", "mm", 2, 1.0, 0, false}, OF_RANGE(shake_mm, 1)},
    {{"", "mm", 2, 1.0, 0, false}, OF_RANGE(shake_mm, 2)},
    {{"descent", "mm", 2, 1.0, 0, false}, OF_REP(descent_shake_mm)},
    {{"mostly", "Hz", 1, 1.0, 1, false}, OF_REP(shake_hz)},
    {{"shake", "m/s²", 2, 1.0, 1, false}, OF_REP(shake_m_s2)},
    {{"clatter", "m/s²", 2, 1.0, 1, false}, OF_REP(clatter_m_s2)},
    {{"sway", "cm²", 1, 1.0, 1, false}, OF_REP(sway_area_cm2)},
    {{"tilt", "deg", 1, 1.0, 1, false}, OF_REP(tilt_deg)},
    {{"smooth", "", 2, 1.0, 1, false}, OF_REP(smoothness)},
};

/* ---- what the bar weighs; only where a rig or a bar mass was given ---- */

static const struct source load_sources[] = {
    {{"", "kg", 1, 1.0, 0, false}, OF_RANGE(load_kg, 0)},
    {{"", "kg", 1, 1.0, 0, false}, OF_RANGE(load_kg, 1)},
    {{"", "kg", 1, 1.0, 0, false}, OF_RANGE(load_kg, 2)},
    {{"", "W", 0, 1.0, 1, false}, OF_RANGE(power_w, 0)},
    {{"", "W", 0, 1.0, 1, false}, OF_RANGE(power_w, 1)},
    {{"", "W", 0, 1.0, 1, false}, OF_RANGE(power_w, 2)},
    {{"force", "N", 0, 1.0, 2, false}, OF_REP(force_n)},
    {{"peak", "N", 0, 1.0, 2, false}, OF_REP(peak_force_n)},
    {{"power", "W", 0, 1.0, 2, false}, OF_REP(power_w)},
    {{"peak", "W", 0, 1.0, 2, false}, OF_REP(peak_power_w)},
    {{"work", "J", 0, 1.0, 2, false}, OF_REP(work_j)},
    {{"impulse", "N s", 0, 1.0, 2, false}, OF_REP(impulse_n_s)},
};
/* A straight bar weighs the same all the way: one column says it. */
static const struct source straight_sources[] = {
    {{"load", "kg", 1, 1.0, 0, false}, OF_REP(load_kg)},
};
enum { LOADS_BY_RANGE = 3 };

#define COUNT_OF(list) (sizeof(list) / sizeof *(list))
_Static_assert(COUNT_OF(speed_sources) <= BP_COLUMNS_MOST, "the table holds them");
_Static_assert(COUNT_OF(load_sources) <= BP_COLUMNS_MOST, "the table holds them");

/* ---- rows ---- */

struct rows {
    const struct bp_summary *summary;
    const struct source *sources;
    bool propulsive_shown;
    bool told; /* a table before this one says how far a missed rep came */
};

static size_t number_of(const void *about, size_t row)
{
    const struct rows *rows = about;
    return rows->summary->reps[row].index;
}

static struct bp_quantity cell_of(const void *about, size_t row, size_t column)
{
    const struct rows *rows = about;
    const struct bp_rep_figures *rep = &rows->summary->reps[row];
    const struct source *source = &rows->sources[column];
    const struct bp_figure figure = {"", source->offset, 0};
    if (source->range != NOT_A_RANGE) {
        return (size_t)source->range < rep->range_count
                   ? bp_report_quantity_at(&rep->ranges[source->range], &figure)
                   : bp_quantity_unknown();
    }
    bool of_sticking = source->offset >= offsetof(struct bp_rep_figures, sticking) &&
                       source->offset < offsetof(struct bp_rep_figures, range_count);
    bool propulsive = source->offset == offsetof(struct bp_rep_figures, propulsive_velocity_m_s);
    if ((of_sticking && !rep->sticking.present) || (propulsive && !rows->propulsive_shown)) {
        return bp_quantity_unknown();
    }
    return bp_report_quantity_at(rep, &figure);
}

static double half_of(struct bp_quantity q)
{
    return (q.high - q.low) / 2;
}

/* How far up a missed rep came, in % of the completed reps' mean range, which is as sure as one of them is:
 * reps of one set share their errors. Unknown if it cannot be told. */
static struct bp_quantity missed_height_pct(const struct bp_summary *summary, struct bp_quantity range)
{
    double sum = 0, half = 0;
    size_t count = 0;
    for (size_t i = 0; i < summary->rep_count; i++) {
        const struct bp_rep_figures *other = &summary->reps[i];
        if (!other->missed && bp_quantity_known(other->range_m)) {
            sum += other->range_m.value;
            half += half_of(other->range_m);
            count++;
        }
    }
    if (count == 0 || !(sum > 0) || !bp_quantity_known(range)) {
        return bp_quantity_unknown();
    }
    double value = 100 * range.value * (double)count / sum;
    double off = value * hypot(half_of(range) / range.value, half / sum);
    return (struct bp_quantity){value, value - off, value + off};
}

/* A missed rep that reached the top all the same was helped up, or put back from there. */
static void put_missed_height(struct bp_text *out, struct bp_quantity pct)
{
    if (pct.value < 1) {
        bp_text_put(out, " at the bottom");
    } else if (pct.value > 100 || pct.high >= 100) {
        bp_text_put(out, ", though the bar came all the way up");
    } else {
        bp_text_put(out, " at ");
        bp_table_put_figure(out, pct, 0, "% of the way up");
    }
}

static bool is_missed(const void *about, size_t row)
{
    const struct rows *rows = about;
    return rows->summary->reps[row].missed;
}

static void put_missed(const void *about, size_t row, struct bp_text *out)
{
    const struct rows *rows = about;
    struct bp_quantity pct = missed_height_pct(rows->summary, rows->summary->reps[row].range_m);
    bp_text_put(out, "  missed");
    if (bp_quantity_known(pct) && !rows->told) {
        put_missed_height(out, pct);
    }
}

/* The ranges' names; of no use without a rep that has ranges. A missed rep has none. */
static const struct bp_rep_figures *rep_with_ranges(const struct bp_summary *summary)
{
    for (size_t r = 0; r < summary->rep_count; r++) {
        if (summary->reps[r].range_count > 0) {
            return &summary->reps[r];
        }
    }
    return NULL;
}

static void put_table(struct bp_text *out, struct rows *rows, size_t count,
                      const struct bp_report_settings *settings)
{
    struct bp_column columns[BP_COLUMNS_MOST];
    const struct bp_rep_figures *named = rep_with_ranges(rows->summary);
    for (size_t i = 0; i < count; i++) {
        int range = rows->sources[i].range;
        columns[i] = rows->sources[i].column;
        if (range != NOT_A_RANGE && named != NULL && (size_t)range < named->range_count) {
            columns[i].head = named->ranges[range].name;
        }
    }
    const struct bp_table table = {
        columns, count, rows->summary->rep_count, rows, "rep", number_of, cell_of, is_missed, put_missed};
    bp_table_put(out, &table, settings);
}

bool bp_set_tables_propulsive_differs(const struct bp_summary *summary)
{
    static const double HALF_A_DIGIT_M_S = 0.0005; /* of the three shown */
    for (size_t r = 0; r < summary->rep_count; r++) {
        const struct bp_rep_figures *rep = &summary->reps[r];
        if (fabs(rep->propulsive_velocity_m_s.value - rep->mean_velocity_m_s.value) > HALF_A_DIGIT_M_S) {
            return true;
        }
    }
    return false;
}

void bp_set_tables_put_speed(struct bp_text *out, const struct bp_summary *summary,
                             const struct bp_report_settings *settings)
{
    const struct bp_lift_facts *lift = bp_lift_facts(summary->set.lift);
    struct source sources[COUNT_OF(speed_sources)];
    memcpy(sources, speed_sources, sizeof speed_sources);
    if (lift != NULL && !lift->descent_first) {
        for (size_t i = DESCENT_AT; i < DRIVE_AT; i++) {
            sources[i] = speed_sources[i + 1];
        }
        sources[DRIVE_AT] = speed_sources[DESCENT_AT];
    }
    struct rows rows = {summary, sources, bp_set_tables_propulsive_differs(summary), false};
    put_table(out, &rows, COUNT_OF(speed_sources), settings);
}

void bp_set_tables_put_steady(struct bp_text *out, const struct bp_summary *summary,
                              const struct bp_report_settings *settings)
{
    struct rows rows = {summary, steady_sources, false, true};
    put_table(out, &rows, COUNT_OF(steady_sources), settings);
}

bool bp_set_tables_have_load(const struct bp_summary *summary)
{
    struct rows rows = {summary, load_sources, false, true};
    for (size_t r = 0; r < summary->rep_count; r++) {
        for (size_t i = 0; i < COUNT_OF(load_sources); i++) {
            if (bp_quantity_known(cell_of(&rows, r, i))) {
                return true;
            }
        }
    }
    return false;
}

void bp_set_tables_put_load(struct bp_text *out, const struct bp_summary *summary,
                            const struct bp_report_settings *settings)
{
    struct source sources[COUNT_OF(load_sources)];
    size_t count = COUNT_OF(load_sources);
    memcpy(sources, load_sources, sizeof load_sources);
    if (!summary->set.load_varies) {
        count -= LOADS_BY_RANGE - COUNT_OF(straight_sources);
        memcpy(sources, straight_sources, sizeof straight_sources);
        memcpy(sources + COUNT_OF(straight_sources), load_sources + LOADS_BY_RANGE,
               sizeof load_sources - LOADS_BY_RANGE * sizeof *load_sources);
    }
    struct rows rows = {summary, sources, false, true};
    put_table(out, &rows, count, settings);
}
