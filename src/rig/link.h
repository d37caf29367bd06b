/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/rig: what a metre of chain weighs by its link, from suppliers' tables of the standards.
 */
#ifndef BARPLUMB_RIG_LINK_H
#define BARPLUMB_RIG_LINK_H

#include <stdbool.h>
#include <stddef.h>

enum bp_link_standard { BP_LINK_DIN766, BP_LINK_DIN763, BP_LINK_DIN764, BP_LINK_EN818_2, BP_LINK_STANDARDS };

struct bp_link {
    enum bp_link_standard standard;
    double wire_mm, pitch_mm; /* thickness of the wire and inside length of a link */
    double kg_per_m;
};

/* 95 % half-width of a looked-up mass, as a share of it. Suppliers print 2.2 and 2.3 kg/m for one link of
 * DIN 766, and the tables lie within 5 % of what the link's shape weighs in steel. */
#define BP_LINK_SHARE 0.05

extern const struct bp_link bp_links[];
extern const size_t bp_link_count;

/* "din766", …: written in any case, blanks, '-' and '.' left out. BP_LINK_STANDARDS if there is none such. */
enum bp_link_standard bp_link_standard_find(const char *text, size_t length);
const char *bp_link_standard_name(enum bp_link_standard standard);

/* Writes the links nearest in size into out, "13x36 din766, 13x39 en818-2". standard BP_LINK_STANDARDS: of
 * any. */
void bp_link_nearest(enum bp_link_standard standard, double wire_mm, double pitch_mm, char *out, size_t size);

#endif
