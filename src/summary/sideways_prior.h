/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every prior of the sideways figures' errors: its name, unit, default and the reason for it, in this one
 * place.
 */
#ifndef BARPLUMB_SUMMARY_SIDEWAYS_PRIOR_H
#define BARPLUMB_SUMMARY_SIDEWAYS_PRIOR_H

struct bp_sideways_prior {
    double level_rad;   /* sd of where "level" lies along the bar: zero-g offsets over g. Phone parts: ±20 mg
                           (LSM6DSO data sheet, from memory) to ±40-60 mg over life (BMI160); it carries
                           vertical acceleration into the sideways one */
    double force_cross; /* sd of an accelerometer's cross-axis gain: data sheets 1 % typical; Android
                           CDD 7.3.9 allows 2.5 % */
    double turn_cross;  /* the same of a gyroscope: 1 % typical; it turns roll into tilt, and tilt leaks
                           gravity */
    double force_scale; /* sd of the accelerometer's gain: Android CDD 7.3.9 nonlinearity 0.5 %; phone parts
                           typically 0.5-1 % (data sheets, from memory) */
    double axis_rad; /* sd of the bar's direction in the phone at the least: how far a bar's roll is not about
                        its own axis, a degree (sleeves have play) */
    double axis_evidence; /* 1: what the log's own tilt beside its roll leaves open on top of it; 0: none */
    double axis_assumed_rad; /* the same where it could not be found: a phone strapped on askew */
    double across_chance;    /* and how often it was strapped on across the bar, where nothing shows which */
    double lever_m;     /* sd, each axis across the bar, of the chip's place off the bar's axis: the bar's
                           radius of 14 mm and half a phone's thickness out, up to half its width sideways */
    double noise;       /* 1; 0 leaves out all that follows to gap_accel_m_s2 */
    double rough_share; /* which part of the roughness above the sensor's noise is an error in the band, as
                           variance: clatter that the sensor did not filter before sampling folds back */
    double fold_share;  /* and which part more where all of a ring lies past half the rate: an eighth of it
                           folds into the band, and a sensor's own filter lets half of that through */
    double clip_accel_m_s2; /* unknown acceleration above a clipped reading, sd */
    double gap_accel_m_s2;  /* unknown acceleration in a gap of a quarter second and more, sd */
    double ring_hz;    /* links and plates ring up to this (short-link chain; from memory): a rate of twice it
                          misses little of them between its samples */
    double peak_share; /* below that rate a peak is higher than its largest sample by about so much of it: of
                          a sine sampled two to four times a period the largest sample has 64 to 90 %, and a
                          burst has several periods to hit */
    double clatter_band; /* sd of what the band's edge and the sensor's own filter make of a ring, part of its
                            rms */
    double hiss_alone;   /* sd of the power of the sensor's own noise where no rest shows it, part of it: of
                            what   a bar that is held does besides */
    double turn_walk;    /* rad per sqrt(s): attitude walk from the gyroscope's noise, 7 mdps/sqrt(Hz) (BMI270
                            data sheet), and a margin of two for what a phone adds */
    /* Without a gyroscope: how the bar tilts within the shake band, unseen. */
    double tilt_rad; /* middle of its rms: two hands lift ends of a bar of 1.3 m between the sleeves level to
                        a centimetre or so, and a quarter of that comes and goes within a second */
    double tilt_factor; /* one lifter's differs from another's by so many times (one sd of its logarithm) */
    double tilt_low_hz,
        tilt_high_hz;  /* where it lies: from the drive's own length to where arms no longer follow */
    double tilt_power; /* amplitudes fall with the frequency's power, as any limb's do */
};

extern const struct bp_sideways_prior bp_sideways_prior_defaults;

#endif
