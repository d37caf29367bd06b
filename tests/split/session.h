/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A session in one log: simulated sets joined by what a phone goes through between them.
 */
#ifndef BARPLUMB_TESTS_SPLIT_SESSION_H
#define BARPLUMB_TESTS_SPLIT_SESSION_H

#include "barplumb/analyse.h"
#include "barplumb/split.h"
#include "simulate/simulate.h"

enum { SESSION_SETS_MAX = 4 };

struct session {
    struct bp_arena arena;
    struct bp_trace trace;
    size_t capacity;
    uint64_t seed; /* of all that is not the simulator's */
    double step_s, force_sd, turn_sd;
    double force[3], turn[3]; /* what the phone read last, at rest */
    size_t sets;
    double begins_s[SESSION_SETS_MAX]; /* log time of each set's first sample */
    struct sim_truth truth[SESSION_SETS_MAX];
};

/* cmocka setup and teardown: *state is a struct session, empty. */
int session_up(void **state);
int session_down(void **state);
/* Empty again, for another phone. */
void session_clear(struct session *session, uint64_t seed);

/* Appends a simulated set. The first says what phone it is; later ones must be the same one's. turn_s: the
 * phone is first put to how it lies on the bar in so long, by hand; 0: it lies there. */
void session_add_set(struct session *session, const struct sim_scenario *scenario, double turn_s);
/* The phone lies where it is. */
void session_add_rest(struct session *session, double length_s);
/* It is taken up, turned over, and laid down otherwise, on a table say. Its offset there is another. */
void session_add_turn(struct session *session, double length_s);
/* It is carried in a pocket, nearly upright: two steps a second, each 4 cm up and down, and swings. */
void session_add_walk(struct session *session, double length_s);
/* Plates are put on: knocks, a few a second. */
void session_add_knocks(struct session *session, double length_s);

/* The same phone and lift as first, another set: seed, reps, speed and rhythm are drawn from seed. */
void session_vary(const struct sim_scenario *first, uint64_t seed, struct sim_scenario *scenario);

#endif
