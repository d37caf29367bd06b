/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * simulate: the program. Options from the field table, files out.
 */
#include "fields.h"
#include "write.h"

#include <argp.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { FIELDS_MAX = 192, GIVEN_MAX = 256, PATH_SIZE = 4096, STATUS_USAGE = 2, STATUS_FAILED = 3 };

enum key {
    KEY_SEED = 1000,
    KEY_RANDOM,
    KEY_STUDY,
    KEY_OUT,
    KEY_TRUTH,
    KEY_RIG_OUT,
    KEY_TIME_UNIT,
    KEY_EPOCH,
    KEY_FORCE_UNIT,
    KEY_SIGN,
    KEY_GRAVITY_COLUMNS,
    KEY_ATTITUDE_COLUMNS,
    KEY_TURN_UNIT,
    KEY_SEPARATOR,
    KEY_POINT,
    KEY_HEADER,
    KEY_DECIMALS,
    KEY_FIELD = 2000 /* and up: sim_fields[key - KEY_FIELD] */
};

struct given {
    const struct sim_field *field;
    const char *text;
};

struct job {
    bool random, study;
    uint64_t seed;
    const char *out, *truth, *rig;
    struct sim_layout layout;
    struct given given[GIVEN_MAX];
    size_t given_count;
};

/* The place of word among the names, NULL-terminated; -1 when it is none. */
static int place_of(const char *word, const char *const *names)
{
    for (int i = 0; names[i]; i++) {
        if (strcmp(word, names[i]) == 0) {
            return i;
        }
    }
    return -1;
}

static int read_word(const char *word, const char *const *names, struct argp_state *state)
{
    int place = place_of(word, names);
    if (place < 0) {
        argp_error(state, "'%s' is none of the values this option takes", word);
        return 0; /* argp_error does not come back */
    }
    return place;
}

static double read_number(const char *word, struct argp_state *state)
{
    double value = 0.0;
    if (bp_number_read(word, strlen(word), '.', &value) != strlen(word) || !(value >= 0.0)) {
        argp_error(state, "'%s' is not a number this option takes", word);
    }
    return value;
}

static uint64_t read_seed(const char *word, struct argp_state *state)
{
    char *end;
    errno = 0;
    unsigned long long seed = strtoull(word, &end, 10);
    if (errno || end == word || *end || *word == '-') {
        argp_error(state, "a seed is a whole number");
    }
    return (uint64_t)seed;
}

static void parse_field(int key, const char *word, struct job *job, struct argp_state *state)
{
    const struct sim_field *field = &sim_fields[key - KEY_FIELD];
    struct sim_scenario probe = sim_scenario_defaults;
    if (!sim_field_set(field, word, &probe)) {
        argp_error(state, "--%s does not take '%s': %s", field->name, word, field->help);
    }
    if (job->given_count == GIVEN_MAX) {
        argp_error(state, "too many options");
    }
    job->given[job->given_count++] = (struct given){field, word};
}

