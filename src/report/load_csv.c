/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a rig makes the bar weigh as CSV (RFC 4180, but lines end in a newline alone), a row a height.
 */
#include "barplumb/report.h"

#include "report/cells.h"

enum { METRES = 4, KG = 3, PERCENT = 2 };

static const char *const quantities[] = {"load_kg",     "chain_kg",     "band_kg",
                                         "out_left_kg", "out_right_kg", "uneven_kg"};
enum { QUANTITIES = sizeof quantities / sizeof *quantities };

void bp_report_load_csv_header(struct bp_text *out)
{
    struct bp_cells row = {out, false};
    bp_cells_name(&row, "", "path", "");
    bp_cells_name(&row, "", "rig", "");
    bp_cells_name(&row, "", "height_m", "");
    bp_cells_name(&row, "", "up_pct", "");
    for (size_t q = 0; q < QUANTITIES; q++) {
        bp_cells_name(&row, "", quantities[q], "");
        bp_cells_name(&row, "", quantities[q], "_low");
        bp_cells_name(&row, "", quantities[q], "_high");
    }
    bp_text_put_char(out, '\n');
}

void bp_report_load_csv(const struct bp_load_report *load, struct bp_text *out)
{
    for (size_t r = 0; r < load->table->count; r++) {
        const struct bp_load_row *at = &load->table->rows[r];
        const struct bp_quantity all[QUANTITIES] = {at->load_kg, at->chain_kg, at->band_kg,
                                                    at->left_kg, at->right_kg, at->uneven_kg};
        struct bp_cells row = {out, false};
        bp_cells_text(&row, load->path);
        bp_cells_text(&row, load->rig->name);
        bp_cells_number(&row, at->height_m, METRES);
        bp_cells_number(&row, at->up_pct, PERCENT);
        for (size_t q = 0; q < QUANTITIES; q++) {
            bp_cells_quantity(&row, all[q], KG);
        }
        bp_text_put_char(out, '\n');
    }
}
