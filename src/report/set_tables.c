/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The tables of the text report: how fast, how steady and what the bar weighs, a row a rep. More than one,
 * because a single one would not fit 80 columns.
 */
#include "report/set_tables.h"

#include "report/figures.h"
#include "report/table.h"

enum {
    TEXT_RANGES = 3, /* what 80 columns hold; the lifts have as many */
    REP_WIDTH = 3,
    CELLS_MOST = 16
};

struct table {
    const struct bp_column *columns; /* the first is the rep's number */
    size_t count;                    /* with the first */
    void (*fill)(const struct bp_rep_figures *rep, struct bp_quantity *cells);
};

/* ---- how fast ---- */

static const struct bp_column speed_columns[] = {
    {"rep", "", REP_WIDTH, 0, 1.0}, {"descent", "s", 8, 2, 1.0},  {"pause", "s", 6, 2, 1.0},
    {"drive", "s", 6, 2, 1.0},      {"range", "cm", 6, 1, 100.0}, {"mean", "m/s", 6, 3, 1.0},
    {"peak", "m/s", 6, 3, 1.0},     {"prop.", "m/s", 6, 3, 1.0},  {"1", "m/s", 7, 3, 1.0},
    {"2", "m/s", 6, 3, 1.0},        {"3", "m/s", 6, 3, 1.0},      {"sticks", "%", 7, 0, 1.0},
    {"at", "m/s", 6, 3, 1.0},
};
enum { SPEED_COLUMNS = sizeof speed_columns / sizeof speed_columns[0], SPEED_RANGES_AT = 7 };

static void fill_ranges(const struct bp_rep_figures *rep, size_t offset, struct bp_quantity *cells)
{
    const struct bp_figure figure = {"", offset, 0};
    for (size_t i = 0; i < TEXT_RANGES; i++) {
        cells[i] =
            i < rep->range_count ? bp_report_quantity_at(&rep->ranges[i], &figure) : bp_quantity_unknown();
    }
}

static void fill_speeds(const struct bp_rep_figures *rep, struct bp_quantity *cells)
{
    const struct bp_sticking_figures *sticking = &rep->sticking;
    cells[0] = rep->descent_time_s;
    cells[1] = rep->pause_s;
    cells[2] = bp_quantity_plain(rep->drive_end_s - rep->drive_start_s);
    cells[3] = rep->range_m;
    cells[4] = rep->mean_velocity_m_s;
    cells[5] = rep->peak_velocity_m_s;
    cells[6] = rep->propulsive_velocity_m_s;
    fill_ranges(rep, offsetof(struct bp_range_figures, mean_velocity_m_s), cells + SPEED_RANGES_AT);
    cells[10] = sticking->present ? sticking->end_pct : bp_quantity_unknown();
    cells[11] = sticking->present ? sticking->low_m_s : bp_quantity_unknown();
}

/* ---- how steady ---- */

static const struct bp_column steady_columns[] = {
    {"rep", "", REP_WIDTH, 0, 1.0}, {"descent", "mm", 8, 2, 1.0}, {"drive", "mm", 7, 2, 1.0},
    {"1", "mm", 7, 2, 1.0},         {"2", "mm", 6, 2, 1.0},       {"3", "mm", 6, 2, 1.0},
    {"mostly", "Hz", 8, 1, 1.0},    {"rms", "m/s²", 6, 2, 1.0},   {"clatter", "m/s²", 8, 2, 1.0},
    {"sway", "cm²", 6, 1, 1.0},     {"tilt", "deg", 6, 1, 1.0},   {"smooth", "", 8, 2, 1.0},
};
enum { STEADY_COLUMNS = sizeof steady_columns / sizeof steady_columns[0], STEADY_RANGES_AT = 2 };

static void fill_steady(const struct bp_rep_figures *rep, struct bp_quantity *cells)
{
    cells[0] = rep->descent_shake_mm;
    cells[1] = rep->shake_mm;
    fill_ranges(rep, offsetof(struct bp_range_figures, shake_mm), cells + STEADY_RANGES_AT);
    cells[5] = rep->shake_hz;
    cells[6] = rep->shake_m_s2;
    cells[7] = rep->clatter_m_s2;
    cells[8] = rep->sway_area_cm2;
    cells[9] = rep->tilt_deg;
    cells[10] = rep->smoothness;
}