static bool parse_layout(int key, const char *word, struct sim_layout *layout, struct argp_state *state)
{
    static const char *const times[] = {"s", "ms", "us", "ns", NULL};
    static const char *const forces[] = {"m/s2", "g", NULL};
    static const char *const signs[] = {"plus", "minus", NULL};
    static const char *const gravities[] = {"in", "removed", "apart", "against", NULL};
    static const char *const attitudes[] = {"quaternion", "inverse", "angles", NULL};
    static const char *const turns[] = {"rad", "deg", NULL};
    static const char *const separators[] = {"comma", "semicolon", "tab", NULL};
    static const char *const points[] = {"point", "comma", NULL};
    static const char *const switches[] = {"no", "yes", NULL};
    switch (key) {
    case KEY_TIME_UNIT:
        layout->time_unit = (enum sim_time_unit)read_word(word, times, state);
        return true;
    case KEY_EPOCH:
        layout->start_epoch_s = read_number(word, state);
        return true;
    case KEY_FORCE_UNIT:
        layout->in_g = read_word(word, forces, state) == 1;
        return true;
    case KEY_SIGN:
        layout->minus = read_word(word, signs, state) == 1;
        return true;
    case KEY_GRAVITY_COLUMNS:
        layout->gravity = (enum sim_gravity_columns)read_word(word, gravities, state);
        return true;
    case KEY_ATTITUDE_COLUMNS:
        layout->attitude = (enum sim_attitude_columns)read_word(word, attitudes, state);
        return true;
    case KEY_TURN_UNIT:
        layout->degrees = read_word(word, turns, state) == 1;
        return true;
    case KEY_SEPARATOR:
        layout->separator = ",;\t"[read_word(word, separators, state)];
        return true;
    case KEY_POINT:
        layout->point = ".,"[read_word(word, points, state)];
        return true;
    case KEY_HEADER:
        layout->header = read_word(word, switches, state) == 1;
        return true;
    case KEY_DECIMALS:
        layout->decimals = (int)read_number(word, state);
        if (layout->decimals > 9) {
            argp_error(state, "at most 9 decimals");
        }
        return true;
    default:
        return false;
    }
}

static error_t parse(int key, char *word, struct argp_state *state)
{
    struct job *job = state->input;
    if (key >= KEY_FIELD && key < KEY_FIELD + (int)sim_field_count) {
        parse_field(key, word, job, state);
        return 0;
    }
    switch (key) {
    case KEY_SEED:
        job->seed = read_seed(word, state);
        return 0;
    case KEY_RANDOM:
        job->random = true;
        return 0;
    case KEY_STUDY:
        job->study = true;
        return 0;
    case KEY_OUT:
        job->out = word;
        return 0;
    case KEY_TRUTH:
        job->truth = word;
        return 0;
    case KEY_RIG_OUT:
        job->rig = word;
        return 0;
    case ARGP_KEY_ARG:
        argp_error(state, "'%s' is not expected", word);
        return 0;
    case ARGP_KEY_END:
        if (job->layout.separator == job->layout.point) {
            argp_error(state, "--separator and --point are both the comma");
        }
        return 0;
    default:
        return parse_layout(key, word, &job->layout, state) ? 0 : ARGP_ERR_UNKNOWN;
    }
}

/* The last text given for a field of that name, NULL if none. */
static const struct given *given_for(const struct job *job, const char *name)
{
    for (size_t i = job->given_count; i-- > 0;) {
        if (strcmp(job->given[i].field->name, name) == 0) {
            return &job->given[i];
        }
    }
    return NULL;
}

/* A lift or a setup brings its own habits; what was given by hand is laid over them. */
static void make_scenario(const struct job *job, struct sim_scenario *scenario)
{
    const struct given *lift = given_for(job, "lift"), *setup = given_for(job, "setup");
    *scenario = sim_scenario_defaults;
    if (lift) {
        sim_field_set(lift->field, lift->text, scenario);
    }
    sim_scenario_for(scenario->lift, scenario);
    if (job->study) {
        sim_scenario_study(job->seed, scenario);
    } else if (job->random) {
        sim_scenario_random(job->seed, scenario);
    }
    if (setup) {
        sim_field_set(setup->field, setup->text, scenario);
        sim_scenario_rig(scenario->setup, scenario);
    }
    for (size_t i = 0; i < job->given_count; i++) {
        sim_field_set(job->given[i].field, job->given[i].text, scenario);
    }
    scenario->seed = job->seed;
}

static bool save_text(const struct bp_text *text, const char *path)
{
    bool to_stdout = strcmp(path, "-") == 0;
    FILE *file = to_stdout ? stdout : fopen(path, "wb");
    if (text->failed || !file) {
        if (file && !to_stdout) {
            fclose(file);
        }
        return false;
    }
    bool written = fwrite(text->data, 1, text->length, file) == text->length;
    written = (to_stdout ? fflush(file) : fclose(file)) == 0 && written;
    if (!written && !to_stdout) {
        remove(path);
    }
    return written;
}

