/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotation.h"

#include <math.h>

static void make_matrix(const double s[3], const double c[3], double m[3][3])
{
    m[0][0] = c[2] * c[1];
    m[0][1] = c[2] * s[1] * s[0] - s[2] * c[0];
    m[0][2] = c[2] * s[1] * c[0] + s[2] * s[0];
    m[1][0] = s[2] * c[1];
    m[1][1] = s[2] * s[1] * s[0] + c[2] * c[0];
    m[1][2] = s[2] * s[1] * c[0] - c[2] * s[0];
    m[2][0] = -s[1];
    m[2][1] = c[1] * s[0];
    m[2][2] = c[1] * c[0];
}

void sim_rotation_make(const struct sim_jet angle[3], struct sim_rotation *rotation)
{
    double s[3], c[3], d[3], e[3];
    for (int i = 0; i < 3; i++) {
        s[i] = sin(angle[i].value);
        c[i] = cos(angle[i].value);
        d[i] = angle[i].rate;
        e[i] = angle[i].accel;
    }
    make_matrix(s, c, rotation->matrix);
    /* Rates of the three angles, seen in the turned frame (Titterton & Weston, Strapdown Inertial Navigation
     * Technology, 2nd ed., eq. 3.52 inverted; from memory), and their derivative by the product rule. */
    rotation->turn[0] = d[0] - d[2] * s[1];
    rotation->turn[1] = d[1] * c[0] + d[2] * s[0] * c[1];
    rotation->turn[2] = -d[1] * s[0] + d[2] * c[0] * c[1];
    rotation->turn_rate[0] = e[0] - e[2] * s[1] - d[2] * d[1] * c[1];
    rotation->turn_rate[1] = e[1] * c[0] - d[1] * d[0] * s[0] + e[2] * s[0] * c[1] +
                             d[2] * (d[0] * c[0] * c[1] - d[1] * s[0] * s[1]);
    rotation->turn_rate[2] = -e[1] * s[0] - d[1] * d[0] * c[0] + e[2] * c[0] * c[1] -
                             d[2] * (d[0] * s[0] * c[1] + d[1] * c[0] * s[1]);
}

void sim_rotate(const double matrix[3][3], const double in[3], double out[3])
{
    for (int i = 0; i < 3; i++) {
        out[i] = matrix[i][0] * in[0] + matrix[i][1] * in[1] + matrix[i][2] * in[2];
    }
}

void sim_rotate_back(const double matrix[3][3], const double in[3], double out[3])
{
    for (int i = 0; i < 3; i++) {
        out[i] = matrix[0][i] * in[0] + matrix[1][i] * in[1] + matrix[2][i] * in[2];
    }
}

void sim_cross(const double a[3], const double b[3], double out[3])
{
    out[0] = a[1] * b[2] - a[2] * b[1];
    out[1] = a[2] * b[0] - a[0] * b[2];
    out[2] = a[0] * b[1] - a[1] * b[0];
}
