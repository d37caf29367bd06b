/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Held: where the bar seems to stand in the lifter's hands, before any rep is known.
 */
#ifndef BARPLUMB_MOTION_HELD_H
#define BARPLUMB_MOTION_HELD_H

#include "barplumb/motion.h"

/* The stretches on the bar in which its speed stays even for about a second: a stroke speeds up and slows
 * down, a bar that is held only sways. The middle of a long, slow stroke may be as even, so a reader weighs
 * each against what else is known of the speed. Lists them less a margin at either end. False when memory is
 * out. */
bool bp_held_find(const struct bp_motion *motion, struct bp_arena *arena, struct bp_spells *held);

#endif