/* ---- what the bar weighs; only where a rig or a bar mass was given ---- */

static const struct bp_column load_columns[] = {
    {"rep", "", REP_WIDTH, 0, 1.0}, {"load 1", "kg", 10, 1, 1.0}, {"2", "kg", 7, 1, 1.0},
    {"3", "kg", 7, 1, 1.0},         {"power 1", "W", 12, 0, 1.0}, {"2", "W", 7, 0, 1.0},
    {"3", "W", 7, 0, 1.0},
};
enum { LOAD_COLUMNS = sizeof load_columns / sizeof load_columns[0] };

static void fill_loads(const struct bp_rep_figures *rep, struct bp_quantity *cells)
{
    fill_ranges(rep, offsetof(struct bp_range_figures, load_kg), cells);
    fill_ranges(rep, offsetof(struct bp_range_figures, power_w), cells + TEXT_RANGES);
}

static const struct table speed_table = {speed_columns, SPEED_COLUMNS, fill_speeds};
static const struct table steady_table = {steady_columns, STEADY_COLUMNS, fill_steady};
static const struct table load_table = {load_columns, LOAD_COLUMNS, fill_loads};

/* ---- rows ---- */

/* How far up a missed rep came, in % of the completed reps' mean range; NaN if it cannot be told. */
static double missed_height_pct(const struct bp_summary *summary, const struct bp_rep_figures *rep)
{
    double sum = 0.0;
    size_t count = 0;
    for (size_t i = 0; i < summary->rep_count; i++) {
        const struct bp_rep_figures *other = &summary->reps[i];
        if (!other->missed && bp_quantity_known(other->range_m)) {
            sum += other->range_m.value;
            count++;
        }
    }
    return count > 0 && sum > 0.0 ? 100.0 * rep->range_m.value * (double)count / sum : (double)NAN;
}

static void put_missed_row(struct bp_text *out, const struct bp_summary *summary,
                           const struct bp_rep_figures *rep)
{
    struct bp_quantity cells[CELLS_MOST];
    double pct = missed_height_pct(summary, rep);
    fill_speeds(rep, cells);
    bp_text_put_number_in(out, (double)rep->index, 0, REP_WIDTH);
    bp_table_put_values(out, speed_columns + 1, cells, 2);
    bp_text_put(out, "  missed");
    if (isfinite(pct)) {
        bp_text_put(out, " at ");
        bp_text_put_number(out, pct, 0);
        bp_text_put(out, " % of the way up");
    }
    bp_text_put_char(out, '\n');
}

static void put_table(struct bp_text *out, const struct bp_summary *summary, const struct table *table,
                      const struct bp_report_settings *settings)
{
    struct bp_quantity cells[CELLS_MOST];
    bp_table_put_head(out, table->columns, table->count, settings);
    for (size_t i = 0; i < summary->rep_count; i++) {
        const struct bp_rep_figures *rep = &summary->reps[i];
        if (rep->missed && table == &speed_table) {
            put_missed_row(out, summary, rep);
            continue;
        }
        table->fill(rep, cells);
        bp_text_put_number_in(out, (double)rep->index, 0, REP_WIDTH);
        bp_table_put_values(out, table->columns + 1, cells, table->count - 1);
        bp_text_put_char(out, '\n');
        bp_table_put_half_widths(out, table->columns + 1, cells, table->count - 1, settings);
    }
}

void bp_set_tables_put_speed(struct bp_text *out, const struct bp_summary *summary,
                             const struct bp_report_settings *settings)
{
    put_table(out, summary, &speed_table, settings);
}

void bp_set_tables_put_steady(struct bp_text *out, const struct bp_summary *summary,
                              const struct bp_report_settings *settings)
{
    put_table(out, summary, &steady_table, settings);
}

bool bp_set_tables_have_load(const struct bp_summary *summary)
{
    struct bp_quantity cells[CELLS_MOST];
    for (size_t r = 0; r < summary->rep_count; r++) {
        fill_loads(&summary->reps[r], cells);
        for (size_t i = 0; i + 1 < LOAD_COLUMNS; i++) {
            if (bp_quantity_known(cells[i])) {
                return true;
            }
        }
    }
    return false;
}

void bp_set_tables_put_load(struct bp_text *out, const struct bp_summary *summary,
                            const struct bp_report_settings *settings)
{
    put_table(out, summary, &load_table, settings);
}
