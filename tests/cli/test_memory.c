/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Memory that runs out in the program: each command is run again and again, its n-th allocation failing, for
 * the first n, the last, and every so-manieth between; for every n when BARPLUMB_EVERY_ALLOCATION is set,
 * which takes an hour. Wherever that hits it, the command says so in one line and ends with status 1, or does
 * without and prints what it would have printed; --out is the whole new file or the old one.
 *
 * The program's sources are part of this test and run in a forked process, so that a run costs no start.
 */
#define _GNU_SOURCE /* MAP_ANONYMOUS, nftw */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include "barplumb/arena.h"
#include "base/failing_alloc.h"

#include <fcntl.h>
#include <fftw3.h>
#include <ftw.h>
#include <jansson.h>
#include <signal.h>
#include <sndfile.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

int barplumb_main(int argc, char **argv); /* src/cli/main.c */

enum { WORDS_MOST = 16, MESSAGE_MOST = 1024 };

/* Which allocations fail: the first so many, the last so many, every so-manieth between. With sanitizers a
 * run takes ten times as long. */
#ifdef BARPLUMB_FAIL_EVERYWHERE
enum { FIRST = 200, LAST = 60, EVERY = 37, SHEETS_EVERY = 211 };
#else
enum { FIRST = 20, LAST = 20, EVERY = 97, SHEETS_EVERY = 499 };
#endif

/* ---- what fails beside malloc and its like ---- */

void *__real_bp_arena_take(struct bp_arena *arena, size_t count, size_t size);
void *__wrap_bp_arena_take(struct bp_arena *arena, size_t count, size_t size);
void *__real_bp_arena_zero(struct bp_arena *arena, size_t count, size_t size);
void *__wrap_bp_arena_zero(struct bp_arena *arena, size_t count, size_t size);
double *__real_bp_arena_doubles(struct bp_arena *arena, size_t count);
double *__wrap_bp_arena_doubles(struct bp_arena *arena, size_t count);
fftw_plan __real_fftw_plan_dft_1d(int n, fftw_complex *in, fftw_complex *out, int sign, unsigned flags);
fftw_plan __wrap_fftw_plan_dft_1d(int n, fftw_complex *in, fftw_complex *out, int sign, unsigned flags);
void __real_fftw_execute_dft(fftw_plan plan, fftw_complex *in, fftw_complex *out);
void __wrap_fftw_execute_dft(fftw_plan plan, fftw_complex *in, fftw_complex *out);

json_t *__real_json_loadb(const char *bytes, size_t count, size_t flags, json_error_t *fault);
json_t *__wrap_json_loadb(const char *bytes, size_t count, size_t flags, json_error_t *fault);

SNDFILE *__real_sf_open(const char *path, int mode, SF_INFO *info);
SNDFILE *__wrap_sf_open(const char *path, int mode, SF_INFO *info);

/* An arena asks for a megabyte at a time; that each single take may fail needs no such luck. */
static bool take_fails(struct bp_arena *arena)
{
    bool fails = failing_alloc_now();
    arena->failed = arena->failed || fails;
    return fails;
}

void *__wrap_bp_arena_take(struct bp_arena *arena, size_t count, size_t size)
{
    return take_fails(arena) ? NULL : __real_bp_arena_take(arena, count, size);
}

void *__wrap_bp_arena_zero(struct bp_arena *arena, size_t count, size_t size)
{
    return take_fails(arena) ? NULL : __real_bp_arena_zero(arena, count, size);
}

double *__wrap_bp_arena_doubles(struct bp_arena *arena, size_t count)
{
    return take_fails(arena) ? NULL : __real_bp_arena_doubles(arena, count);
}

/* FFTW's planner ends the program when it gets no memory: src/shake/fft.c sees to it beforehand that there is
 * some, which the_limit_of_memory holds it to. */
