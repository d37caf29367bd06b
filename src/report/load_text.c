/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a rig makes the bar weigh, for a person.
 */
#include "barplumb/report.h"

#include "report/columns.h"
#include "report/figures.h"
#include "report/table.h"

/* ---- what hangs ---- */

static const char *side_words(enum bp_side side)
{
    return side == BP_SIDE_LEFT ? " on the left" : side == BP_SIDE_RIGHT ? " on the right" : " a side";
}

/* "  2 x long chain a side, doubled" */
static void put_kind(struct bp_text *out, const char *kind, const char *name, size_t pieces,
                     enum bp_side side, bool doubled)
{
    if (pieces == 0) {
        return;
    }
    bp_text_put(out, "  ");
    bp_text_put_count(out, pieces);
    bp_text_put(out, " x ");
    bp_text_put(out, kind);
    bp_text_put_char(out, ' ');
    bp_table_put_plain(out, name);
    bp_text_put(out, side_words(side));
    bp_text_put(out, doubled ? ", doubled\n" : "\n");
}

static void put_rig(struct bp_text *out, const struct bp_rig *rig)
{
    bp_text_put(out, "  bar ");
    bp_text_put_number(out, rig->bar_kg.value, 1);
    bp_text_put(out, " kg and plates ");
    bp_text_put_number(out, rig->plates_kg.value, 1);
    bp_text_put(out, " kg\n");
    for (size_t c = 0; c < rig->chain_count; c++) {
        const struct bp_chain *chain = &rig->chains[c];
        put_kind(out, "chain", chain->name, chain->pieces, chain->side, chain->doubled);
    }
    for (size_t b = 0; b < rig->band_count; b++) {
        const struct bp_band *band = &rig->bands[b];
        put_kind(out, "band", band->name, band->pieces, band->side, band->doubled);
    }
}

static void put_head(struct bp_text *out, const struct bp_load_report *load,
                     const struct bp_report_settings *settings)
{
    bp_table_bold(out, settings);
    bp_table_put_path(out, load->path);
    bp_table_normal(out, settings);
    if (load->rig->name[0] != '\0') {
        bp_text_put(out, "\n");
        bp_table_put_plain(out, load->rig->name);
    }
    bp_text_put_char(out, '\n');
}

/* ---- the table ---- */

enum column { LOAD, CHAIN, BAND, LEFT, RIGHT, UNEVEN, COLUMNS };

static const struct bp_column columns[COLUMNS] = {
    [LOAD] = {"load", "kg", 1, 1.0, 0, true},         [CHAIN] = {"chains", "kg", 1, 1.0, 0, false},
    [BAND] = {"bands", "kg", 1, 1.0, 0, false},       [LEFT] = {"out, left", "kg", 1, 1.0, 1, false},
    [RIGHT] = {"out, right", "kg", 1, 1.0, 1, false}, [UNEVEN] = {"uneven", "kg", 1, 1.0, 1, false},
};

/* Rows from lockout down, as they hang. */
static const struct bp_load_row *row_of(const void *about, size_t row)
{
    const struct bp_load_table *table = about;
    return &table->rows[table->count - 1 - row];
}

static size_t height_cm(const void *about, size_t row)
{
    double cm = 100 * row_of(about, row)->height_m;
    return (size_t)(cm + 0.5);
}

static bool shows(const struct bp_load_table *table, enum column column)
{
    bool any = column == LOAD;
    for (size_t r = 0; r < table->count; r++) {
        const struct bp_load_row *row = &table->rows[r];
        const double value[COLUMNS] = {0,
                                       row->chain_kg.value,
                                       row->band_kg.value,
                                       row->left_kg.value,
                                       row->right_kg.value,
                                       row->uneven_kg.value};
        any = any || value[column] != 0;
    }
    return any;
}

/* A column of nothing but zeros is left out. */
static struct bp_quantity cell_of(const void *about, size_t row, size_t column)
{
    const struct bp_load_row *at = row_of(about, row);
    const struct bp_quantity *const cells[COLUMNS] = {&at->load_kg, &at->chain_kg, &at->band_kg,
                                                      &at->left_kg, &at->right_kg, &at->uneven_kg};
    return shows(about, (enum column)column) ? *cells[column] : bp_quantity_unknown();
}

static void put_table(struct bp_text *out, const struct bp_load_table *table,
                      const struct bp_report_settings *settings)
{
    bp_table_put_title(out, "Height by height", settings);
    bp_text_put(out, "  the bar's height above the floor in cm; each figure ± its 95 %\n");
    const struct bp_table shown = {columns,   COLUMNS, table->count, table, " cm",
                                   height_cm, cell_of, NULL,         NULL};
    bp_table_put(out, &shown, settings);
    if (shows(table, LEFT) || shows(table, RIGHT)) {
        bp_table_put_note(out, "out: bands pull that end of the bar outward with so much", settings);
    }
    if (shows(table, UNEVEN)) {
        bp_table_put_note(out, "uneven: the right end is pulled down by so much more than the left",
                          settings);
    }
}

