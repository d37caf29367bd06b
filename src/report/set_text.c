/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One set for a person: what a coach reads on an 80-column terminal in the gym.
 */
#include "barplumb/report.h"

#include "report/figures.h"
#include "report/set_tables.h"
#include "report/table.h"

/* Its times begin anew with each recording. */
static void put_recording(struct bp_text *out, const struct bp_log_facts *log)
{
    if (log->recordings > 0) {
        bp_text_put(out, " of recording ");
        bp_text_put_count(out, log->recording);
    }
}

static void put_header(struct bp_text *out, const struct bp_summary *summary,
                       const struct bp_report_settings *settings)
{
    const struct bp_log_facts *log = &summary->log;
    const struct bp_lift_facts *lift = bp_lift_facts(summary->set.lift);
    bp_table_bold(out, settings);
    bp_table_put_path(out, log->path);
    bp_table_normal(out, settings);
    bp_text_put(out, "\n");
    bp_text_put(out, lift != NULL ? lift->name : "unknown lift");
    bp_text_put(out, summary->set.lift_given ? ", " : " (assumed: no lift was named), ");
    bp_text_put_number(out, log->rate_hz, 1);
    bp_text_put(out, " Hz, ");
    bp_text_put_number(out, log->duration_s, 1);
    bp_text_put(out, log->gyroscope ? " s, with gyroscope\n" : " s, no gyroscope\n");
    if (log->parts > 0) {
        bp_text_put(out, "set ");
        bp_text_put_count(out, log->part);
        bp_text_put(out, " of ");
        bp_text_put_count(out, log->parts);
        bp_text_put(out, ", from ");
        bp_text_put_number(out, log->part_from_s, 1);
        bp_text_put(out, " s");
        put_recording(out, log);
        bp_text_put_char(out, '\n');
    }
    if (summary->set.setup[0] != '\0') {
        bp_text_put(out, "setup: ");
        bp_table_put_plain(out, summary->set.setup);
        bp_text_put_char(out, '\n');
    }
}

static bool any_interval(const void *record, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        if (bp_table_has_interval(bp_report_quantity_at(record, &figures->list[i]))) {
            return true;
        }
    }
    return false;
}

static bool intervals_estimated(const struct bp_summary *summary)
{
    bool any = any_interval(&summary->set, &bp_report_set_quantities);
    for (size_t i = 0; i < summary->rep_count && !any; i++) {
        any = any_interval(&summary->reps[i], &bp_report_rep_speeds) ||
              any_interval(&summary->reps[i], &bp_report_rep_steadiness);
    }
    return any;
}

/* "5 reps, 1 missed" */
static void put_rep_count(struct bp_text *out, const struct bp_set_figures *set)
{
    bp_text_put_count(out, set->reps);
    bp_text_put(out, set->reps == 1 ? " rep" : " reps");
    if (set->missed > 0) {
        bp_text_put(out, " and ");
        bp_text_put_count(out, set->missed);
        bp_text_put(out, " missed");
    }
    bp_text_put_char(out, '\n');
}

/* "name value unit"; nothing where it is not known. */
static void put_named(struct bp_text *out, const char *name, struct bp_quantity value, int decimals,
                      const char *unit)
{
    if (!bp_quantity_known(value)) {
        return;
    }
    bp_text_put(out, name);
    bp_text_put_char(out, ' ');
    bp_table_put_figure(out, value, decimals, unit);
}

/* The frequency where the reps agree on it: their intervals all hold the set's. A mean of reps that do not
 * agree names a frequency at which nothing shook. */
static void put_frequency(struct bp_text *out, const struct bp_summary *summary)
{
    struct bp_quantity set = summary->set.shake_hz;
    bool known = false, agree = bp_quantity_known(set);
    for (size_t r = 0; r < summary->rep_count; r++) {
        struct bp_quantity rep = summary->reps[r].shake_hz;
        known = known || bp_quantity_known(rep);
        agree = agree && !(bp_table_has_interval(rep) && (rep.low > set.value || rep.high < set.value));
    }
    if (agree) {
        put_named(out, ", mostly at", set, 1, "Hz");
    } else if (known) {
        bp_text_put(out, ", at no one frequency");
    }
}

/* Ends the line that began at *line, if anything stands in it. */
static void end_line(struct bp_text *out, size_t *line)
{
    if (out->length > *line) {
        bp_text_put_char(out, '\n');
    }
    *line = out->length;
}

static void put_set(struct bp_text *out, const struct bp_summary *summary,
                    const struct bp_report_settings *settings)
{
    const struct bp_set_figures *set = &summary->set;
    bp_table_put_title(out, "The set", settings);
    bp_text_put(out, ": ");
    put_rep_count(out, set);
    size_t line = out->length;
    put_named(out, "  mean velocity", set->mean_velocity_m_s, 3, "m/s");
    put_named(out, ", best", set->best_velocity_m_s, 3, "m/s");
    end_line(out, &line);
    put_named(out, "  velocity loss", set->velocity_loss_pct, 1, "%");
    end_line(out, &line);
    put_named(out, summary->log.shake_apparent ? "  apparent shake" : "  shake", set->shake_mm, 2, "mm");
    put_named(out, ",", set->shake_m_s2, 2, "m/s²");
    put_frequency(out, summary);
    end_line(out, &line);
    put_named(out, "  clatter", set->clatter_m_s2, 2, "m/s²");
    end_line(out, &line);
    put_named(out, "  smoothness", set->smoothness, 2, "(nearer 0 is smoother)");
    end_line(out, &line);
}

