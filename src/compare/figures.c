/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/compare.h"

const struct bp_compare_settings bp_compare_defaults = {BP_BY_SETUP, 0.95, 0.8, 1, false};

/* worth: 0.03 m/s are the best limits of agreement of an instrument with motion capture (Thompson et al.
 * 2020, Sports 8(7):94): less is not seen from the outside either.
 *
 * scatter: from day to day 2.6 to 7.7 % in PLoS ONE 2019, 14(2):e0212085, in the middle 5 %. The prior is
 * sigma^2 = cv^2 df / chi^2_df; with 6 degrees of freedom 80 % of sigma lie between 0.75 cv and 1.65 cv, 3.8
 * to 8.3 %. */
const struct bp_compare_figure bp_compare_speed = {.name = "mean_velocity_m_s",
                                                   .words = "speed",
                                                   .unit = "m/s",
                                                   .decimals = 2,
                                                   .scale = BP_SCALE_DIFFERENCE,
                                                   .worth = 0.03,
                                                   .scatter_cv = 0.05,
                                                   .scatter_df = 6.0};

/* worth: a quarter more shake; ours, no source. Nobody has published how shake scatters from day to day. */
const struct bp_compare_figure bp_compare_shake = {.name = "shake_mm",
                                                   .words = "shake",
                                                   .unit = "mm",
                                                   .deed = "shook",
                                                   .decimals = 1,
                                                   .scale = BP_SCALE_RATIO,
                                                   .worth = 1.25};

/* worth: the smallest pair of plates in common use; ours, no source. */
const struct bp_compare_figure bp_compare_load = {.name = "load_kg",
                                                  .words = "load",
                                                  .unit = "kg",
                                                  .where = "",
                                                  .decimals = 1,
                                                  .scale = BP_SCALE_DIFFERENCE,
                                                  .worth = 1.0,
                                                  .error_in_common = true};