/* ---- the picture ---- */

enum { PICTURE_WIDTH = 48, EIGHTHS = 8 };

static void put_bar(struct bp_text *out, double share)
{
    static const char *const parts[EIGHTHS] = {"", "▏", "▎", "▍", "▌", "▋", "▊", "▉"};
    double filled = share > 0 ? share * PICTURE_WIDTH * EIGHTHS : 0;
    size_t eighths = (size_t)(filled + 0.5);
    for (size_t i = 0; i < eighths / EIGHTHS; i++) {
        bp_text_put(out, "█");
    }
    bp_text_put(out, parts[eighths % EIGHTHS]);
}

static void put_picture(struct bp_text *out, const struct bp_load_table *table,
                        const struct bp_report_settings *settings)
{
    double most = -HUGE_VAL, least = HUGE_VAL;
    for (size_t r = 0; r < table->count; r++) {
        double load = table->rows[r].load_kg.value;
        most = load > most ? load : most;
        least = load < least ? load : least;
    }
    double from = fmax(least - (most - least) / 4, 0);
    if (!(most > least)) { /* a straight bar has no picture */
        return;
    }
    bp_table_put_title(out, "Load on the way up", settings);
    bp_text_put(out, ", lockout on top; a line begins at ");
    bp_text_put_number(out, from, 0);
    bp_text_put(out, " kg and is full at ");
    bp_text_put_number(out, most, 0);
    bp_text_put(out, "\n");
    for (size_t r = 0; r < table->count; r++) {
        const struct bp_load_row *row = row_of(table, r);
        bp_text_put_number_in(out, 100 * row->height_m, 0, 3);
        bp_text_put(out, " cm  ");
        put_bar(out, (row->load_kg.value - from) / (most - from));
        bp_text_put_char(out, '\n');
    }
}

/* ---- in a few words ---- */

static void put_point(struct bp_text *out, const char *name, const struct bp_load_row *row)
{
    bp_text_put(out, name);
    bp_text_put_number_in(out, 100 * row->height_m, 0, 4);
    bp_text_put(out, " cm  ");
    bp_table_put_figure(out, row->load_kg, 1, "kg");
    bp_text_put_char(out, '\n');
}

static void put_points(struct bp_text *out, const struct bp_load_table *table,
                       const struct bp_report_settings *settings)
{
    bp_table_put_title(out, "What the bar weighs\n", settings);
    put_point(out, "  at the bottom ", &table->bottom);
    put_point(out, "  halfway       ", &table->halfway);
    put_point(out, "  at lockout    ", &table->lockout);
    bp_text_put(out, "  mean on the way       ");
    bp_table_put_figure(out, table->mean_kg, 1, "kg\n");
    bp_text_put(out, "  gained on the way     ");
    bp_table_put_figure(out, table->share_pct, 1, "% of the load at lockout\n");
}

/* ---- the plan ---- */

/* " (0.4 kg more than wanted)" */
static void put_off(struct bp_text *out, const char *name, double wanted, double off, const char *unit)
{
    if (!isfinite(wanted)) {
        return;
    }
    bp_text_put(out, name);
    bp_text_put_number(out, wanted, 1);
    bp_text_put(out, unit);
    bp_text_put(out, " wanted, ");
    bp_text_put_number(out, fabs(off), 1);
    bp_text_put(out, unit);
    bp_text_put(out, off < 0 ? " less reached\n" : " more reached\n");
}

static void put_plates(struct bp_text *out, const struct bp_plan *plan)
{
    bool any = false;
    if (plan->plates_stay) {
        bp_text_put(out, "  the plates that are on it (the file names no others)\n");
        return;
    }
    bp_text_put(out, "  plates, each side: ");
    for (size_t p = 0; p < plan->plate_count; p++) {
        if (plan->plates[p].each_side > 0) {
            bp_text_put(out, any ? ", " : "");
            bp_text_put_count(out, plan->plates[p].each_side);
            bp_text_put(out, " x ");
            bp_text_put_number(out, plan->plates[p].kg, 2);
            bp_text_put(out, " kg");
            any = true;
        }
    }
    bp_text_put(out, any ? "\n" : "none\n");
}

static void put_left_out(struct bp_text *out, const struct bp_plan *plan,
                         const struct bp_report_settings *settings)
{
    for (size_t k = 0; k < plan->kind_count; k++) {
        if (plan->kinds[k].left_out) {
            bp_text_put(out, "  not used: ");
            bp_table_put_wrapped(out, plan->kinds[k].why, 12, 4, settings);
        }
    }
}

