/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Stands in for the library behind the program, so that the program alone is tested: what a log is called
 * decides what happens to it, and the settings that arrive are told back in a finding.
 */
#include "barplumb/analyse.h"
#include "barplumb/split.h"
#include "barplumb/text.h"
#include "cli/cli.h"
#include "report/samples.h"

#include <stdio.h>
#include <string.h>

#define ANYWHERE ((double)NAN)

const struct bp_import_settings bp_import_defaults = {.columns = NULL};
const struct bp_check_settings bp_check_defaults = {.latitude_deg = ANYWHERE};
const struct bp_analyse_settings bp_analyse_defaults = {
    .edge_speed_m_s = 0.04, .along_axis = BP_AXIS_AUTO, .seed = 1, .check = {.latitude_deg = ANYWHERE}};

static bool is_called(const char *path, const char *name)
{
    const char *slash = strrchr(path, '/');
    return strncmp(slash != NULL ? slash + 1 : path, name, strlen(name)) == 0;
}

static void put_setting(struct bp_text *text, const char *name, double value)
{
    bp_text_put(text, name);
    bp_text_put_number(text, value, 4);
}

/* Which settings arrived, as far as they fit a finding. */
static void tell_settings(struct bp_findings *findings, const struct bp_import_settings *import,
                          const struct bp_check_settings *check, const struct bp_analyse_settings *analyse)
{
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, import->columns != NULL ? import->columns : "-");
    bp_text_put_char(&text, ' ');
    bp_text_put(&text, import->units != NULL ? import->units : "-");
    put_setting(&text, " rate ", import->rate_hz);
    put_setting(&text, " scale ", import->full_scale_force);
    put_setting(&text, " ", import->full_scale_turn);
    bp_text_put(&text, import->gravity_removed ? " no-gravity" : "");
    if (check != NULL) {
        put_setting(&text, " latitude ", check->latitude_deg);
    }
    if (analyse != NULL) {
        put_setting(&text, " edge ", analyse->edge_speed_m_s);
        put_setting(&text, " axis ", analyse->along_axis);
        bp_text_put(&text, " seed ");
        bp_text_put_count(&text, (size_t)analyse->seed);
    }
    bp_findings_add(findings, "settings", BP_NOTE, (double)NAN, "%s", text.data);
    bp_text_free(&text);
}

enum bp_code bp_import_log(const char *path, const struct bp_import_settings *settings,
                           struct bp_arena *arena, struct bp_trace *trace, struct bp_error *error)
{
    static const struct {
        const char *name;
        enum bp_code code;
        size_t line, column;
        const char *text;
    } refusals[] = {
        {"number", BP_ERR_NUMBER, 3, 2, "'1.2.3' is not a number"},
        {"absent", BP_ERR_OPEN, 0, 0, "no such file"},
        {"argument", BP_ERR_ARGUMENT, 0, 0, "there is no column 'height'"},
        {"memory", BP_ERR_MEMORY, 0, 0, "out of memory"},
    };
    struct sample_check sample;
    (void)arena;
    for (size_t i = 0; i < sizeof refusals / sizeof refusals[0]; i++) {
        if (is_called(path, refusals[i].name)) {
            bp_error_set(error, refusals[i].code, "%s", refusals[i].text);
            bp_error_place(error, path, refusals[i].line, refusals[i].column, (double)NAN);
            return refusals[i].code;
        }
    }
    sample_check(&sample);
    *trace = sample.trace;
    trace->gravity_removed = is_called(path, "unfit"); /* for bp_check_trace, which sees no path */
    trace->parts = is_called(path, "three") ? 3 : 0;   /* and for bp_split_trace */
    tell_settings(&trace->findings, settings, NULL, NULL);
    return BP_OK;
}

enum bp_code bp_import_recordings(const char *path, const struct bp_import_settings *settings,
                                  struct bp_arena *arena, struct bp_recordings *recordings,
                                  struct bp_error *error)
{
    *recordings = (struct bp_recordings){1, bp_arena_zero(arena, 1, sizeof *recordings->list)};
    struct bp_recording *only = recordings->list;
    only->trace = only != NULL ? bp_arena_zero(arena, 1, sizeof *only->trace) : NULL;
    return only == NULL || only->trace == NULL ? bp_error_set(error, BP_ERR_MEMORY, "out of memory")
                                               : bp_import_log(path, settings, arena, only->trace, error);
}

enum bp_code bp_split_recordings(const struct bp_recordings *recordings,
                                 const struct bp_split_settings *settings, bool whole, struct bp_arena *arena,
                                 struct bp_parts *parts, struct bp_error *error)
{
    const struct bp_trace *trace = recordings->list[0].trace;
    (void)settings;
    *parts = (struct bp_parts){.count = trace->parts > 0 && !whole ? trace->parts : 1};
    parts->list = bp_arena_take(arena, parts->count, sizeof *parts->list);
    if (parts->list == NULL) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory");
    }
    for (size_t i = 0; i < parts->count; i++) {
        parts->list[i] = *trace;
        parts->list[i].part = trace->parts > 0 && !whole ? i + 1 : 0;
        parts->list[i].from_s = 100.25 * (double)i;
    }
    return BP_OK;
}

enum bp_code bp_check_trace(const struct bp_trace *trace, const struct bp_check_settings *settings,
                            struct bp_arena *arena, struct bp_check *check, struct bp_error *error)
{
    struct sample_check sample;
    (void)arena;
    (void)error;
    sample_check(&sample);
    *check = sample.check;
    check->still.count = 0;
    check->still.list = NULL;
    check->findings = trace->findings;
    tell_settings(&check->findings, &bp_import_defaults, settings, NULL);
    check->verdict = trace->gravity_removed ? BP_NOT_FIT : BP_FIT;
    return BP_OK;
}

enum bp_code bp_analyse_trace(const struct bp_trace *trace, const struct bp_analyse_settings *settings,
                              struct bp_arena *arena, struct bp_summary *summary, struct bp_error *error)
{
    struct sample sample;
    if (is_called(settings->path, "three-unfit") && trace->part == 3) {
        return bp_error_set(error, BP_ERR_MOTION, "set 3 of 3 is not fit");
    }
    if (is_called(settings->path, "norep") ||
        (is_called(settings->path, "three-norep") && trace->part == 2)) {
        return bp_error_set(error, BP_ERR_NO_REP, "no rep of a %s was found",
                            bp_lift_facts(settings->lift)->name);
    }
    sample_full(&sample);
    *summary = sample.summary;
    summary->reps = bp_arena_take(arena, SAMPLE_REPS, sizeof *summary->reps);
    if (summary->reps == NULL) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory");
    }
    memcpy(summary->reps, sample.reps, sizeof sample.reps);
    snprintf(summary->log.path, sizeof summary->log.path, "%s", settings->path);
    snprintf(summary->set.setup, sizeof summary->set.setup, "%s",
             settings->setup != NULL ? settings->setup : "");
    summary->set.lift = settings->lift;
    summary->set.lift_given = settings->lift_given;
    summary->findings = trace->findings;
    tell_settings(&summary->findings, &settings->import, &settings->check, settings);
    summary->log.part = trace->part;
    summary->log.parts = trace->part > 0 ? trace->parts : 0;
    summary->log.part_from_s = trace->from_s;
    return BP_OK;
}

/* The commands on sheets need more of the library than a stand-in can be. */
int cli_compare(int argc, char **argv)
{
    (void)argc;
    (void)argv;
    return CLI_FAILED;
}

int cli_cycle(int argc, char **argv)
{
    return cli_compare(argc, argv);
}
