/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What several sets say of a lifter's strength, for a person.
 */
#include "barplumb/report.h"

#include "report/table.h"

static void put_title(struct bp_text *out, const char *title, const struct bp_report_settings *settings)
{
    bp_table_bold(out, settings);
    bp_text_put(out, title);
    bp_table_normal(out, settings);
}

static void put_left(struct bp_text *out, const struct bp_strength_left *left)
{
    if (left->reason != BP_STRENGTH_GIVEN) {
        return;
    }
    bp_text_put(out, ", ");
    bp_text_put_count(out, left->low);
    bp_text_put(out, " to ");
    bp_text_put_count(out, left->high);
    bp_text_put(out, left->or_more ? " or more reps left" : " reps left");
}

static void put_set(struct bp_text *out, const struct bp_strength_report *strength, size_t s)
{
    const struct bp_strength_set *set = &strength->sets[s];
    bp_text_put(out, "  ");
    bp_table_put_path(out, strength->paths[s]);
    bp_text_put(out, "\n    ");
    bp_table_put_figure(out, set->load_kg, 1, "kg");
    bp_text_put(out, ", best ");
    bp_table_put_figure(out, set->velocity_m_s, 3, "m/s");
    if (bp_quantity_known(strength->loss_pct[s])) {
        bp_text_put(out, ", loss ");
        bp_table_put_figure(out, strength->loss_pct[s], 1, "%");
    }
    put_left(out, &strength->left[s]);
    bp_text_put_char(out, '\n');
}

static void put_estimate(struct bp_text *out, const struct bp_strength_report *strength,
                         const struct bp_report_settings *settings)
{
    const struct bp_strength_profile *profile = strength->profile;
    if (profile->reason != BP_STRENGTH_GIVEN) {
        bp_text_put(out, "  One-repetition maximum: not told. ");
        bp_table_put_wrapped(out, bp_strength_reason_text(profile->reason), 36, 2, settings);
        return;
    }
    bp_text_put(out, "  One-repetition maximum, of that day: ");
    bp_table_put_figure(out, profile->one_rep_max_kg, 1, "kg\n");
    bp_text_put(out, "  where the line comes to ");
    bp_table_put_figure(out, profile->minimal_m_s, 2, "m/s\n");
    if (profile->odd > 0) {
        bp_text_put(out, "  sets too far off the others' line to count in full: ");
        bp_text_put_count(out, profile->odd);
        bp_text_put_char(out, '\n');
    }
}

void bp_report_strength_text(const struct bp_strength_report *strength,
                             const struct bp_report_settings *settings, struct bp_text *out)
{
    put_title(out, "Strength", settings);
    bp_text_put(out, "  fastest rep of each set against its load\n");
    for (size_t s = 0; s < strength->count; s++) {
        put_set(out, strength, s);
    }
    put_estimate(out, strength, settings);
    bp_table_put_note(out, bp_strength_caution(), settings);
}
