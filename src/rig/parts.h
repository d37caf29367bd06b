/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/rig: one section of a rig file into its part of the rig.
 */
#ifndef BARPLUMB_RIG_PARTS_H
#define BARPLUMB_RIG_PARTS_H

#include "rig/value.h"

enum bp_code bp_rig_take_rig(const struct bp_rig_file *file, const struct bp_rig_section *section,
                             struct bp_rig *rig);
enum bp_code bp_rig_take_bar(const struct bp_rig_file *file, const struct bp_rig_section *section,
                             struct bp_rig *rig);
enum bp_code bp_rig_take_stock(const struct bp_rig_file *file, const struct bp_rig_section *section,
                               struct bp_rig *rig);
/* Need the bar's lockout, so rig's bar comes first. */
enum bp_code bp_rig_take_chain(const struct bp_rig_file *file, const struct bp_rig_section *section,
                               struct bp_rig *rig);
enum bp_code bp_rig_take_band(const struct bp_rig_file *file, const struct bp_rig_section *section,
                              struct bp_rig *rig);

/* The band's own part of that. */
enum bp_code bp_rig_take_pulls(const struct bp_rig_file *file, const struct bp_rig_section *section,
                               struct bp_band *band);

#endif
