/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Speed over height as a row of blocks for each rep: where the bar slows shows at a glance.
 */
#include "report/table.h"

enum {
    LEVELS = 8,
    POINT_WIDTH = 2 /* characters a height: 24 heights make a picture half a terminal wide */
};

static bool has_profile(const struct bp_rep_figures *rep)
{
    for (size_t i = 0; i < BP_PROFILE_POINTS; i++) {
        if (isfinite(rep->profile_m_s[i])) {
            return true;
        }
    }
    return false;
}

static double fastest(const struct bp_summary *summary)
{
    double most = 0.0;
    for (size_t r = 0; r < summary->rep_count; r++) {
        for (size_t i = 0; i < BP_PROFILE_POINTS; i++) {
            double speed = summary->reps[r].profile_m_s[i];
            most = isfinite(speed) && speed > most ? speed : most;
        }
    }
    return most;
}

/* A full block is full_m_s; each of the eight heights stands for speeds up to its share of that. */
static void put_block(struct bp_text *out, double speed, double full_m_s)
{
    static const char *const blocks[LEVELS + 1] = {" ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"};
    double share = isfinite(speed) && speed > 0.0 ? ceil(LEVELS * speed / full_m_s) : 0.0;
    size_t level = share > LEVELS ? (size_t)LEVELS : (size_t)share;
    for (int i = 0; i < POINT_WIDTH; i++) {
        bp_text_put(out, blocks[level]);
    }
}

static void put_row(struct bp_text *out, const struct bp_rep_figures *rep, double full_m_s)
{
    bp_text_put_number_in(out, (double)rep->index, 0, 3);
    bp_text_put(out, "  ");
    for (size_t i = 0; i < BP_PROFILE_POINTS; i++) {
        put_block(out, rep->profile_m_s[i], full_m_s);
    }
    if (rep->missed) {
        bp_text_put(out, "  missed");
    }
    bp_text_put_char(out, '\n');
}

void bp_report_picture(struct bp_text *out, const struct bp_summary *summary,
                       const struct bp_report_settings *settings)
{
    double full_m_s = fastest(summary);
    if (full_m_s <= 0.0) {
        return;
    }
    bp_text_put_char(out, '\n');
    bp_table_bold(out, settings);
    bp_text_put(out, "Speed on the way up");
    bp_table_normal(out, settings);
    bp_text_put(out, ", from the bottom (left) to lockout (right); █ is ");
    bp_text_put_number(out, full_m_s, 2);
    bp_text_put(out, " m/s\n");
    for (size_t r = 0; r < summary->rep_count; r++) {
        if (has_profile(&summary->reps[r])) {
            put_row(out, &summary->reps[r], full_m_s);
        }
    }
}
