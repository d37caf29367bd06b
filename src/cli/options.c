/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The options every command on logs has, so that one line of options serves them all.
 */
#include "cli/cli.h"

#include "barplumb/text.h"

#include <argp.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>

enum key {
    KEY_FORMAT = 1000, /* past any character: none of these has a one-letter form */
    KEY_OUT,
    KEY_LIFT,
    KEY_SETUP,
    KEY_BAR_MASS,
    KEY_RIG,
    KEY_PART,
    KEY_ONE_SET,
    KEY_STRENGTH,
    KEY_LEAST_SPEED,
    KEY_COLUMNS,
    KEY_UNITS,
    KEY_SEED,
    KEY_EDGE_SPEED,
    KEY_ALONG_BAR,
    KEY_FULL_SCALE,
    KEY_RATE,
    KEY_GRAVITY_REMOVED,
    KEY_LATITUDE
};

enum group { GROUP_OUTPUT = 1, GROUP_LIFT, GROUP_LOG };

static const struct argp_option option_list[] = {
    {NULL, 0, NULL, 0, "What comes out:", GROUP_OUTPUT},
    {"format", KEY_FORMAT, "FORMAT", 0,
     "text (the default), json, jsonl (one document a line) or, of a set, csv or html (a page with charts)",
     GROUP_OUTPUT},
    {"out", KEY_OUT, "FILE", 0, "write to FILE, whole or not at all; - is standard output", GROUP_OUTPUT},
    {NULL, 0, NULL, 0, "What was lifted (check reads past these):", GROUP_LIFT},
    {"lift", KEY_LIFT, "LIFT", 0, "bench, press, squat, deadlift or row", GROUP_LIFT},
    {"setup", KEY_SETUP, "NAME", 0, "how the bar was loaded, in your words", GROUP_LIFT},
    {"bar-mass", KEY_BAR_MASS, "KG[,KG...]", 0,
     "mass of the bar with collars and plates, taken to be right to 1 %: of every log's, or one a log; gives "
     "load, force and power",
     GROUP_LIFT},
    {"rig", KEY_RIG, "FILE", 0, "what hangs on the bar: a rig file (see barplumb load --help)", GROUP_LIFT},
    {"part", KEY_PART, "N", 0, "of a log of several sets only the N-th", GROUP_LIFT},
    {"one-set", KEY_ONE_SET, NULL, 0, "take each log for one set, however long it rests", GROUP_LIFT},
    {"strength", KEY_STRENGTH, NULL, 0,
     "also what the sets say together: speed over load, the one-repetition maximum, reps left", GROUP_LIFT},
    {"least-speed", KEY_LEAST_SPEED, "M_S", 0,
     "the lifter's own mean velocity at the one-repetition maximum (default: the lift's, published)",
     GROUP_LIFT},
    {NULL, 0, NULL, 0, NULL, 0}};

static const struct argp_option log_option_list[] = {
    {"columns", KEY_COLUMNS, "LIST", 0,
     "t=1,ax=2,ay=3,az=4,gx=5,gy=6,gz=7: which column, by number or header", 0},
    {"units", KEY_UNITS, "LIST", 0, "t=ms,a=g,w=deg/s: units; t s ms us ns, a m/s2 mm/s2 g mg, w rad/s deg/s",
     0},
    {"rate", KEY_RATE, "HZ", 0, "samples a second, where there is no time column", 0},
    {"full-scale", KEY_FULL_SCALE, "M_S2[,RAD_S]", 0,
     "what integer full scale stands for in a WAV or FLAC log", 0},
    {"gravity-removed", KEY_GRAVITY_REMOVED, NULL, 0, "the log's accelerations are without gravity", 0},
    {"latitude", KEY_LATITUDE, "DEG", 0, "of the gym, to know gravity there", 0},
    {"along-bar", KEY_ALONG_BAR, "AXIS", 0, "the phone's axis along the bar: x, y, z or auto (the default)",
     0},
    {"edge-speed", KEY_EDGE_SPEED, "M_S", 0, "speed at which a drive begins and ends, m/s (default 0.04)", 0},
    {"seed", KEY_SEED, "N", 0, "of the random draws behind the intervals (default 1)", 0},
    {NULL, 0, NULL, 0, NULL, 0}};

