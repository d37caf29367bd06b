/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * From motion to log: the clock and the sensors' errors. Private to simulate_core.
 */
#ifndef SIMULATE_SENSOR_H
#define SIMULATE_SENSOR_H

#include "motion.h"

/* Samples motion into *log. On SIM_MEMORY *log is empty. */
enum sim_code sim_sensor_sample(const struct sim_scenario *scenario, const struct sim_motion *motion,
                                struct sim_log *log);

#endif