fftw_plan __wrap_fftw_plan_dft_1d(int n, fftw_complex *in, fftw_complex *out, int sign, unsigned flags)
{
    failing_alloc_pause();
    fftw_plan plan = __real_fftw_plan_dft_1d(n, in, out, sign, flags);
    failing_alloc_go_on();
    return plan;
}

void __wrap_fftw_execute_dft(fftw_plan plan, fftw_complex *in, fftw_complex *out)
{
    failing_alloc_pause();
    __real_fftw_execute_dft(plan, in, out);
    failing_alloc_go_on();
}

/* And libsndfile crashes: src/import/sound.c asks likewise. */
SNDFILE *__wrap_sf_open(const char *path, int mode, SF_INFO *info)
{
    failing_alloc_pause();
    SNDFILE *file = __real_sf_open(path, mode, info);
    failing_alloc_go_on();
    return file;
}

/* And jansson asserts: src/report/set_read.c and src/import/json_log.c ask likewise. */
json_t *__wrap_json_loadb(const char *bytes, size_t count, size_t flags, json_error_t *fault)
{
    failing_alloc_pause();
    json_t *root = __real_json_loadb(bytes, count, flags, fault);
    failing_alloc_go_on();
    return root;
}

/* ---- one run ---- */

enum { FAULTS_MOST = 10 };
#define NOTHING (SIZE_MAX - 1)

static const char old_file[] = "what stood there before\n";

struct bytes {
    char *data;
    size_t count;
};

/* What the forked process tells the test. */
struct told {
    bool failed;    /* the failure that was asked for happened */
    size_t counted; /* allocations */
};

/* What one run left. */
struct outcome {
    int status; /* exit status; -1: killed */
    struct told told;
    struct bytes out, file;
    char message[MESSAGE_MOST];
};

static struct bytes read_file(const char *path)
{
    struct bytes bytes = {NULL, 0};
    struct stat status = {.st_size = 0};
    int file = open(path, O_RDONLY);
    assert_true(file >= 0 && fstat(file, &status) == 0);
    bytes.count = (size_t)status.st_size;
    bytes.data = malloc(bytes.count + 1);
    assert_non_null(bytes.data);
    assert_int_equal(read(file, bytes.data, bytes.count), (ssize_t)bytes.count);
    bytes.data[bytes.count] = '\0';
    close(file);
    return bytes;
}

static bool same(const struct bytes *a, const struct bytes *b)
{
    return a->count == b->count && memcmp(a->data, b->data, a->count) == 0;
}

static void write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static void redirect(const char *path, int to)
{
    int file = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (file < 0 || dup2(file, to) < 0) {
        _exit(99);
    }
    close(file);
}

static struct told *shared; /* with the forked process */

static void tell_at_exit(void)
{
    *shared = (struct told){failing_alloc_disarm(), failing_alloc_counted()};
}

/* A crash ends the forked process, rather than going on with the next test in it. */
static void leave_crashes_alone(void)
{
    static const int signals[] = {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT};
    for (size_t i = 0; i < sizeof signals / sizeof *signals; i++) {
        signal(signals[i], SIG_DFL);
    }
}

/* Bytes of address space beyond those in use that a forked process may take; 0: as many as it likes. */
static size_t limit_bytes;

static void set_limit(void)
{
    char line[64] = "";
    FILE *statm = limit_bytes > 0 ? fopen("/proc/self/statm", "r") : NULL;
    if (statm == NULL) {
        return;
    }
    if (fgets(line, sizeof line, statm) == NULL || fclose(statm) != 0) {
        _exit(98);
    }
    struct rlimit limit = {strtoul(line, NULL, 10) * (rlim_t)sysconf(_SC_PAGESIZE) + limit_bytes,
                           RLIM_INFINITY};
    if (setrlimit(RLIMIT_AS, &limit) != 0) {
        _exit(97);
    }
}

