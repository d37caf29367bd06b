/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The settings by name: one table serves the command line, the range check and the truth file.
 */
#ifndef SIMULATE_FIELDS_H
#define SIMULATE_FIELDS_H

#include "simulate.h"

enum sim_field_kind { SIM_FIELD_NUMBER, SIM_FIELD_COUNT, SIM_FIELD_SWITCH, SIM_FIELD_NAME };

struct sim_field {
    const char *name; /* long option and, with _ for -, JSON key */
    size_t offset;    /* in struct sim_scenario */
    enum sim_field_kind kind;
    double least, most;
    const char *const *names; /* SIM_FIELD_NAME: most + 1 of them */
    const char *help;
};

extern const struct sim_field sim_fields[];
extern const size_t sim_field_count;

/* The value as a number: names as their index, switches as 0 or 1. */
double sim_field_get(const struct sim_field *field, const struct sim_scenario *scenario);
/* Reads text into the setting; false when it is no such value or out of range, the scenario is then left
 * alone. Switches read yes or no. */
bool sim_field_set(const struct sim_field *field, const char *text, struct sim_scenario *scenario);

#endif
