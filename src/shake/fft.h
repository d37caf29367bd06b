/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/shake: the one door to FFTW. Complex numbers are pairs of doubles, real part first.
 *
 * One complex transform, forward and in place, serves every spectrum here: measured on one core, FFTW plans
 * the first real-to-complex and complex-to-real pair of 13,824 samples in 7 to 10 ms and a complex one in
 * 1 ms, which decides it for a stage that transforms a dozen records a log. Real records go through two at a
 * time, and the backward transform is the forward one with real and imaginary parts swapped.
 */
#ifndef BARPLUMB_SHAKE_FFT_H
#define BARPLUMB_SHAKE_FFT_H

#include <fftw3.h>
#include <stddef.h>

/* A plan for length complex numbers at data, and for any other arena array of that length; NULL when FFTW
 * cannot make one. Thread-safe. */
fftw_plan bp_fft_make(size_t length, double *data);

/* Transforms data in place. Thread-safe. */
void bp_fft_run(fftw_plan plan, double *data);

/* Thread-safe; NULL is allowed. */
void bp_fft_free(fftw_plan plan);

#endif