static bool save_csv(const struct sim_log *log, const struct sim_layout *layout, bool turn, const char *path)
{
    struct bp_text text;
    bp_text_init(&text);
    if (turn) {
        sim_write_turn_csv(log, layout, &text);
    } else {
        sim_write_csv(log, layout, &text);
    }
    bool saved = save_text(&text, path);
    bp_text_free(&text);
    return saved;
}

/* A gyroscope with its own rate has its own file: out is then a folder. */
static bool save_folder(const struct sim_log *log, const struct sim_layout *layout, const char *folder)
{
    char path[PATH_SIZE];
    if (mkdir(folder, 0777) != 0 && errno != EEXIST) {
        return false;
    }
    int length = snprintf(path, sizeof path, "%s/accelerometer.csv", folder);
    if (length < 0 || (size_t)length >= sizeof path || !save_csv(log, layout, false, path)) {
        return false;
    }
    length = snprintf(path, sizeof path, "%s/gyroscope.csv", folder);
    return length > 0 && (size_t)length < sizeof path && save_csv(log, layout, true, path);
}

static bool ends_in(const char *path, const char *ending)
{
    size_t length = strlen(path), tail = strlen(ending);
    return length >= tail && strcmp(path + length - tail, ending) == 0;
}

static bool save_log(const struct job *job, const struct sim_log *log)
{
    if (ends_in(job->out, ".wav")) {
        return sim_write_wav(log, job->out);
    }
    if (log->turn_time_s) {
        return save_folder(log, &job->layout, job->out);
    }
    return save_csv(log, &job->layout, false, job->out);
}

static bool save_truth(const struct job *job, const struct sim_scenario *scenario, const struct sim_log *log,
                       const struct sim_truth *truth)
{
    struct bp_text text;
    if (!job->truth) {
        return true;
    }
    bp_text_init(&text);
    sim_write_truth(scenario, log, truth, &text);
    bool saved = save_text(&text, job->truth);
    bp_text_free(&text);
    return saved;
}

static bool save_rig(const struct job *job, const struct sim_scenario *scenario)
{
    struct bp_text text;
    if (!job->rig) {
        return true;
    }
    bp_text_init(&text);
    sim_write_rig(scenario, &text);
    bool saved = save_text(&text, job->rig);
    bp_text_free(&text);
    return saved;
}

static int run_job(const struct job *job, struct sim_truth *truth)
{
    struct sim_scenario scenario;
    struct sim_log log;
    make_scenario(job, &scenario);
    const char *fault = sim_scenario_fault(&scenario);
    if (fault) {
        fprintf(stderr, "simulate: out of range: %s\n", fault);
        return STATUS_USAGE;
    }
    if (job->rig && !(scenario.rig.bar_kg > 0.0)) {
        fprintf(stderr, "simulate: --rig-out needs a --bar-mass over 0\n");
        return STATUS_USAGE;
    }
    enum sim_code code = sim_run(&scenario, &log, truth);
    if (code != SIM_OK) {
        fprintf(stderr, "simulate: out of memory\n");
        return STATUS_FAILED;
    }
    bool saved = save_log(job, &log) && save_truth(job, &scenario, &log, truth) && save_rig(job, &scenario);
    if (!saved) {
        fprintf(stderr, "simulate: could not write %s\n", job->out);
    }
    sim_log_free(&log);
    return saved ? EXIT_SUCCESS : STATUS_FAILED;
}

