/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion.h"
#include "sensor.h"
#include "simulate.h"
#include "truth.h"

enum sim_code sim_run(const struct sim_scenario *scenario, struct sim_log *log, struct sim_truth *truth)
{
    struct sim_motion motion;
    if (log) {
        *log = (struct sim_log){0};
    }
    if (sim_scenario_fault(scenario)) {
        return SIM_SETTING;
    }
    enum sim_code code = sim_motion_make(scenario, &motion);
    if (code == SIM_OK && log) {
        code = sim_sensor_sample(scenario, &motion, log);
    }
    if (code == SIM_OK && truth && !sim_truth_make(&motion, truth)) {
        code = SIM_MEMORY;
        if (log) {
            sim_log_free(log);
        }
    }
    sim_motion_free(&motion);
    return code;
}
