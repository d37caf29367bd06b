/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rigs for the tests of the load model: a straight bar of 100 kg, and parts to hang on it.
 */
#ifndef BARPLUMB_TESTS_LOAD_RIGS_H
#define BARPLUMB_TESTS_LOAD_RIGS_H

#include "barplumb/load.h"
#include "barplumb/units.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

extern const double iron_kg; /* 100: bar and plates */

/* A bar of 20 kg, 80 kg of plates, nothing hanging. */
struct bp_rig rig_bare(void);

/* One chain on the left only; returned to be changed. */
struct bp_chain *rig_add_chain(struct bp_rig *rig, double kg_per_m, double length_m, double leader_m);

/* One band on the left only, straight down to a peg on the floor; returned to be changed. */
struct bp_band *rig_add_band(struct bp_rig *rig, size_t count, const double *length_m, const double *pull_n);

void rig_set_curve(struct bp_band_curve *curve, size_t count, const double *length_m, const double *pull_n);

/* Prepared rig, which must succeed. */
struct bp_load_model *rig_ready(const struct bp_rig *rig);

/* The load of a rig's own values. */
struct bp_load rig_load(const struct bp_rig *rig, double height_m, double speed_m_s, double accel_m_s2);
struct bp_load model_load(const struct bp_load_model *model, double height_m, double speed_m_s,
                          double accel_m_s2);

#endif
