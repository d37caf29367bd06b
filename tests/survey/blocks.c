/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/blocks.h"

#include <stdio.h>
#include <string.h>

static struct bp_quantity about(double value)
{
    return (struct bp_quantity){value, value * 0.98, value * 1.02};
}

static void make_date(long day, char *out, size_t size)
{
    /* Days since 1970-01-01 to a civil date: Hinnant's algorithm, public domain. */
    long z = day + 719468, era = z / 146097, doe = z - era * 146097;
    long yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    long doy = doe - (365 * yoe + yoe / 4 - yoe / 100), mp = (5 * doy + 2) / 153;
    long month = mp < 10 ? mp + 3 : mp - 9;
    snprintf(out, size, "%04ld-%02ld-%02ld", (yoe + era * 400 + (month <= 2)) % 10000, month % 100,
             (doy - (153 * mp + 2) / 5 + 1) % 100);
}

/* Every rep 2 % slower than the one before. */
static void make_rep(const struct planned_set *plan, size_t r, struct bp_rep_figures *rep)
{
    const struct bp_lift_facts *lift = bp_lift_facts(plan->lift);
    double speed = plan->speed_m_s * (1.03 - 0.02 * (double)r), none = (double)NAN;
    memset(rep, 0, sizeof *rep);
    rep->index = r + 1;
    rep->mean_velocity_m_s = about(speed);
    rep->peak_velocity_m_s = about(1.5 * speed);
    rep->propulsive_velocity_m_s = about(speed);
    rep->range_m = about(0.42);
    rep->descent_time_s = rep->pause_s = rep->drive_time_s = about(0.42 / speed);
    rep->sticking.present = plan->stuck;
    rep->sticking.start_pct = about(20);
    rep->sticking.end_pct = about(plan->stuck ? 40 : none);
    rep->sticking.peak_before_m_s = about(1.1 * speed);
    rep->sticking.low_m_s = about(0.8 * speed);
    rep->range_count = 3;
    for (size_t i = 0; i < 3; i++) {
        double load = plan->load_kg > 0 ? plan->load_kg - plan->chains_kg * (1.0 - (double)i / 2.0) : none;
        struct bp_quantity unknown = bp_quantity_unknown();
        rep->ranges[i] = (struct bp_range_figures){lift->range_names[i],
                                                   100.0 / 3.0 * (double)i,
                                                   100.0 / 3.0 * (double)(i + 1),
                                                   about(speed * (0.8 + 0.2 * (double)i)),
                                                   about(plan->shake_mm),
                                                   about(load),
                                                   unknown,
                                                   unknown,
                                                   unknown,
                                                   unknown};
    }
    rep->shake_mm = rep->descent_shake_mm = about(plan->shake_mm);
    rep->shake_mm_s = rep->shake_m_s2 = rep->clatter_m_s2 = about(plan->shake_mm / 3.0);
    rep->shake_hz = about(2.5);
    rep->clatter_crest = rep->sway_area_cm2 = about(2);
    rep->smoothness = (struct bp_quantity){-1.9, -2.0, -1.8};
    rep->tilt_deg = about(1.2);
    rep->load_kg = about(plan->load_kg > 0 ? plan->load_kg - plan->chains_kg / 2.0 : none);
    rep->force_n = rep->peak_force_n = rep->power_w = rep->peak_power_w = rep->work_j = rep->impulse_n_s =
        bp_quantity_unknown();
}

static void make_summary(const struct planned_set *plan, struct bp_rep_figures *reps,
                         struct bp_summary *summary)
{
    struct bp_set_figures *set = &summary->set;
    double load = plan->load_kg > 0 ? plan->load_kg : (double)NAN;
    for (size_t r = 0; r < PLANNED_REPS; r++) {
        make_rep(plan, r, &reps[r]);
    }
    summary->rep_count = PLANNED_REPS;
    summary->reps = reps;
    summary->log.gyroscope = true;
    summary->log.axis_known = true;
    summary->log.rate_hz = 200;
    summary->log.duration_s = 40;
    summary->log.rows = 8000;
    set->lift = plan->lift;
    set->lift_given = true;
    snprintf(set->setup, sizeof set->setup, "%s", plan->setup);
    set->reps = PLANNED_REPS;
    set->mean_velocity_m_s = about(plan->speed_m_s);
    set->best_velocity_m_s = about(1.03 * plan->speed_m_s);
    set->velocity_loss_pct = about(6);
    set->shake_mm = about(plan->shake_mm);
    set->shake_m_s2 = set->clatter_m_s2 = about(plan->shake_mm / 3.0);
    set->shake_hz = about(2.5);
    set->smoothness = (struct bp_quantity){-1.9, -2.0, -1.8};
    set->load_bottom_kg = about(load - plan->chains_kg);
    set->load_halfway_kg = about(load - plan->chains_kg / 2.0);
    set->load_lockout_kg = about(load);
    set->share_pct = about(100.0 * plan->chains_kg / load);
    set->loaded = plan->load_kg > 0;
}

void planned_block_make(const struct planned_set *plan, size_t count, struct planned_block *made)
{
    memset(made, 0, sizeof *made);
    made->block = (struct bp_block){.count = count, .sets = made->sets, .chosen = count};
    for (size_t i = 0; i < count; i++) {
        const struct planned_set *p = &plan[i];
        struct bp_sheet_row *row = &made->rows[i];
        struct bp_block_set *set = &made->sets[i];
        *row = (struct bp_sheet_row){.line = i + 2, .dated = p->day >= 0, .day = p->day >= 0 ? p->day : 0};
        if (row->dated) {
            make_date(p->day, row->date, sizeof row->date);
        }
        row->lifter = p->lifter;
        row->lift_given = true;
        row->lift = p->lift;
        row->setup = p->setup;
        row->bar_kg = row->plates_kg = (double)NAN;
        row->rig = row->rig_path = row->notes = "";
        row->log = row->log_path = "harbour/set.csv";
        row->target_m_s = p->target_m_s;
        set->row = row;
        snprintf(set->id, sizeof set->id, "%s-set-%04zu", row->date, i);
        set->state = p->failed ? BP_BLOCK_FAILED : BP_BLOCK_MEASURED;
        made->block.failed += p->failed;
        made->block.measured += !p->failed;
        if (p->failed) {
            bp_error_set(&set->error, BP_ERR_NO_REP, "no rep in the log");
        } else {
            make_summary(p, made->reps[i], &set->summary);
            snprintf(set->summary.log.path, sizeof set->summary.log.path, "harbour/set-%zu.csv", i);
        }
    }
}
