/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shake/fft.h"

#include "barplumb/spectrum.h"
#include "base/spare.h"

#include <limits.h>
#include <pthread.h>
#include <stdint.h>

/* FFTW's planner keeps its own state and is not thread-safe (FFTW manual, "Thread safety"); executing is. */
static pthread_mutex_t planner = PTHREAD_MUTEX_INITIALIZER;

/* Where its planner gets no memory FFTW ends the program (CK in its kernel/alloc.c), which is not a library's
 * to do: so see first that there is some. Planning by estimate took 0.2 MB, and 9.6 bytes a point of a long
 * transform, where it was measured. */
enum { PLANNER_BYTES = 1 << 20, POINT_BYTES = 16 };

fftw_plan bp_fft_make(size_t length, double *data)
{
    if (length == 0 || length > INT_MAX || !bp_spare_memory(PLANNER_BYTES + POINT_BYTES * length)) {
        return NULL;
    }
    fftw_complex *points = (fftw_complex *)data;
    pthread_mutex_lock(&planner);
    fftw_plan plan = fftw_plan_dft_1d((int)length, points, points, FFTW_FORWARD, FFTW_ESTIMATE);
    pthread_mutex_unlock(&planner);
    return plan;
}

void bp_fft_run(fftw_plan plan, double *data)
{
    fftw_complex *points = (fftw_complex *)data;
    fftw_execute_dft(plan, points, points);
}

void bp_fft_free(fftw_plan plan)
{
    if (plan == NULL) {
        return;
    }
    pthread_mutex_lock(&planner);
    fftw_destroy_plan(plan);
    pthread_mutex_unlock(&planner);
}

/* The smallest base * 2^a that is at least count; 0 where it does not fit. */
static size_t double_up(size_t base, size_t count)
{
    while (base < count) {
        if (base > SIZE_MAX / 2) {
            return 0;
        }
        base *= 2;
    }
    return base;
}

/* next * factor, or 0 when that is already past what is needed or does not fit. */
static size_t step_up(size_t value, size_t factor, size_t count)
{
    return value >= count || value > SIZE_MAX / factor ? 0 : value * factor;
}

size_t bp_fast_length(size_t count)
{
    size_t best = 0;
    for (size_t fives = 1; fives != 0; fives = step_up(fives, 5, count)) {
        for (size_t base = fives; base != 0; base = step_up(base, 3, count)) {
            size_t length = double_up(base, count);
            if (length != 0 && (best == 0 || length < best)) {
                best = length;
            }
        }
    }
    return best;
}
