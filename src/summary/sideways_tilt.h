/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to the sideways part: how the bar lies against the level it had at rest.
 */
#ifndef BARPLUMB_SUMMARY_SIDEWAYS_TILT_H
#define BARPLUMB_SUMMARY_SIDEWAYS_TILT_H

#include "summary/sideways.h"

/* How the bar lay before the set, and between which times its attitude is not held by a rest. */
void bp_sideways_find_rest(struct bp_sideways *sideways);

#endif