/* The command's words are cut at blanks; nth NOTHING: no failure. */
static void run_forked(const char *command, size_t nth)
{
    static char line[512];
    char *words[WORDS_MOST + 1] = {NULL};
    int count = 0;
    leave_crashes_alone();
    redirect("out", STDOUT_FILENO);
    redirect("err", STDERR_FILENO);
    snprintf(line, sizeof line, "%s", command);
    for (char *word = strtok(line, " "); word != NULL && count < WORDS_MOST; word = strtok(NULL, " ")) {
        words[count++] = word;
    }
    atexit(tell_at_exit);
    failing_alloc_arm(nth);
    set_limit();
    exit(barplumb_main(count, words));
}

static struct outcome run(const char *command, size_t nth)
{
    struct outcome outcome = {.status = -1};
    int status = 0;
    *shared = (struct told){false, 0};
    write_file("report", old_file);
    assert_int_equal(system("rm -rf pages"), 0); /* or cycle goes on from there */
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        run_forked(command, nth);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    outcome.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    outcome.told = *shared;
    outcome.out = read_file("out");
    outcome.file = read_file("report");
    struct bytes err = read_file("err");
    snprintf(outcome.message, sizeof outcome.message, "%s", err.data);
    free(err.data);
    return outcome;
}

static void forget(struct outcome *outcome)
{
    free(outcome->out.data);
    free(outcome->file.data);
}

static bool part_found;

static int look_for_part(const char *path, const struct stat *status, int type, struct FTW *walk)
{
    (void)status;
    (void)type;
    (void)walk;
    part_found = part_found || strstr(path, ".part") != NULL;
    return 0;
}

static bool part_left(void)
{
    part_found = false;
    assert_int_equal(nftw(".", look_for_part, 8, FTW_PHYS), 0);
    return part_found;
}

/* One line of the program's own, beside those that tell how far a block has come. */
static bool is_one_line(const char *message)
{
    size_t lines = 0;
    for (const char *end; *message != '\0'; message = end + 1) {
        end = strchr(message, '\n');
        if (end == NULL || strncmp(message, "barplumb: ", 10) != 0) {
            return false;
        }
        const char *progress = strstr(message, " sets done");
        lines += progress == NULL || progress > end;
    }
    return lines == 1;
}

/* Why the run is not what it should be; NULL: it is. */
static const char *fault_of(const struct outcome *run, const struct outcome *whole)
{
    if (part_left()) {
        return "a half-written file is left";
    }
    if (run->status == 0) {
        return same(&run->out, &whole->out) && same(&run->file, &whole->file) ? NULL : "another output";
    }
    if (run->status != 1) {
        return "another status than 0 and 1";
    }
    if (!is_one_line(run->message)) {
        return "not one line on standard error";
    }
    if (run->out.count > 0) {
        return "a part of the report on standard output";
    }
    bool old =
        run->file.count == sizeof old_file - 1 && memcmp(run->file.data, old_file, run->file.count) == 0;
    return old ? NULL : "--out was touched";
}

/* Prints a fault; true when there was one. */
static bool survives_one(const char *command, size_t nth, const struct outcome *whole, size_t *refused)
{
    struct outcome one = run(command, nth);
    const char *fault = fault_of(&one, whole);
    if (fault != NULL) {
        print_error("%s: allocation %zu: %s (status %d) %s\n", command, nth, fault, one.status, one.message);
    }
    *refused += one.status == 1;
    forget(&one);
    return fault != NULL;
}

/* Of the first allocations each of so many fails, behind them every so-manieth. */
static void survives(const char *command, size_t first, size_t every)
{
    struct outcome whole = run(command, NOTHING);
    size_t tried = 0, refused = 0, faults = 0, count = whole.told.counted;
    first = getenv("BARPLUMB_EVERY_ALLOCATION") != NULL ? count : first;
    if (whole.status != 0) {
        fail_msg("%s: status %d: %s", command, whole.status, whole.message);
    }
    for (size_t nth = 0; nth < count && faults < FAULTS_MOST; nth++) {
        if (nth < first || nth % every == 0 || nth + LAST >= count) {
            faults += survives_one(command, nth, &whole, &refused);
            tried++;
        }
    }
    forget(&whole);
    print_message("%s: of %zu allocations %zu failed in turn, %zu refused\n", command, count, tried, refused);
    assert_int_equal(faults, 0);
    assert_true(refused > tried / 4); /* it does fail */
}

