/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: how a phone may tell its attitude, and which way is up by it.
 */
#ifndef BARPLUMB_IMPORT_ATTITUDE_H
#define BARPLUMB_IMPORT_ATTITUDE_H

#include "import/columns.h"

/* One way to read a row of an attitude. All that is asked of it is the direction "up", which heading does not
 * change. */
struct bp_convention {
    enum bp_attitude_form form;
    bool w_last;   /* counted quaternions: the scalar comes last */
    bool inverse;  /* quaternions: turns world to phone, instead of phone to world */
    double factor; /* angles: value * factor is in rad */
    int order;     /* angles: which of roll, pitch and yaw is turned by first (outermost) … 0 to 5 */
    int axes;      /* 0: roll is about x and pitch about y; 1: the other way round; yaw is about z */
    int signs;     /* bits: roll, pitch, yaw are counted the other way */
};

/* The index-th convention for a form, the usual ones first; angle_factor: of angles, 0 when it is not known.
 * False past the last. */
bool bp_convention_at(enum bp_attitude_form form, double angle_factor, int index, struct bp_convention *c);

/* "Up" in the phone's axes by a row of readings (unit length), which are numbers. False where the row is no
 * attitude: a quaternion far from unit length. A quaternion and its negative are one attitude. */
bool bp_convention_up(const struct bp_convention *c, const double reading[4], double up[3]);

/* In words, for findings. */
const char *bp_convention_name(const struct bp_convention *c);

#endif
