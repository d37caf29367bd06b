/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/traces_json.h"

#include "report/json.h"

/* Finer than a screen shows, and no finer: the page is carried over a phone's network. */
enum { TIME = 3, METRES = 4, SPEED = 4, MM = 3, MM_S = 1, HERTZ = 2, DENSITY = 3 };

static void put_numbers(struct bp_json *json, const char *key, const double *list, size_t count, int decimals)
{
    bp_json_open(json, key, '[');
    for (size_t i = 0; i < count; i++) {
        bp_json_number(json, NULL, list[i], decimals);
    }
    bp_json_close(json, ']');
}

static void put_record(struct bp_json *json, const char *key, const struct bp_record *record, size_t count,
                       int decimals)
{
    bp_json_open(json, key, '{');
    put_numbers(json, "value", record->value, count, decimals);
    put_numbers(json, "low", record->low, count, decimals);
    put_numbers(json, "high", record->high, count, decimals);
    bp_json_close(json, '}');
}

void bp_traces_put_json(const struct bp_traces *traces, struct bp_text *out)
{
    struct bp_json json;
    bp_json_init(&json, false, out);
    if (traces == NULL) {
        bp_json_null(&json, NULL);
        return;
    }
    bp_json_open(&json, NULL, '{');
    put_numbers(&json, "time_s", traces->time_s, traces->count, TIME);
    put_record(&json, "height_m", &traces->height_m, traces->count, METRES);
    put_record(&json, "speed_m_s", &traces->speed_m_s, traces->count, SPEED);
    put_record(&json, "shake_mm", &traces->shake_mm, traces->count, MM);
    put_record(&json, "shake_mm_s", &traces->shake_mm_s, traces->count, MM_S);
    bp_json_open(&json, "spectrum", '{');
    bp_json_number(&json, "step_hz", traces->spectrum_step_hz, HERTZ);
    put_numbers(&json, "density", traces->spectrum_mm2_s2_hz, traces->spectrum_count, DENSITY);
    bp_json_close(&json, '}');
    bp_json_close(&json, '}');
}