#define SURVIVES(name, first, every, command)                                                                \
    static void name(void **state)                                                                           \
    {                                                                                                        \
        (void)state;                                                                                         \
        survives("barplumb " command, first, every);                                                         \
    }

SURVIVES(check_survives, FIRST, EVERY, "check bench.csv")
SURVIVES(check_of_a_json_log_survives, 20, EVERY, "check log.json")
SURVIVES(check_of_recordings_survives, 20, EVERY, "check two.csv")
SURVIVES(check_json_survives, FIRST, EVERY, "check --format json --out report bench.csv")
SURVIVES(check_of_a_recording_survives, FIRST, EVERY, "check bench.wav")
SURVIVES(check_of_a_folder_survives, FIRST, EVERY, "check folder")
SURVIVES(set_text_survives, FIRST, EVERY, "set --lift bench --rig rig.ini bench.csv")
SURVIVES(set_json_survives, 20, EVERY, "set --lift bench --format json --out report bench.csv")
SURVIVES(set_of_a_fast_log_survives, 0, EVERY / 6, "set --lift bench --format jsonl fast.csv")
SURVIVES(set_jsonl_survives, 20, EVERY, "set --format jsonl --bar-mass 60 bench.csv")
SURVIVES(set_csv_survives, 20, EVERY, "set --format csv --out report bench.csv")
SURVIVES(set_page_survives, 20, EVERY, "set --format html --out report bench.csv")
SURVIVES(set_strength_survives, 20, EVERY,
         "set --lift bench --format json --bar-mass 60,80 --strength --out report bench.csv bench.csv")
SURVIVES(compare_survives, 20, SHEETS_EVERY, "compare --jobs 1 --format json --out report sheet.csv")
SURVIVES(cycle_survives, 20, SHEETS_EVERY, "cycle --jobs 1 --out pages sheet.csv")
SURVIVES(load_text_survives, FIRST, EVERY, "load rig.ini")
SURVIVES(load_json_survives, FIRST, EVERY, "load --format json --out report rig.ini")
SURVIVES(load_csv_survives, FIRST, EVERY, "load --format csv rig.ini")
SURVIVES(load_plan_survives, FIRST, EVERY,
         "load --want-lockout 140kg --want-share 20% --out report stock.ini")
SURVIVES(load_of_a_measured_set_survives, 20, EVERY, "load --log bench.csv --lift bench rig.ini")

/* Memory that runs out for good, as it does on a small machine: with a limit that rises from nothing the
 * command is refused until it has enough. */
static void survives_limits(const char *command)
{
    const size_t step = (size_t)1 << 17, enough = (size_t)1 << 28;
    struct outcome whole = run(command, NOTHING);
    size_t faults = 0, refused = 0;
    int status = 1;
    for (limit_bytes = step; status != 0 && limit_bytes < enough && faults < FAULTS_MOST;
         limit_bytes += step) {
        struct outcome one = run(command, NOTHING);
        const char *fault = fault_of(&one, &whole);
        if (fault != NULL) {
            print_error("%zu bytes: %s (status %d) %s\n", limit_bytes, fault, one.status, one.message);
            faults++;
        }
        status = one.status;
        refused += status == 1;
        forget(&one);
    }
    print_message("%s: refused %zu times, done with %zu bytes more than at its start\n", command, refused,
                  limit_bytes);
    limit_bytes = 0;
    forget(&whole);
    assert_int_equal(faults, 0);
    assert_int_equal(status, 0);
    assert_true(refused > 5);
}