void cli_parse(const struct argp *argp, int argc, char **argv, unsigned flags, void *input)
{
    error_t wrong = argp_parse(argp, argc, argv, flags, NULL, input);
    if (wrong != 0) {
        cli_complain(wrong == ENOMEM ? "out of memory for the arguments" : strerror(wrong));
        exit(CLI_FAILED);
    }
}

struct reading {
    struct cli_options *options;
    bool csv;
};

/* A whole argument as a number between least and most; ends the program otherwise. */
static double number_in(struct argp_state *state, const char *name, const char *text, size_t length,
                        double least, double most)
{
    double value = 0.0;
    if (bp_number_read(text, length, '.', &value) != length || length == 0 ||
        !(value >= least && value <= most)) {
        char low[40], high[40];
        bp_number_write(least, least == 0.0 ? 0 : 3, low, sizeof low);
        bp_number_write(most, most < 1.0 ? 3 : 0, high, sizeof high);
        argp_error(state, "--%s takes a number from %s to %s, not '%s'", name, low, high, text);
    }
    return value;
}

size_t cli_word(struct argp_state *state, const char *name, const char *text, const char *const *words,
                size_t count, const char *all)
{
    for (size_t i = 0; i < count; i++) {
        if (strcmp(words[i], text) == 0) {
            return i;
        }
    }
    argp_error(state, "--%s is one of %s, not '%s'", name, all, text);
    return 0;
}

static void read_format(struct argp_state *state, const char *text, struct reading *reading)
{
    static const char *const words[] = {"text", "json", "jsonl", "csv", "html"};
    size_t count = reading->csv ? 5 : 3;
    reading->options->format =
        (enum cli_format)cli_word(state, "format", text, words, count,
                                  reading->csv ? "text, json, jsonl, csv, html" : "text, json, jsonl");
}

static void read_lift(struct argp_state *state, const char *text, struct bp_analyse_settings *analyse)
{
    if (!bp_lift_named(text, &analyse->lift)) {
        argp_error(state, "--lift is one of bench, press, squat, deadlift, row, not '%s'", text);
    }
    analyse->lift_given = true;
}

static void read_setup(struct argp_state *state, const char *text, struct bp_analyse_settings *analyse)
{
    enum { SETUP_MOST = sizeof((struct bp_set_figures *)0)->setup - 1 };
    if (strlen(text) > SETUP_MOST) {
        argp_error(state, "--setup takes a name of at most %d bytes", (int)SETUP_MOST);
    }
    analyse->setup = text;
}

static void read_along_bar(struct argp_state *state, const char *text, struct bp_analyse_settings *analyse)
{
    static const char *const words[] = {"x", "y", "z", "auto"};
    size_t axis = cli_word(state, "along-bar", text, words, 4, "x, y, z, auto");
    analyse->along_axis = axis == 3 ? BP_AXIS_AUTO : (int)axis;
}

uint64_t cli_whole(struct argp_state *state, const char *name, const char *text, uint64_t least,
                   uint64_t most)
{
    char *end;
    errno = 0;
    unsigned long long value = strtoull(text, &end, 10);
    if (text[0] < '0' || text[0] > '9' || *end != '\0' || errno != 0 || value < least || value > most) {
        argp_error(state, "--%s takes a whole number from %llu to %llu, not '%s'", name,
                   (unsigned long long)least, (unsigned long long)most, text);
    }
    return value;
}

