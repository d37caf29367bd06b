/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The stretch of the log with the phone on the bar.
 */
#ifndef BARPLUMB_MOTION_STRETCH_H
#define BARPLUMB_MOTION_STRETCH_H

#include "barplumb/motion.h"

/* The longest stretch in which "up" keeps near its usual direction in the phone, less the phone being put on
 * before a long rest and taken off after one. Reads motion's trace, still spells and up. */
struct bp_spell bp_stretch_find(const struct bp_motion *motion);

#endif