static void a_limit_of_memory_is_survived(void **state)
{
    (void)state;
#ifndef BARPLUMB_FAIL_EVERYWHERE
    skip(); /* sanitizers take terabytes of address space */
#endif
    survives_limits("barplumb set --lift bench --format json --out report bench.csv");
    survives_limits("barplumb check bench.wav");
    /* whose library, libarchive, crashes too where an allocation of its own fails */
    survives_limits("barplumb check sensors.tar.gz");
    survives_limits("barplumb compare --jobs 1 --format csv --out report sheet.csv");
}

/* ---- the folder all runs are in ---- */

static void copy(const char *from, const char *to)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s", BARPLUMB_SOURCE_DIR, from);
    struct bytes bytes = read_file(path);
    FILE *file = fopen(to, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes.data, 1, bytes.count, file), bytes.count);
    assert_int_equal(fclose(file), 0);
    free(bytes.data);
}

static void simulate(const char *out, const char *options)
{
    char command[1024];
    snprintf(command, sizeof command, "'%s' --seed 11 %s --out %s", BARPLUMB_SIMULATE, options, out);
    assert_int_equal(system(command), 0);
}

static char folder[] = "/tmp/barplumb-memory-XXXXXX";

static int set_up(void **state)
{
    (void)state;
    shared = mmap(NULL, sizeof *shared, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(shared != MAP_FAILED && mkdtemp(folder) != NULL && chdir(folder) == 0);
    simulate("bench.csv", "--rate 25 --reps 2");
    simulate("bench.wav", "--rate 25 --reps 2");
    simulate("fast.csv",
             "--rate 1000 --reps 1 --mean-speed 0.15"); /* wants transforms where a slow log does without */
    copy("fixtures/rigs/bench-chains-and-bands.ini", "rig.ini");
    copy("fixtures/rigs/gym-stock.ini", "stock.ini");
    copy("fixtures/fuzz/csv/columns.json", "log.json");
    assert_int_equal(system("cat bench.csv bench.csv >two.csv"), 0);
    write_file("sheet.csv", "log,date,lifter,lift,setup,bar (kg)\n"
                            "bench.csv,2024-03-09,L1,bench,straight,60\n"
                            "bench.wav,2024-03-09,L1,bench,chains,60\n");
    assert_int_equal(mkdir("folder", 0700), 0);
    copy("fixtures/layouts/22-one-file-a-sensor/Accelerometer_12.500Hz.csv", "folder/Accelerometer.csv");
    copy("fixtures/layouts/22-one-file-a-sensor/Gyroscope_25.000Hz.csv", "folder/Gyroscope.csv");
    assert_int_equal(system("tar -czf sensors.tar.gz folder"), 0);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    char command[128];
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    return chdir("/") == 0 && system(command) == 0 ? 0 : -1;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(check_survives),
        cmocka_unit_test(check_of_a_json_log_survives),
        cmocka_unit_test(check_of_recordings_survives),
        cmocka_unit_test(check_json_survives),
        cmocka_unit_test(check_of_a_recording_survives),
        cmocka_unit_test(check_of_a_folder_survives),
        cmocka_unit_test(set_text_survives),
        cmocka_unit_test(set_json_survives),
        cmocka_unit_test(set_of_a_fast_log_survives),
        cmocka_unit_test(set_jsonl_survives),
        cmocka_unit_test(set_csv_survives),
        cmocka_unit_test(set_page_survives),
        cmocka_unit_test(set_strength_survives),
        cmocka_unit_test(compare_survives),
        cmocka_unit_test(cycle_survives),
        cmocka_unit_test(load_text_survives),
        cmocka_unit_test(load_json_survives),
        cmocka_unit_test(load_csv_survives),
        cmocka_unit_test(load_plan_survives),
        cmocka_unit_test(load_of_a_measured_set_survives),
        cmocka_unit_test(a_limit_of_memory_is_survived),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
