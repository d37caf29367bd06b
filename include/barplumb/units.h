/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Exact unit factors. Sources: 3rd CGPM 1901 (g_n); International yard and pound agreement 1959;
 * NIST SP 811.
 */
#ifndef BARPLUMB_UNITS_H
#define BARPLUMB_UNITS_H

#define BP_STANDARD_GRAVITY 9.80665      /* m/s^2, exact */
#define BP_POUND_KG 0.45359237           /* kg, exact */
#define BP_POUND_FORCE_N 4.4482216152605 /* N, exact */
#define BP_INCH_M 0.0254                 /* m, exact */
#define BP_FOOT_M 0.3048                 /* m, exact */
#define BP_PI 3.14159265358979323846
#define BP_DEGREE (BP_PI / 180.0) /* rad */

#endif
