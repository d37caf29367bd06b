/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Load: a rig and where the bar is → what it weighs there, what moves with it and what the hands give.
 *
 * Chain: the risen length h of a chain of line density λ asks for λ(g h + v² + h a) on the way up, since
 * every link picked up is brought to the bar's speed, and for λ h (g + a) on the way down, where the floor
 * stops each link (d/dt of λ h v; Kleppner & Kolenkow, An Introduction to Mechanics, ch. 3). Band: its
 * measured points by monotone interpolation (Steffen 1990, A&A 239:443-450); its own mass is left out.
 * docs/load.md derives them and says where they hold.
 */
#ifndef BARPLUMB_LOAD_H
#define BARPLUMB_LOAD_H

#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/random.h"
#include "barplumb/rig.h"

#ifdef __cplusplus
extern "C" {
#endif

/* A rig made ready; owned, freed by bp_load_free. One thread at a time. */
struct bp_load_model;

/* The bar at one moment. */
struct bp_load_state {
    double height_m;              /* of the bar above the floor */
    double speed_m_s, accel_m_s2; /* vertical, up positive */
};

struct bp_load {
    double weight_n;    /* what holds the bar still at that height: all of it, down positive */
    double chain_n;     /* chains' part of it */
    double band_n;      /* bands' part; negative from above. Of the curve for the way the bar moves */
    double moving_kg;   /* what inertia acts on: bar, plates and the chain in the air */
    double hand_n;      /* vertical force of the hands in this motion */
    double let_go_m_s2; /* acceleration at which hand_n would be 0: -g for a straight bar */
    double aside_n[2];  /* sideways pull on the left and the right end, outward positive */
    double uneven_n;    /* right end's downward pull less the left's, of chains and bands in this motion */
};

/* Makes rig ready, at its own values; rig is copied and may go. *model NULL on failure. Errors: MEMORY,
 * ARGUMENT (naming the part at fault). One allocation; thread-safe. */
BP_API enum bp_code bp_load_prepare(const struct bp_rig *rig, struct bp_load_model **model,
                                    struct bp_error *error);
BP_API void bp_load_free(struct bp_load_model *model); /* NULL: nothing */

/* Sets model to one draw of what the rig's ± allow: every measured value normal about its own, pulls kept
 * from falling with length, masses above 0. A point measured as no pull stays one. random NULL: back to the
 * rig's own values. Allocates nothing; takes the same number of normals whatever they are. */
BP_API void bp_load_vary(struct bp_load_model *model, struct bp_random *random);

/* The bar's height above the floor at lockout and at the turnaround, of the draw at hand; NaN: not said. */
BP_API double bp_load_lockout_m(const struct bp_load_model *model);
BP_API double bp_load_bottom_m(const struct bp_load_model *model);

/* True when chains or bands make the load hang on the height. */
BP_API bool bp_load_varies(const struct bp_load_model *model);

/* The load at one moment; every field NaN where a band is longer than it was ever measured, or shorter unless
 * it was slack there already (its shortest point a pull of 0), or where state is not finite. Allocates
 * nothing. A band with a curve for each way takes the slackening one while its way gets shorter, and the
 * stretching one at rest. */
BP_API void bp_load_at(const struct bp_load_model *model, const struct bp_load_state *state,
                       struct bp_load *load);

/* Does the rig, at the draw at hand, serve the heights from one to the other, in either order? ARGUMENT,
 * naming the part: a chain that never leaves the floor, a band that is slack all the way or leaves what was
 * measured of it. A chain that hangs clear of the floor all the way is dead weight, and no error. */
BP_API enum bp_code bp_load_check(const struct bp_load_model *model, double from_m, double to_m,
                                  struct bp_error *error);

#ifdef __cplusplus
}
#endif
#endif
