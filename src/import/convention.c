/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Conventions of attitude. Which one a log keeps to is not asked of its header but of its acceleration
 * (attitude.c): here is only what each would mean.
 */
#include "import/attitude.h"

#include "barplumb/units.h"

#include <math.h>

enum { ORDERS = 6, AXES = 2, SIGNS = 8, ANGLE_WAYS = ORDERS * AXES * SIGNS };
/* What rounding to two decimals makes of a unit quaternion, and a little over. */
static const double UNIT_OFF_MOST = 0.05;

bool bp_convention_at(enum bp_attitude_form form, double angle_factor, int index, struct bp_convention *c)
{
    *c = (struct bp_convention){.form = form};
    if (form == BP_FORM_ANGLES) {
        int way = index % ANGLE_WAYS, unit = index / ANGLE_WAYS;
        /* Degrees taken for radians turn wildly; radians taken for degrees hardly at all, but in time. */
        c->factor = angle_factor > 0 ? angle_factor : unit == 0 ? 1 : BP_DEGREE;
        c->signs = way / (ORDERS * AXES);
        c->axes = way / ORDERS % AXES;
        c->order = way % ORDERS;
        return unit < (angle_factor > 0 ? 1 : 2);
    }
    c->inverse = index % 2 == 1;
    c->w_last = index / 2 == 1;
    return form != BP_FORM_NONE && index < (form == BP_FORM_COUNTED ? 4 : 2);
}

/* The third row of the rotation matrix of w x y z: the world's z in the phone's axes. */
static bool up_of_quaternion(const struct bp_convention *c, const double reading[4], double up[3])
{
    const double *r = reading;
    double w = c->w_last ? r[3] : r[0];
    double v[3] = {c->w_last ? r[0] : r[1], c->w_last ? r[1] : r[2], c->w_last ? r[2] : r[3]};
    if (c->form == BP_FORM_VECTOR) {
        double left = 1 - r[0] * r[0] - r[1] * r[1] - r[2] * r[2];
        w = sqrt(fmax(left, 0));
        v[0] = r[0], v[1] = r[1], v[2] = r[2];
    }
    double squared = w * w + v[0] * v[0] + v[1] * v[1] + v[2] * v[2];
    if (!(fabs(sqrt(squared) - 1) <= UNIT_OFF_MOST)) {
        return false;
    }
    w = c->inverse ? -w : w;
    up[0] = 2 * (v[0] * v[2] - w * v[1]) / squared;
    up[1] = 2 * (v[1] * v[2] + w * v[0]) / squared;
    up[2] = 1 - 2 * (v[0] * v[0] + v[1] * v[1]) / squared;
    return true;
}

/* Turns v about a coordinate axis by -angle: what a turned phone sees of a fixed vector. */
static void turn_back(double v[3], int axis, double angle)
{
    int b = (axis + 1) % 3, c = (axis + 2) % 3;
    double cosine = cos(angle), sine = sin(angle), x = v[b], y = v[c];
    v[b] = cosine * x + sine * y;
    v[c] = cosine * y - sine * x;
}

static bool up_of_angles(const struct bp_convention *c, const double reading[4], double up[3])
{
    /* The outermost first; yaw outermost is usual, in aircraft and in phones. */
    static const int orders[ORDERS][3] = {{2, 1, 0}, {2, 0, 1}, {1, 2, 0}, {0, 2, 1}, {0, 1, 2}, {1, 0, 2}};
    const int axis[3] = {c->axes, 1 - c->axes, 2};
    up[0] = up[1] = 0;
    up[2] = 1;
    for (int i = 0; i < 3; i++) {
        int which = orders[c->order][i];
        double angle = reading[which] * c->factor;
        turn_back(up, axis[which], (c->signs >> which & 1) != 0 ? -angle : angle);
    }
    return true;
}

bool bp_convention_up(const struct bp_convention *c, const double reading[4], double up[3])
{
    return c->form == BP_FORM_ANGLES ? up_of_angles(c, reading, up) : up_of_quaternion(c, reading, up);
}

const char *bp_convention_name(const struct bp_convention *c)
{
    if (c->form == BP_FORM_ANGLES) {
        return "angles";
    }
    return c->inverse ? "quaternion, world to phone" : "quaternion, phone to world";
}
