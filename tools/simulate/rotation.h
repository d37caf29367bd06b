/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rotations given by three angles in the order z, y, x (yaw, pitch, roll), with exact rates.
 */
#ifndef SIMULATE_ROTATION_H
#define SIMULATE_ROTATION_H

#include "path.h"

struct sim_rotation {
    double matrix[3][3]; /* turned frame to fixed frame: fixed = matrix * turned */
    double turn[3];      /* angular rate in the turned frame, rad/s */
    double turn_rate[3]; /* its time derivative there, rad/s^2 */
};

/* angle[0] about x (first in the turned frame), angle[1] about y, angle[2] about z:
 * matrix = Rz(angle[2]) Ry(angle[1]) Rx(angle[0]). */
void sim_rotation_make(const struct sim_jet angle[3], struct sim_rotation *rotation);

/* out = matrix * in and out = transpose(matrix) * in; out must not be in. */
void sim_rotate(const double matrix[3][3], const double in[3], double out[3]);
void sim_rotate_back(const double matrix[3][3], const double in[3], double out[3]);
void sim_cross(const double a[3], const double b[3], double out[3]);

#endif