enum {
    FORCE_MOST = 10000, /* m/s^2: a thousand g, past any phone */
    TURN_MOST = 1000,   /* rad/s */
    RATE_MOST = 100000, /* Hz */
    PART_MOST = 1000
};
static const double edge_speed_least = 0.005, edge_speed_most = 0.2; /* m/s, as bp_analyse_settings has it */
static const double above_zero = 0.001;

static void read_full_scale(struct argp_state *state, const char *text, struct bp_import_settings *import)
{
    size_t first = strcspn(text, ",");
    import->full_scale_force = number_in(state, "full-scale", text, first, above_zero, FORCE_MOST);
    if (text[first] == ',') {
        const char *second = text + first + 1;
        import->full_scale_turn =
            number_in(state, "full-scale", second, strlen(second), above_zero, TURN_MOST);
    }
}

static const double least_speed_least = 0.02, least_speed_most = 1; /* m/s */
static const double bar_mass_least = 1, bar_mass_most = 1000;       /* kg: a stick to past any record */

static void read_bar_mass(struct argp_state *state, const char *text, struct cli_options *options)
{
    for (const char *at = text; *at != '\0';) {
        size_t length = strcspn(at, ",");
        (void)number_in(state, "bar-mass", at, length, bar_mass_least, bar_mass_most);
        at += length;
        at += *at == ',';
    }
    if (text[0] == '\0') {
        argp_error(state, "--bar-mass takes kilograms, not nothing");
    }
    options->bar_mass = text;
}

static error_t parse_log(int key, char *text, struct argp_state *state)
{
    struct bp_analyse_settings *analyse = state->input;
    switch (key) {
    case KEY_SEED:
        analyse->seed = cli_whole(state, "seed", text, 0, UINT64_MAX);
        break;
    case KEY_ALONG_BAR:
        read_along_bar(state, text, analyse);
        break;
    case KEY_EDGE_SPEED:
        analyse->edge_speed_m_s =
            number_in(state, "edge-speed", text, strlen(text), edge_speed_least, edge_speed_most);
        break;
    case KEY_COLUMNS:
        analyse->import.columns = text;
        break;
    case KEY_UNITS:
        analyse->import.units = text;
        break;
    case KEY_RATE:
        analyse->import.rate_hz = number_in(state, "rate", text, strlen(text), above_zero, RATE_MOST);
        break;
    case KEY_FULL_SCALE:
        read_full_scale(state, text, &analyse->import);
        break;
    case KEY_GRAVITY_REMOVED:
        analyse->import.gravity_removed = true;
        break;
    case KEY_LATITUDE:
        analyse->check.latitude_deg = number_in(state, "latitude", text, strlen(text), -90.0, 90.0);
        break;
    default:
        return ARGP_ERR_UNKNOWN;
    }
    return 0;
}

const struct argp cli_log_argp = {.options = log_option_list, .parser = parse_log};

static error_t parse(int key, char *argument, struct argp_state *state)
{
    struct reading *reading = state->input;
    struct cli_options *options = reading->options;
    if (key == KEY_FORMAT) {
        read_format(state, argument, reading);
    } else if (key == KEY_OUT) {
        options->out = argument;
    } else if (key == KEY_BAR_MASS) {
        read_bar_mass(state, argument, options);
    } else if (key == KEY_RIG) {
        options->rig = argument;
    } else if (key == KEY_PART) {
        options->part = (size_t)cli_whole(state, "part", argument, 1, PART_MOST);
    } else if (key == KEY_ONE_SET) {
        options->one_set = true;
    } else if (key == KEY_STRENGTH) {
        options->ask_strength = true;
    } else if (key == KEY_LEAST_SPEED) {
        options->strength_settings.minimal_m_s = bp_quantity_plain(
            number_in(state, "least-speed", argument, strlen(argument), least_speed_least, least_speed_most));
    } else if (key == KEY_LIFT) {
        read_lift(state, argument, &options->analyse);
    } else if (key == KEY_SETUP) {
        read_setup(state, argument, &options->analyse);
    } else if (key == ARGP_KEY_INIT) {
        state->child_inputs[0] = &options->analyse;
    } else if (key == ARGP_KEY_ARGS) {
        options->logs = state->argv + state->next;
        options->log_count = (size_t)(state->argc - state->next);
    } else if (key == ARGP_KEY_NO_ARGS) {
        argp_usage(state);
    } else {
        return ARGP_ERR_UNKNOWN;
    }
    return 0;
}

