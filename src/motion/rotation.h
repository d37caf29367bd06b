/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Vectors and unit quaternions (Hamilton, scalar first) that turn phone axes into a fixed frame.
 */
#ifndef BARPLUMB_MOTION_ROTATION_H
#define BARPLUMB_MOTION_ROTATION_H

struct bp_quaternion {
    double w, x, y, z;
};

static inline double bp_dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static inline void bp_cross(const double a[3], const double b[3], double out[3])
{
    out[0] = a[1] * b[2] - a[2] * b[1];
    out[1] = a[2] * b[0] - a[0] * b[2];
    out[2] = a[0] * b[1] - a[1] * b[0];
}

double bp_length(const double v[3]);

/* Scales v to length 1; leaves a zero vector alone and returns 0, else returns the old length. */
double bp_normalise(double v[3]);

/* The turn by the rotation vector v (axis times angle, rad). Exact for any length. */
struct bp_quaternion bp_quaternion_of(const double v[3]);

struct bp_quaternion bp_quaternion_times(struct bp_quaternion a, struct bp_quaternion b);

struct bp_quaternion bp_quaternion_unit(struct bp_quaternion q);

/* m[3*row + column], phone axes to the fixed frame. */
void bp_quaternion_matrix(struct bp_quaternion q, double m[9]);

/* Phone axes to fixed frame, and back. in and out may be the same. */
void bp_turn_out(struct bp_quaternion q, const double in[3], double out[3]);
void bp_turn_in(struct bp_quaternion q, const double in[3], double out[3]);

/* Eigenvalues (descending) and unit eigenvectors (rows of vectors) of a symmetric 3x3 matrix, by Jacobi
 * rotations (Golub & Van Loan, Matrix Computations, §8.5). */
void bp_eigen3(const double symmetric[9], double values[3], double vectors[9]);

#endif