static void put_plan(struct bp_text *out, const struct bp_load_report *load,
                     const struct bp_report_settings *settings)
{
    const struct bp_plan *plan = load->plan;
    bp_table_put_title(out, "What to hang", settings);
    bp_text_put(out, plan->reached ? "\n" : ": the closest this gym comes\n");
    put_plates(out, plan);
    put_rig(out, &plan->rig);
    put_off(out, "  at lockout ", load->wanted->lockout_kg, plan->lockout_off_kg, " kg");
    put_off(out, "  at the bottom ", load->wanted->bottom_kg, plan->bottom_off_kg, " kg");
    put_off(out, "  share ", load->wanted->share_pct, plan->share_off_pct, " %");
    put_left_out(out, plan, settings);
    if (plan->top_limits) {
        bp_table_put_note(out, "The load at lockout is the heaviest: plan by it, and start lighter.",
                          settings);
    }
}

static void put_cautions(struct bp_text *out, const struct bp_load_report *load,
                         const struct bp_report_settings *settings)
{
    const struct bp_rig *rig = load->rig;
    bp_text_put_char(out, '\n');
    bp_table_put_note(
        out,
        "Before anyone lifts: spotters, safety arms just below the chest or the hole, collars. Start "
        "light and add little.",
        settings);
    if (rig->chain_count > 0) {
        bp_table_put_note(
            out, "Chains: under the bar and inside the collars, so that they do not pull it away.", settings);
    }
    if (rig->band_count > 0) {
        bp_table_put_note(
            out,
            "Bands: look over every band, peg and anchor before each set; a band with a nick is done. A "
            "band from above that breaks drops its share on the lifter: the safety arms must hold it.",
            settings);
    }
    bp_table_put_note(
        out,
        "This reckons loads from what was measured; it clears nobody to lift. The gym's rules and "
        "qualified coaching come first.",
        settings);
}

void bp_report_load_text(const struct bp_load_report *load, const struct bp_report_settings *settings,
                         struct bp_text *out)
{
    put_head(out, load, settings);
    if (load->plan != NULL) {
        put_plan(out, load, settings);
    } else {
        put_rig(out, load->rig);
    }
    put_points(out, load->table, settings);
    put_table(out, load->table, settings);
    put_picture(out, load->table, settings);
    put_cautions(out, load, settings);
}

/* A kilogram more or less at the bar is a small plate; closer than that is the same load. */
static const double SAME_KG = 1.25;

static bool put_against(struct bp_text *out, const char *where, const struct bp_load_row *row,
                        const struct bp_load_row *other)
{
    double more = row->load_kg.value - other->load_kg.value;
    bool same = fabs(more) <= SAME_KG;
    bp_text_put(out, where);
    if (same) {
        bp_text_put(out, "the same");
    } else {
        bp_text_put_number(out, fabs(more), 1);
        bp_text_put(out, more > 0 ? " kg heavier" : " kg lighter");
    }
    bp_text_put_char(out, '\n');
    return same;
}

void bp_report_load_against(const struct bp_load_report *load, const char *other_path,
                            const struct bp_load_table *other, const struct bp_report_settings *settings,
                            struct bp_text *out)
{
    const struct bp_load_table *table = load->table;
    bp_table_put_title(out, "Against ", settings);
    bp_table_put_path(out, other_path);
    bp_text_put_char(out, '\n');
    bool bottom = put_against(out, "  at the bottom  ", &table->bottom, &other->bottom);
    bool halfway = put_against(out, "  halfway        ", &table->halfway, &other->halfway);
    bool lockout = put_against(out, "  at lockout     ", &table->lockout, &other->lockout);
    const char *meant = bp_report_matched_name(load->rig->matched);
    bool met =
        load->rig->matched == BP_MATCHED_UNSAID || (load->rig->matched == BP_MATCHED_BOTTOM    ? bottom
                                                    : load->rig->matched == BP_MATCHED_HALFWAY ? halfway
                                                                                               : lockout);
    if (!met) {
        bp_text_put(out, "  The file means them to be as heavy at ");
        bp_text_put(out, load->rig->matched == BP_MATCHED_BOTTOM ? "the bottom" : meant);
        bp_text_put(out, ": they are not.\n");
    }
    bp_table_put_note(
        out,
        bottom && lockout ? "Matched at both ends: speeds can be held against each other."
        : bottom || halfway || lockout
            ? "Matched at one height alone: where the bar is heavier it is slower, and that is the load, "
              "not the lifter (bench with chains matched at the chest: lower peak speed; van den Tillaar, "
              "Saeterbakken & Andersen 2022, J Funct Morphol Kinesiol 7:39)."
            : "Matched nowhere: a difference in speed between the two is the load's first.",
        settings);
}