static size_t masses_in(const char *list)
{
    size_t count = 1;
    for (; *list != '\0'; list++) {
        count += *list == ',';
    }
    return count;
}

/* The log-th of a list; of a list of one, that. Checked when the option was read. */
static double mass_of(const char *list, size_t log)
{
    double kg = 0;
    for (size_t i = 0; i < log && strchr(list, ','); i++) {
        list = strchr(list, ',') + 1;
    }
    bp_number_read(list, strcspn(list, ","), '.', &kg);
    return kg;
}

enum bp_code cli_rig_of(const struct cli_options *options, size_t log, struct bp_rig *rig, bool *known,
                        struct bp_error *error)
{
    enum bp_code code = BP_OK;
    *known = options->rig || options->bar_mass;
    if (options->rig) {
        code = bp_rig_read(options->rig, rig, error);
    }
    if (code == BP_OK && options->bar_mass) {
        struct bp_rig straight;
        double kg = mass_of(options->bar_mass, log);
        bp_rig_straight(kg, BP_UNWEIGHED_SHARE * kg, &straight);
        if (options->rig) {
            rig->bar_kg = straight.bar_kg;
            rig->plates_kg = straight.plates_kg;
        } else {
            *rig = straight;
        }
    }
    return code;
}

void cli_options_read(int argc, char **argv, const struct cli_command_help *help, struct cli_options *options)
{
    const struct argp_child children[] = {{&cli_log_argp, 0, CLI_LOG_HEADER, GROUP_LOG}, {NULL, 0, NULL, 0}};
    const struct argp argp = {.options = option_list,
                              .parser = parse,
                              .args_doc = "LOG...",
                              .doc = help->doc,
                              .children = children};
    struct reading reading = {options, help->csv};
    *options = (struct cli_options){
        .format = CLI_TEXT, .analyse = bp_analyse_defaults, .strength_settings = bp_strength_defaults};
    cli_parse(&argp, argc, argv, 0, &reading);
    size_t inputs = 0;
    for (size_t i = 0; i < options->log_count; i++) {
        inputs += strcmp(options->logs[i], "-") == 0;
    }
    if (options->bar_mass && masses_in(options->bar_mass) > 1 &&
        masses_in(options->bar_mass) != options->log_count) {
        cli_complain("--bar-mass takes one mass for every log, or one for all");
        exit(CLI_USAGE);
    }
    if (options->ask_strength && (options->format == CLI_CSV || options->format == CLI_HTML)) {
        cli_complain("--strength has no csv and no page: ask for text, json or jsonl");
        exit(CLI_USAGE);
    }
    if (options->ask_strength && options->log_count > BP_LINE_POINTS_MAX) {
        cli_complain("--strength takes 64 logs at most");
        exit(CLI_USAGE);
    }
    if (options->format == CLI_HTML && !bp_report_has_page()) {
        cli_complain("--format html: this barplumb was built without its page");
        exit(CLI_USAGE);
    }
    if (options->format == CLI_HTML && options->log_count > 1) {
        cli_complain("--format html makes a page of one log; name them one at a time");
        exit(CLI_USAGE);
    }
    if (options->one_set && options->part > 0) {
        cli_complain("--one-set and --part N contradict each other");
        exit(CLI_USAGE);
    }
    if (inputs > 1) {
        cli_complain("standard input, -, can be read only once");
        exit(CLI_USAGE);
    }
}
