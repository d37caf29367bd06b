/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STRENGTH_SETTINGS_H
#define STRENGTH_SETTINGS_H

#include "barplumb/strength.h"

/* Fills *used with settings, or the defaults for NULL, and the lift's minimal velocity where none is given.
 * ARGUMENT where one is out of its range. */
enum bp_code bp_strength_settle(const struct bp_strength_settings *settings, enum bp_lift lift,
                                struct bp_strength_settings *used, struct bp_error *error);

/* Ends as they must be: both not given, or around the value. */
bool bp_strength_usable(struct bp_quantity q);

#endif
