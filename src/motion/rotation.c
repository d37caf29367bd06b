/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/rotation.h"

#include <math.h>
#include <string.h>

double bp_length(const double v[3])
{
    return sqrt(bp_dot(v, v));
}

double bp_normalise(double v[3])
{
    double length = bp_length(v);
    if (length > 0) {
        for (int a = 0; a < 3; a++) {
            v[a] /= length;
        }
    }
    return length;
}

struct bp_quaternion bp_quaternion_of(const double v[3])
{
    double angle2 = bp_dot(v, v);
    double cosine, sinc; /* cos(|v|/2), sin(|v|/2)/|v| */
    if (angle2 < 1e-4) { /* the series is exact to double precision here, and needs no division by |v| */
        double h2 = angle2 / 4;
        cosine = 1 - h2 / 2 * (1 - h2 / 12 * (1 - h2 / 30));
        sinc = 0.5 * (1 - h2 / 6 * (1 - h2 / 20 * (1 - h2 / 42)));
    } else {
        double angle = sqrt(angle2);
        cosine = cos(angle / 2);
        sinc = sin(angle / 2) / angle;
    }
    return (struct bp_quaternion){cosine, sinc * v[0], sinc * v[1], sinc * v[2]};
}

struct bp_quaternion bp_quaternion_times(struct bp_quaternion a, struct bp_quaternion b)
{
    return (struct bp_quaternion){
        a.w * b.w - a.x * b.x - a.y * b.y - a.z * b.z,
        a.w * b.x + a.x * b.w + a.y * b.z - a.z * b.y,
        a.w * b.y - a.x * b.z + a.y * b.w + a.z * b.x,
        a.w * b.z + a.x * b.y - a.y * b.x + a.z * b.w,
    };
}

struct bp_quaternion bp_quaternion_unit(struct bp_quaternion q)
{
    double n = sqrt(q.w * q.w + q.x * q.x + q.y * q.y + q.z * q.z);
    return (struct bp_quaternion){q.w / n, q.x / n, q.y / n, q.z / n};
}

void bp_quaternion_matrix(struct bp_quaternion q, double m[9])
{
    double xx = q.x * q.x, yy = q.y * q.y, zz = q.z * q.z;
    double xy = q.x * q.y, xz = q.x * q.z, yz = q.y * q.z;
    double wx = q.w * q.x, wy = q.w * q.y, wz = q.w * q.z;
    m[0] = 1 - 2 * (yy + zz);
    m[1] = 2 * (xy - wz);
    m[2] = 2 * (xz + wy);
    m[3] = 2 * (xy + wz);
    m[4] = 1 - 2 * (xx + zz);
    m[5] = 2 * (yz - wx);
    m[6] = 2 * (xz - wy);
    m[7] = 2 * (yz + wx);
    m[8] = 1 - 2 * (xx + yy);
}

void bp_turn_out(struct bp_quaternion q, const double in[3], double out[3])
{
    double m[9], v[3] = {in[0], in[1], in[2]};
    bp_quaternion_matrix(q, m);
    for (int r = 0; r < 3; r++) {
        out[r] = bp_dot(m + 3 * r, v);
    }
}

void bp_turn_in(struct bp_quaternion q, const double in[3], double out[3])
{
    bp_turn_out((struct bp_quaternion){q.w, -q.x, -q.y, -q.z}, in, out);
}

/* One Jacobi rotation that zeroes a[p][q]; v collects the rotations in its rows. */
static void jacobi_rotate(double a[3][3], double v[3][3], int p, int q)
{
    if (a[p][q] == 0.0) {
        return;
    }
    double theta = (a[q][q] - a[p][p]) / (2 * a[p][q]);
    double t = (theta >= 0 ? 1.0 : -1.0) / (fabs(theta) + sqrt(theta * theta + 1));
    double c = 1 / sqrt(t * t + 1), s = t * c;
    for (int k = 0; k < 3; k++) {
        double kp = a[k][p], kq = a[k][q];
        a[k][p] = c * kp - s * kq;
        a[k][q] = s * kp + c * kq;
    }
    for (int k = 0; k < 3; k++) {
        double pk = a[p][k], qk = a[q][k];
        a[p][k] = c * pk - s * qk;
        a[q][k] = s * pk + c * qk;
        double vp = v[p][k], vq = v[q][k];
        v[p][k] = c * vp - s * vq;
        v[q][k] = s * vp + c * vq;
    }
}

void bp_eigen3(const double symmetric[9], double values[3], double vectors[9])
{
    enum { SWEEPS = 12 }; /* 3x3 converges quadratically: six reach double precision */
    double a[3][3], v[3][3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    memcpy(a, symmetric, sizeof a);
    for (int sweep = 0; sweep < SWEEPS; sweep++) {
        jacobi_rotate(a, v, 0, 1);
        jacobi_rotate(a, v, 0, 2);
        jacobi_rotate(a, v, 1, 2);
    }
    int order[3] = {0, 1, 2};
    for (int i = 0; i < 2; i++) {
        for (int j = i + 1; j < 3; j++) {
            if (a[order[j]][order[j]] > a[order[i]][order[i]]) {
                int swap = order[i];
                order[i] = order[j];
                order[j] = swap;
            }
        }
    }
    for (int i = 0; i < 3; i++) {
        values[i] = a[order[i]][order[i]];
        memcpy(vectors + 3 * i, v[order[i]], 3 * sizeof *vectors);
    }
}
