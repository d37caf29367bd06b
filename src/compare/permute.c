/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/compare.h"

#include "barplumb/random.h"

enum { FLIPS_EXACT_MAX = 15, DRAWS = 20000 };
#define WAYS_EXACT_MAX 200000.0
/* Sums of the same numbers in another order differ by rounding: what is this close counts as equal. */
#define TIE 1e-10

struct tally {
    double seen, slack;
    uint64_t low, high, far, count;
};

static void count_one(struct tally *t, double value)
{
    t->low += value <= t->seen + t->slack;
    t->high += value >= t->seen - t->slack;
    t->far += fabs(value) >= fabs(t->seen) - t->slack;
    t->count++;
}

static struct bp_permutation share(const struct tally *t, bool exact)
{
    double extra = exact ? 0.0 : 1.0, all = (double)t->count + extra;
    return (struct bp_permutation){((double)t->low + extra) / all, ((double)t->high + extra) / all,
                                   ((double)t->far + extra) / all, t->count, exact};
}

static struct bp_permutation nothing(void)
{
    return (struct bp_permutation){(double)NAN, (double)NAN, (double)NAN, 0, false};
}

static double flipped_sum(const double *d, size_t count, uint64_t signs)
{
    double sum = 0.0;
    for (size_t i = 0; i < count; i++) {
        sum += (signs >> i & 1U) != 0 ? -d[i] : d[i];
    }
    return sum;
}

static double drawn_sum(const double *d, size_t count, struct bp_random *random)
{
    double sum = 0.0;
    uint64_t signs = 0;
    for (size_t i = 0; i < count; i++) {
        signs = i % 64 == 0 ? bp_random_next(random) : signs >> 1;
        sum += (signs & 1U) != 0 ? -d[i] : d[i];
    }
    return sum;
}

struct bp_permutation bp_sign_flips(const double *differences, size_t count, uint64_t seed)
{
    struct tally t = {0};
    double size = 0.0;
    if (count == 0) {
        return nothing();
    }
    for (size_t i = 0; i < count; i++) {
        size += fabs(differences[i]);
    }
    t.seen = flipped_sum(differences, count < 64 ? count : 64, 0);
    for (size_t i = 64; i < count; i++) {
        t.seen += differences[i];
    }
    t.slack = TIE * size;
    bool exact = count <= FLIPS_EXACT_MAX;
    if (exact) {
        for (uint64_t signs = 0; signs < (uint64_t)1 << count; signs++) {
            count_one(&t, flipped_sum(differences, count, signs));
        }
    } else {
        struct bp_random random;
        bp_random_init(&random, seed, 0);
        for (int i = 0; i < DRAWS; i++) {
            count_one(&t, drawn_sum(differences, count, &random));
        }
    }
    return share(&t, exact);
}

static double ways(size_t first, size_t second)
{
    double n = 1.0;
    for (size_t i = 1; i <= first && n <= WAYS_EXACT_MAX; i++) {
        n *= (double)(second + i) / (double)i;
    }
    return n;
}

/* The next choice of `chosen` of `all` indices in rising order; false past the last. */
static bool next_choice(size_t *index, size_t chosen, size_t all)
{
    for (size_t i = chosen; i-- > 0;) {
        if (index[i] < all - chosen + i) {
            index[i]++;
            for (size_t k = i + 1; k < chosen; k++) {
                index[k] = index[k - 1] + 1;
            }
            return true;
        }
    }
    return false;
}

static double chosen_sum(const double *values, const size_t *index, size_t chosen, double centre)
{
    double sum = 0.0;
    for (size_t i = 0; i < chosen; i++) {
        sum += values[index[i]] - centre;
    }
    return sum;
}

/* Deals `chosen` of all indices to the front (Fisher & Yates). */
static void deal(size_t *index, size_t chosen, size_t all, struct bp_random *random)
{
    for (size_t i = 0; i < chosen && i < all; i++) {
        size_t k = i + (size_t)(bp_random_next(random) % (uint64_t)(all - i));
        size_t kept = index[i];
        index[i] = index[k];
        index[k] = kept;
    }
}

/* With the sum of all values about their mean being 0, the difference of the two means is the first group's
 * sum times a constant: the sum will do. */
struct bp_permutation bp_regroupings(const double *values, size_t first, size_t second, size_t *scratch,
                                     uint64_t seed)
{
    size_t all = first + second;
    struct tally t = {0};
    if (first == 0 || second == 0) {
        return nothing();
    }
    double centre = bp_sample_moments(values, all).mean, size = 0.0;
    for (size_t i = 0; i < all; i++) {
        scratch[i] = i;
        size += fabs(values[i] - centre);
    }
    t.seen = chosen_sum(values, scratch, first, centre);
    t.slack = TIE * size;
    bool exact = ways(first, second) <= WAYS_EXACT_MAX;
    if (exact) {
        do {
            count_one(&t, chosen_sum(values, scratch, first, centre));
        } while (next_choice(scratch, first, all));
    } else {
        struct bp_random random;
        bp_random_init(&random, seed, 0);
        for (int i = 0; i < DRAWS; i++) {
            deal(scratch, first, all, &random);
            count_one(&t, chosen_sum(values, scratch, first, centre));
        }
    }
    return share(&t, exact);
}
