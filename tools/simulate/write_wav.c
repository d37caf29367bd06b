/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write.h"

#include <sndfile.h>

#include <math.h>
#include <stdio.h>

enum { CHANNELS_MAX = 6 };

static bool write_frames(SNDFILE *file, const struct sim_log *log, int channels)
{
    for (size_t i = 0; i < log->count; i++) {
        float frame[CHANNELS_MAX];
        for (int k = 0; k < 3; k++) {
            frame[k] = (float)log->force[k][i];
            frame[k + 3] = log->gyroscope ? (float)log->turn[k][i] : 0.0f;
        }
        if (sf_write_float(file, frame, channels) != channels) {
            return false;
        }
    }
    return true;
}

bool sim_write_wav(const struct sim_log *log, const char *path)
{
    double rate_hz = log->nominal_rate_hz;
    int channels = log->gyroscope ? 6 : 3;
    if (rate_hz != floor(rate_hz) || log->turn_time_s) {
        return false;
    }
    SF_INFO info = {
        .samplerate = (int)rate_hz, .channels = channels, .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT};
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file) {
        return false;
    }
    /* The peak chunk carries the time of writing: same seed, same bytes only without it. */
    sf_command(file, SFC_SET_ADD_PEAK_CHUNK, NULL, SF_FALSE);
    bool written = write_frames(file, log, channels);
    written = sf_close(file) == 0 && written;
    if (!written) {
        remove(path);
    }
    return written;
}
