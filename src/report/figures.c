/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures.h"

/* Decimals: one digit finer than the best interval that a phone's sensor allows, so that rounding is never
 * what limits a figure. */
enum {
    SPEED = 4,
    TIME = BP_TIME_DECIMALS,
    METRES = 4,
    PERCENT = 2,
    MM = 3,
    ACCELERATION = 4,
    HERTZ = 2,
    PLAIN = 3,
    KG = 2,
    NEWTON = 1,
    WATT = 1,
    JOULE = 1,
    NEWTON_SECOND = 1
};

/* NOLINTBEGIN(bugprone-macro-parentheses): a struct's tag, a field's name and a whole initialiser take none
 */
#define FIGURE(record, name, decimals)                                                                       \
    {                                                                                                        \
#name, offsetof(struct record, name), decimals                                                       \
    }
#define LIST(figures)                                                                                        \
    {                                                                                                        \
        (figures), sizeof(figures) / sizeof(figures)[0]                                                      \
    }

/* NOLINTEND(bugprone-macro-parentheses) */
static const struct bp_figure set_quantities[] = {
    FIGURE(bp_set_figures, mean_velocity_m_s, SPEED),   FIGURE(bp_set_figures, best_velocity_m_s, SPEED),
    FIGURE(bp_set_figures, velocity_loss_pct, PERCENT), FIGURE(bp_set_figures, shake_mm, MM),
    FIGURE(bp_set_figures, shake_m_s2, ACCELERATION),   FIGURE(bp_set_figures, shake_hz, HERTZ),
    FIGURE(bp_set_figures, clatter_m_s2, ACCELERATION), FIGURE(bp_set_figures, smoothness, PLAIN),
    FIGURE(bp_set_figures, load_bottom_kg, KG),         FIGURE(bp_set_figures, load_halfway_kg, KG),
    FIGURE(bp_set_figures, load_lockout_kg, KG),        FIGURE(bp_set_figures, share_pct, PERCENT),
};
static const struct bp_figure rep_times[] = {
    FIGURE(bp_rep_figures, descent_start_s, TIME),
    FIGURE(bp_rep_figures, turnaround_s, TIME),
    FIGURE(bp_rep_figures, drive_start_s, TIME),
    FIGURE(bp_rep_figures, drive_end_s, TIME),
};
static const struct bp_figure rep_speeds[] = {
    FIGURE(bp_rep_figures, descent_time_s, TIME),
    FIGURE(bp_rep_figures, pause_s, TIME),
    FIGURE(bp_rep_figures, drive_time_s, TIME),
    FIGURE(bp_rep_figures, range_m, METRES),
    FIGURE(bp_rep_figures, mean_velocity_m_s, SPEED),
    FIGURE(bp_rep_figures, peak_velocity_m_s, SPEED),
    FIGURE(bp_rep_figures, propulsive_velocity_m_s, SPEED),
};
static const struct bp_figure sticking_times[] = {
    FIGURE(bp_sticking_figures, start_s, TIME),
    FIGURE(bp_sticking_figures, end_s, TIME),
};
static const struct bp_figure sticking_figs[] = {
    FIGURE(bp_sticking_figures, start_pct, PERCENT),
    FIGURE(bp_sticking_figures, end_pct, PERCENT),
    FIGURE(bp_sticking_figures, peak_before_m_s, SPEED),
    FIGURE(bp_sticking_figures, low_m_s, SPEED),
};
static const struct bp_figure range_bounds[] = {
    FIGURE(bp_range_figures, from_pct, PERCENT),
    FIGURE(bp_range_figures, to_pct, PERCENT),
};
static const struct bp_figure range_quantities[] = {
    FIGURE(bp_range_figures, mean_velocity_m_s, SPEED),
    FIGURE(bp_range_figures, shake_mm, MM),
    FIGURE(bp_range_figures, load_kg, KG),
    FIGURE(bp_range_figures, power_w, WATT),
    FIGURE(bp_range_figures, force_n, NEWTON),
    FIGURE(bp_range_figures, work_j, JOULE),
    FIGURE(bp_range_figures, impulse_n_s, NEWTON_SECOND),
};
static const struct bp_figure rep_steadiness[] = {
    FIGURE(bp_rep_figures, shake_mm, MM),
    FIGURE(bp_rep_figures, shake_mm_s, 2),
    FIGURE(bp_rep_figures, shake_m_s2, ACCELERATION),
    FIGURE(bp_rep_figures, shake_hz, HERTZ),
    FIGURE(bp_rep_figures, clatter_m_s2, ACCELERATION),
    FIGURE(bp_rep_figures, sway_area_cm2, 3),
    FIGURE(bp_rep_figures, smoothness, PLAIN),
    FIGURE(bp_rep_figures, tilt_deg, PLAIN),
    FIGURE(bp_rep_figures, descent_shake_mm, MM),
    FIGURE(bp_rep_figures, clatter_crest, PLAIN),
};
static const struct bp_figure rep_loads[] = {
    FIGURE(bp_rep_figures, load_kg, KG),
    FIGURE(bp_rep_figures, force_n, NEWTON),
    FIGURE(bp_rep_figures, peak_force_n, NEWTON),
    FIGURE(bp_rep_figures, power_w, WATT),
    FIGURE(bp_rep_figures, peak_power_w, WATT),
    FIGURE(bp_rep_figures, work_j, JOULE),
    FIGURE(bp_rep_figures, impulse_n_s, NEWTON_SECOND),
};

const struct bp_figure_list bp_report_set_quantities = LIST(set_quantities);
const struct bp_figure_list bp_report_rep_times = LIST(rep_times);
const struct bp_figure_list bp_report_rep_speeds = LIST(rep_speeds);
const struct bp_figure_list bp_report_sticking_times = LIST(sticking_times);
const struct bp_figure_list bp_report_sticking_quantities = LIST(sticking_figs);
const struct bp_figure_list bp_report_range_bounds = LIST(range_bounds);
const struct bp_figure_list bp_report_range_quantities = LIST(range_quantities);
const struct bp_figure_list bp_report_rep_steadiness = LIST(rep_steadiness);
const struct bp_figure_list bp_report_rep_loads = LIST(rep_loads);

const char *bp_report_matched_name(enum bp_matched matched)
{
    switch (matched) {
    case BP_MATCHED_BOTTOM:
        return "bottom";
    case BP_MATCHED_HALFWAY:
        return "halfway";
    case BP_MATCHED_LOCKOUT:
        return "lockout";
    case BP_MATCHED_UNSAID:
        break;
    }
    return "";
}

struct bp_quantity bp_report_quantity_at(const void *record, const struct bp_figure *figure)
{
    const void *at = (const char *)record + figure->offset;
    return *(const struct bp_quantity *)at;
}

double bp_report_double_at(const void *record, const struct bp_figure *figure)
{
    const void *at = (const char *)record + figure->offset;
    return *(const double *)at;
}