static void put_speeds(struct bp_text *out, const struct bp_summary *summary,
                       const struct bp_report_settings *settings)
{
    bp_table_put_title(out, "How fast", settings);
    bp_text_put(out, intervals_estimated(summary)
                         ? "  each figure ± half of its 95 % interval\n"
                         : "  intervals are not estimated: nothing says how sure a figure is\n");
    bp_set_tables_put_speed(out, summary, settings);
    bool sticks = false;
    for (size_t r = 0; r < summary->rep_count; r++) {
        sticks = sticks || summary->reps[r].sticking.present;
    }
    bp_table_put_note(out,
                      sticks ? "sticks at: where the bar was slowest after its first peak; its speed there"
                             : "No rep has a sticking region.",
                      settings);
    bp_table_put_note(out,
                      bp_set_tables_propulsive_differs(summary)
                          ? "prop.: mean propulsive velocity, the mean until the hands stop pushing"
                          : "The mean propulsive velocity is the mean: the hands pushed to the end.",
                      settings);
}

/* Tilt and sway lean on what a phone's sensors do worst; a reader of the table cannot see that. */
static bool weak_figures_known(const struct bp_summary *summary)
{
    for (size_t r = 0; r < summary->rep_count; r++) {
        const struct bp_rep_figures *rep = &summary->reps[r];
        if (bp_quantity_known(rep->sway_area_cm2) || bp_quantity_known(rep->tilt_deg)) {
            return true;
        }
    }
    return false;
}

static void put_steadiness(struct bp_text *out, const struct bp_summary *summary,
                           const struct bp_report_settings *settings)
{
    bp_table_put_title(out, "How steady", settings);
    bp_text_put(out, summary->log.shake_apparent
                         ? "  apparent shake along the bar, rms; no gyroscope, so tilt is in it\n"
                         : "  shake along the bar, rms, between 0.7 and 8 Hz\n");
    bp_set_tables_put_steady(out, summary, settings);
    bp_table_put_note(out, "clatter: knocks and rattle above 15 Hz, be it links, plates or rack", settings);
    if (weak_figures_known(summary)) {
        bp_table_put_note(
            out,
            "sway (the path seen from above) and tilt (one end higher) are the weakest figures here: good "
            "for a bar that goes clearly crooked, not for small differences",
            settings);
    }
}

/* "Load on the way up: 92.1 kg at the bottom, …". */
static void put_load_line(struct bp_text *out, const struct bp_set_figures *set)
{
    if (!set->load_varies || !bp_quantity_known(set->load_lockout_kg)) {
        bp_text_put_char(out, '\n');
        return;
    }
    size_t line = out->length;
    bp_text_put(out, "\n");
    put_named(out, "  at the turnaround", set->load_bottom_kg, 1, "kg");
    put_named(out, ", halfway", set->load_halfway_kg, 1, "kg");
    end_line(out, &line);
    put_named(out, "  at lockout", set->load_lockout_kg, 1, "kg");
    put_named(out, ", gained on the way up", set->share_pct, 1, "% of it");
    end_line(out, &line);
}

static void put_loads(struct bp_text *out, const struct bp_summary *summary,
                      const struct bp_report_settings *settings)
{
    const struct bp_set_figures *set = &summary->set;
    bp_table_put_title(out, "Load, force and power", settings);
    if (set->rig[0] != '\0') {
        bp_text_put(out, "  ");
        bp_table_put_plain(out, set->rig);
    }
    put_load_line(out, set);
    bp_set_tables_put_load(out, summary, settings);
    bp_table_put_note(
        out,
        set->load_varies
            ? "kg: what would hold the bar still there; N and W: what the hands gave, with the inertia of "
              "bar, plates and the chain off the floor. With chains and bands the hands stop pushing not "
              "at -g but at -(g + their pull / moving mass)"
            : "N and W: what the hands gave, with the bar's inertia",
        settings);
    if (set->matched != BP_MATCHED_UNSAID) {
        bp_table_dim(out, settings);
        bp_text_put(out, "Meant to be as heavy as other setups at ");
        bp_text_put(out, set->matched == BP_MATCHED_BOTTOM ? "the turnaround"
                                                           : bp_report_matched_name(set->matched));
        bp_text_put(out, ".\n");
        bp_table_normal(out, settings);
    }
}

static void put_caution(struct bp_text *out, const struct bp_report_settings *settings)
{
    bp_text_put_char(out, '\n');
    bp_table_put_note(
        out,
        "This measures the bar; it clears nobody to lift. The gym's rules and qualified coaching come "
        "first.",
        settings);
}

void bp_report_set_text(const struct bp_summary *summary, const struct bp_report_settings *settings,
                        struct bp_text *out)
{
    put_header(out, summary, settings);
    put_speeds(out, summary, settings);
    put_steadiness(out, summary, settings);
    if (bp_set_tables_have_load(summary)) {
        put_loads(out, summary, settings);
    }
    put_set(out, summary, settings);
    bp_report_picture(out, summary, settings);
    bp_report_findings_text(out, &summary->findings, settings);
    put_caution(out, settings);
}