static const struct argp_option own_options[] = {
    {"out", KEY_OUT, "FILE", 0, "the log: CSV, WAV when it ends in .wav, - for standard output (default)", 1},
    {"truth", KEY_TRUTH, "FILE", 0, "the truth as JSON", 1},
    {"rig-out", KEY_RIG_OUT, "FILE", 0, "the rig file a coach would write for the bar", 1},
    {"seed", KEY_SEED, "N", 0, "same seed, same bytes (default 1)", 1},
    {"random", KEY_RANDOM, NULL, 0, "draw the whole scenario from the seed; other options are laid over it",
     1},
    {"study", KEY_STUDY, NULL, 0,
     "the same as accuracy studies draw it: phones good and cheap, and a mishap in about three of ten sets",
     1},
    {"time-unit", KEY_TIME_UNIT, "UNIT", 0, "s, ms, us or ns", 2},
    {"start-epoch", KEY_EPOCH, "S", 0, "add this to every time, seconds", 2},
    {"force-unit", KEY_FORCE_UNIT, "UNIT", 0, "m/s2 or g", 2},
    {"sign", KEY_SIGN, "SIGN", 0, "plus: +g upward at rest; minus: the opposite on every axis", 2},
    {"gravity-columns", KEY_GRAVITY_COLUMNS, "HOW", 0,
     "in: acceleration with gravity; removed; apart: in columns of its own; against: there, with the other "
     "sign",
     2},
    {"attitude-columns", KEY_ATTITUDE_COLUMNS, "HOW", 0,
     "with --attitude yes: quaternion (phone to world), inverse (world to phone) or angles", 2},
    {"turn-unit", KEY_TURN_UNIT, "UNIT", 0, "rad or deg", 2},
    {"separator", KEY_SEPARATOR, "NAME", 0, "comma, semicolon or tab", 2},
    {"point", KEY_POINT, "NAME", 0, "decimal point or comma", 2},
    {"header", KEY_HEADER, "SWITCH", 0, "yes or no", 2},
    {"decimals", KEY_DECIMALS, "N", 0, "of the readings, 0 to 9 (default 6)", 2},
};
enum { OWN_OPTIONS = sizeof own_options / sizeof *own_options };

static const char summary[] = "A phone strapped to a barbell: known truth in, log out.";
static const char examples[] =
    "Examples:\n"
    "  simulate --lift bench --reps 5 --setup chains --mean-speed 0.5 --rate 200 --seed 7 --out log.csv "
    "--truth truth.json\n"
    "  simulate --random --seed 42 --out log.csv --truth truth.json\n"
    "  simulate --study --seed 42 --out log.csv --truth truth.json --rig-out rig.ini\n"
    "  simulate --hit-rep 3 --hit 60 --out log.csv\n"
    "  simulate --lift squat --ending missed --gyroscope no --out log.wav\n"
    "  simulate --turn-rate 100 --sign minus --force-unit g --out folder";

int main(int argc, char **argv)
{
    struct argp_option options[OWN_OPTIONS + FIELDS_MAX + 1] = {0};
    memcpy(options, own_options, sizeof own_options);
    for (size_t i = 0; i < sim_field_count && i < FIELDS_MAX; i++) {
        options[OWN_OPTIONS + i] = (struct argp_option){.name = sim_fields[i].name,
                                                        .key = KEY_FIELD + (int)i,
                                                        .arg = sim_fields[i].names ? "NAME" : "N",
                                                        .doc = sim_fields[i].help,
                                                        .group = 3};
    }
    char doc[sizeof summary + sizeof examples + 1];
    snprintf(doc, sizeof doc, "%s\v%s", summary, examples);
    struct argp argp = {.options = options, .parser = parse, .doc = doc};
    struct job job = {.seed = 1, .out = "-", .layout = sim_layout_defaults};
    argp_err_exit_status = STATUS_USAGE;
    argp_parse(&argp, argc, argv, 0, NULL, &job);

    struct sim_truth *truth = malloc(sizeof *truth);
    if (!truth) {
        fprintf(stderr, "simulate: out of memory\n");
        return STATUS_FAILED;
    }
    int status = run_job(&job, truth);
    free(truth);
    return status;
}
