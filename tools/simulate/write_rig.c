/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rig file a coach would write for a scenario: what scales and a tape say, off by what their own ± allow.
 */
#include "load.h"
#include "plan.h"
#include "random.h"
#include "write.h"

#include "barplumb/units.h"

#include <math.h>

static const double SIGMAS = 1.96; /* of a normal that hold 95 % of it, one side */

enum { POINTS_MAX = 24 }; /* more a rig file does not take */

struct writer {
    const struct sim_rig *rig;
    struct bp_random random;
    struct bp_text *text;
};

static void put_key(struct writer *w, const char *key)
{
    bp_text_put(w->text, key);
    bp_text_put(w->text, " = ");
}

static void put_plain(struct writer *w, const char *key, double value, int decimals, const char *unit)
{
    put_key(w, key);
    bp_text_put_number(w->text, value, decimals);
    bp_text_put(w->text, unit);
    bp_text_put_char(w->text, '\n');
}

/* What is read off where the truth is value and the reading good to ±95 % `within`. */
static double reading(struct writer *w, double value, double within)
{
    return value + w->rig->errors * within / SIGMAS * bp_random_normal(&w->random);
}

static void put_reading(struct writer *w, double value, double within, int decimals, const char *unit)
{
    bp_text_put_number(w->text, value, decimals);
    bp_text_put(w->text, unit);
    bp_text_put(w->text, " ± ");
    bp_text_put_number(w->text, within, decimals);
}

/* A reading within its own ± of 0 says no more than 0. */
static double told(double read, double within)
{
    return read > 1.01 * within ? read : 0.0; /* a little over, so that rounding does not undo it */
}

static void put_measured(struct writer *w, const char *key, double value, double within, int decimals,
                         const char *unit)
{
    put_key(w, key);
    put_reading(w, told(reading(w, value, within), within), within, decimals, unit);
    bp_text_put_char(w->text, '\n');
}

static void put_hung(struct writer *w, int count, bool doubled)
{
    static const char *const sides[SIM_SIDE_COUNT] = {"both", "left", "right"};
    put_key(w, "count");
    bp_text_put_count(w->text, (size_t)count);
    bp_text_put(w->text, "\nside = ");
    bp_text_put(w->text, sides[w->rig->side]);
    bp_text_put(w->text, doubled ? "\nfold = doubled\n" : "\nfold = single\n");
}

/* Scales to 0.2 kg, plates weighed together to 1 %, heights with a tape to 1 cm. */
static void put_bar(struct writer *w)
{
    const double scales_kg = 0.2, plates_part = 0.01, tape_cm = 1.0;
    const struct sim_rig *rig = w->rig;
    bp_text_put(w->text, "[bar]\n");
    put_measured(w, "mass", rig->bar_kg, scales_kg, 3, " kg");
    put_measured(w, "plates", rig->plates_kg, plates_part * rig->plates_kg, 3, " kg");
    put_measured(w, "lockout", 100.0 * rig->lockout_m, tape_cm, 2, " cm");
}

static void put_chain(struct writer *w)
{
    const double density_part = 0.03, tape_cm = 1.0;
    const struct sim_rig *rig = w->rig;
    bp_text_put(w->text, "\n[chain simulated]\n");
    put_measured(w, "mass-per-metre", rig->chain_kg_per_m, density_part * rig->chain_kg_per_m, 4, " kg/m");
    put_plain(w, "length", rig->chain_m, 4, " m");
    put_measured(w, "leader", 100.0 * rig->leader_m, tape_cm, 2, " cm");
    put_hung(w, rig->chains, rig->chain_doubled);
}

/* At rest, and every 10 cm of the band's own length (20 where that would be too many; as finely as there is
 * room for without errors), past what the lift needs of it by a little on both sides. A hanging scale reads
 * kilograms of 9.80665 N. */
static void put_points(struct writer *w, double range_m)
{
    const double spare_m = 0.08, least_kg = 0.15, part = 0.03, most_part = 0.25;
    double lockout = w->rig->lockout_m, bottom = lockout - range_m;
    double a = sim_load_band_length(w->rig, lockout + spare_m);
    double b = sim_load_band_length(w->rig, bottom - spare_m);
    double step = 0.1, before = 0.0, shortest = fmin(a, b), longest = fmax(a, b);
    if (!(w->rig->errors > 0.0)) { /* who measures without error measures as finely as there is room for */
        step = fmax(0.05, ceil(100.0 * (longest - shortest) / (POINTS_MAX - 4)) / 100.0);
    }
    if ((longest - shortest) / step > POINTS_MAX - 4) {
        step *= 2.0;
    }
    double taut = floor(w->rig->band_rest_m / step + 0.01) + 1.0; /* the first that is longer than at rest */
    double first = fmax(floor(shortest / step), taut), last = fmax(ceil(longest / step), first + 1.0);
    put_plain(w, "rest", 100.0 * w->rig->band_rest_m, 1, " cm");
    put_key(w, "points");
    for (double k = first; k <= last; k += 1.0) {
        double kg = sim_load_band_pull(w->rig, k * step) / BP_STANDARD_GRAVITY;
        double within = fmin(fmax(least_kg, part * kg), most_part * kg); /* small pulls: a finer scale */
        /* a pull that falls as the band gets longer is measured again */
        before = fmax(before, told(reading(w, kg, within), within));
        bp_text_put(w->text, k > first ? ",\n    " : ""); /* a line each: a reader may have no long ones */
        bp_text_put_number(w->text, 100.0 * k * step, 0);
        bp_text_put(w->text, " cm: ");
        put_reading(w, before, within, 3, " kg");
    }
    bp_text_put_char(w->text, '\n');
}

/* "12.00 cm aside" for a place to the one side, "12.00 cm inward" for one to the other. */
static void put_way(struct writer *w, double metres, const char *ahead, const char *behind)
{
    bp_text_put_number(w->text, 100.0 * fabs(metres), 2);
    bp_text_put(w->text, " cm ");
    bp_text_put(w->text, metres < 0.0 ? behind : ahead);
}

static void put_peg(struct writer *w, const char *key, double forward_m)
{
    put_key(w, key);
    put_way(w, w->rig->peg_aside_m, "aside, ", "inward, ");
    put_way(w, forward_m, "forward, ", "back, ");
    put_way(w, w->rig->peg_height_m, "high\n", "high\n");
}

static void put_band(struct writer *w, double range_m)
{
    const struct sim_rig *rig = w->rig;
    bp_text_put(w->text, "\n[band simulated]\n");
    put_points(w, range_m);
    put_peg(w, "peg", rig->peg_forward_m);
    if (rig->peg_beyond_m > 0.0) {
        put_peg(w, "peg-2", rig->peg_forward_m + rig->peg_beyond_m);
    }
    put_hung(w, rig->bands, rig->band_doubled);
}

void sim_write_rig(const struct sim_scenario *scenario, struct bp_text *text)
{
    struct writer w = {.rig = &scenario->rig, .text = text};
    bp_random_init(&w.random, scenario->seed, SIM_STREAM_RIG_FILE);
    put_bar(&w);
    if (w.rig->chains > 0) {
        put_chain(&w);
    }
    if (w.rig->bands > 0) {
        put_band(&w, scenario->range_m);
    }
}
