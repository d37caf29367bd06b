/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* nftw, mkdtemp, utimensat */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "barplumb/block.h"
#include "barplumb/report.h"
#include "simulate/write.h"

#include <fcntl.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { LOGS = 3, PATH = 256 };

/* A folder with three logs, a rig and a sheet of four sets, of which one has no log. */
struct gym {
    char folder[PATH], store[PATH], pages[PATH], sheet_path[PATH];
    struct bp_arena arena;
    struct bp_sheet sheet;
    struct bp_block block;
    struct bp_block_settings settings;
    struct bp_error error;
};

static const char sheet_text[] = "date,lifter,lift,setup,plates kg,rig,log,target\n"
                                 "2026-03-02,L1,bench,straight,80,,l1.csv,0.4\n"
                                 "2026-03-02,L1,bench,chains,,chains.ini,l2.csv,0.4\n"
                                 "2026-03-09,L2,bench,straight,60,,l3.csv,\n"
                                 "2026-03-16,L2,bench,straight,60,,nowhere.csv,\n";

static void path_in(const struct gym *gym, const char *name, char path[PATH])
{
    assert_true(snprintf(path, PATH, "%s/%s", gym->folder, name) < PATH);
}

static void put_file(const char *path, const char *bytes, size_t count)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, count, file), count);
    assert_int_equal(fclose(file), 0);
}

static void put_text(const struct gym *gym, const char *name, const char *text)
{
    char path[PATH];
    path_in(gym, name, path);
    put_file(path, text, strlen(text));
}

static void put_log(const struct gym *gym, const char *name, uint64_t seed)
{
    struct sim_scenario scenario;
    struct sim_log log;
    struct bp_text text;
    char path[PATH];
    sim_scenario_for(BP_BENCH, &scenario);
    scenario.seed = seed;
    scenario.reps = 2;
    bp_text_init(&text);
    assert_int_equal(sim_run(&scenario, &log, NULL), SIM_OK);
    sim_write_csv(&log, &sim_layout_defaults, &text);
    path_in(gym, name, path);
    put_file(path, text.data, text.length);
    bp_text_free(&text);
    sim_log_free(&log);
}

static double *joined(const double *first, const double *second, size_t count, size_t rest, size_t still)
{
    double *all = malloc((2 * count + rest) * sizeof *all);
    assert_non_null(all);
    for (size_t i = 0; i < 2 * count + rest; i++) {
        bool in_rest = i >= count && i < count + rest;
        all[i] = in_rest ? first[(i - count) % still] : i < count ? first[i] : second[i - count - rest];
    }
    return all;
}

/* The same set twice, with half a minute of its own rest between. */
static void put_session(const struct gym *gym, const char *name)
{
    struct sim_scenario scenario;
    struct sim_log log, all;
    struct bp_text text;
    char path[PATH];
    sim_scenario_for(BP_BENCH, &scenario);
    scenario.reps = 2;
    assert_int_equal(sim_run(&scenario, &log, NULL), SIM_OK);
    size_t still = (size_t)(0.75 * scenario.still_start_s * scenario.rate_hz);
    size_t rest = (size_t)(30 * scenario.rate_hz);
    all = log;
    all.count = all.turn_count = 2 * log.count + rest;
    all.time_s = joined(log.time_s, log.time_s, log.count, rest, still);
    for (size_t i = 0; i < all.count; i++) {
        all.time_s[i] = (double)i / scenario.rate_hz;
    }
    for (int a = 0; a < 3; a++) {
        all.force[a] = joined(log.force[a], log.force[a], log.count, rest, still);
        all.gravity[a] = joined(log.gravity[a], log.gravity[a], log.count, rest, still);
        all.turn[a] = joined(log.turn[a], log.turn[a], log.count, rest, still);
    }
    bp_text_init(&text);
    sim_write_csv(&all, &sim_layout_defaults, &text);
    path_in(gym, name, path);
    put_file(path, text.data, text.length);
    bp_text_free(&text);
    sim_log_free(&all);
    sim_log_free(&log);
}

static void read_sheet(struct gym *gym)
{
    bp_arena_reset(&gym->arena);
    assert_int_equal(bp_sheet_read(gym->sheet_path, &gym->arena, &gym->sheet, &gym->error), BP_OK);
}

static int set_up(void **state)
{
    struct gym *gym = calloc(1, sizeof *gym);
    char folder[] = "/tmp/barplumb-block-XXXXXX";
    if (!gym || !mkdtemp(folder)) {
        free(gym);
        return 1;
    }
    strcpy(gym->folder, folder);
    bp_arena_init(&gym->arena);
    path_in(gym, "store", gym->store);
    path_in(gym, "pages", gym->pages);
    path_in(gym, "sheet.csv", gym->sheet_path);
    mkdir(gym->store, 0777);
    mkdir(gym->pages, 0777);
    put_text(gym, "sheet.csv", sheet_text);
    put_text(
        gym, "chains.ini",
        "[bar]\nmass = 20 kg\nplates = 60 kg\nlockout = 110 cm\n[chain 13 mm]\nmass-per-metre = 3.8 kg/m\n"
        "length = 1.5 m\nleader = 60 cm\n");
    put_log(gym, "l1.csv", 1);
    put_log(gym, "l2.csv", 2);
    put_log(gym, "l3.csv", 3);
    gym->settings = bp_block_defaults;
    gym->settings.analyse = bp_analyse_defaults;
    gym->settings.jobs = 1;
    read_sheet(gym);
    *state = gym;
    return 0;
}

static int remove_one(const char *path, const struct stat *status, int kind, struct FTW *walk)
{
    (void)status;
    (void)kind;
    (void)walk;
    return remove(path);
}

static int tear_down(void **state)
{
    struct gym *gym = *state;
    nftw(gym->folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
    bp_arena_free(&gym->arena);
    free(gym);
    return 0;
}

static void measure(struct gym *gym)
{
    assert_int_equal(bp_block_measure(&gym->sheet, &gym->settings, &gym->arena, &gym->block, &gym->error),
                     BP_OK);
}

static void keep_documents(struct gym *gym)
{
    gym->settings.store = gym->store;
}

/* All documents, one after the other: freed by the caller. */
static struct bp_text documents_of(const struct gym *gym)
{
    struct bp_text text;
    bp_text_init(&text);
    for (size_t i = 0; i < gym->block.count; i++) {
        if (gym->block.sets[i].state != BP_BLOCK_FAILED) {
            bp_report_set_json(&gym->block.sets[i].summary, false, &text);
        }
    }
    return text;
}

static void every_set_is_measured_and_a_missing_log_is_its_own_error(void **state)
{
    struct gym *gym = *state;
    measure(gym);
    assert_int_equal(gym->block.chosen, 4);
    assert_int_equal(gym->block.measured, 3);
    assert_int_equal(gym->block.failed, 1);
    assert_false(gym->block.stopped);
    for (size_t i = 0; i < LOGS; i++) {
        assert_int_equal(gym->block.sets[i].state, BP_BLOCK_MEASURED);
        assert_int_equal(gym->block.sets[i].summary.set.reps, 2);
    }
    assert_int_equal(gym->block.sets[3].error.code, BP_ERR_OPEN);
    assert_non_null(strstr(gym->block.sets[3].error.path, "nowhere.csv"));
    assert_string_equal(gym->block.sets[0].summary.log.path, "l1.csv");
    assert_string_equal(gym->block.sets[1].summary.set.setup, "chains");
}

/* 80 kg of plates and no file; a rig file; a rig file whose plates the row replaces. */
static void a_log_of_two_sets_serves_two_rows_that_say_which(void **state)
{
    struct gym *gym = *state;
    put_session(gym, "session.csv");
    put_text(gym, "sheet.csv",
             "lifter,lift,log,part\nL1,bench,session.csv,1\nL1,bench,session.csv,2\nL1,bench,session.csv,\n"
             "L1,bench,session.csv,3\nL1,bench,l1.csv,1\nL1,bench,l1.csv,2\n");
    read_sheet(gym);
    keep_documents(gym);
    measure(gym);
    const struct bp_block_set *sets = gym->block.sets;
    assert_int_equal(gym->block.measured, 3);
    assert_int_equal(sets[0].summary.log.part, 1);
    assert_int_equal(sets[1].summary.log.part, 2);
    assert_int_equal(sets[0].summary.set.reps, 2);
    assert_int_equal(sets[1].summary.set.reps, 2);
    assert_true(sets[1].summary.reps[0].drive_start_s > sets[0].summary.reps[1].drive_end_s + 30);
    assert_string_not_equal(sets[0].id, sets[1].id);
    assert_int_equal(sets[2].error.code, BP_ERR_ARGUMENT);
    assert_non_null(strstr(sets[2].error.text, "holds 2 sets: add a column \"part\""));
    assert_int_equal(sets[3].error.code, BP_ERR_ARGUMENT);
    assert_non_null(strstr(sets[3].error.text, "part 3, but the log holds 2 sets"));
    assert_int_equal(sets[4].summary.log.parts, 0);
    assert_non_null(strstr(sets[5].error.text, "part 2, but the log holds 1 set"));
    read_sheet(gym);
    measure(gym);
    assert_int_equal(gym->block.kept, 3);
    assert_int_equal(gym->block.sets[1].summary.log.part, 2);
}

static void rows_and_rigs_say_what_hangs_on_the_bar(void **state)
{
    struct gym *gym = *state;
    measure(gym);
    assert_true(fabs(gym->block.sets[0].summary.set.load_lockout_kg.value - 80) < 1e-6);
    assert_true(fabs(gym->block.sets[1].summary.set.load_lockout_kg.value - (80 + 2 * 3.8 * 0.5)) < 0.01);
    put_text(gym, "sheet.csv", "lift,plates kg,rig,log\nbench,100,chains.ini,l2.csv\n");
    read_sheet(gym);
    measure(gym);
    assert_true(fabs(gym->block.sets[0].summary.set.load_lockout_kg.value - (120 + 2 * 3.8 * 0.5)) < 0.01);
}

static void any_number_of_workers_gives_the_same_figures(void **state)
{
    struct gym *gym = *state;
    measure(gym);
    struct bp_text one = documents_of(gym);
    gym->settings.jobs = 3;
    measure(gym);
    struct bp_text three = documents_of(gym);
    assert_string_equal(one.data, three.data);
    bp_text_free(&one);
    bp_text_free(&three);
}

static void a_second_run_keeps_what_did_not_change(void **state)
{
    struct gym *gym = *state;
    keep_documents(gym);
    measure(gym);
    assert_int_equal(gym->block.measured, 3);
    struct bp_text first = documents_of(gym);
    measure(gym);
    assert_int_equal(gym->block.kept, 3);
    assert_int_equal(gym->block.measured, 0);
    struct bp_text second = documents_of(gym);
    assert_string_equal(first.data, second.data);
    bp_text_free(&first);
    bp_text_free(&second);
}

static void touch(const struct gym *gym, const char *name)
{
    char path[PATH];
    const struct timespec times[2] = {{1000000000, 0}, {1000000000, 7}};
    path_in(gym, name, path);
    assert_int_equal(utimensat(AT_FDCWD, path, times, 0), 0);
}

static void a_file_that_was_only_touched_is_kept(void **state)
{
    struct gym *gym = *state;
    keep_documents(gym);
    measure(gym);
    touch(gym, "l1.csv");
    touch(gym, "chains.ini");
    measure(gym);
    assert_int_equal(gym->block.kept, 3);
}

static void a_change_of_log_rig_row_or_settings_is_measured_anew(void **state)
{
    struct gym *gym = *state;
    keep_documents(gym);
    measure(gym);
    put_log(gym, "l1.csv", 4);
    measure(gym);
    assert_int_equal(gym->block.measured, 1);
    assert_int_equal(gym->block.sets[0].state, BP_BLOCK_MEASURED);
    put_text(
        gym, "chains.ini",
        "[bar]\nmass = 25 kg\nplates = 60 kg\nlockout = 110 cm\n[chain 13 mm]\nmass-per-metre = 3.8 kg/m\n"
        "length = 1.5 m\nleader = 60 cm\n");
    measure(gym);
    assert_int_equal(gym->block.measured, 1);
    assert_int_equal(gym->block.sets[1].state, BP_BLOCK_MEASURED);
    gym->settings.analyse.seed = 2;
    measure(gym);
    assert_int_equal(gym->block.measured, 3);
}

static void a_record_that_was_spoilt_is_measured_anew(void **state)
{
    struct gym *gym = *state;
    char path[PATH + 160];
    keep_documents(gym);
    measure(gym);
    snprintf(path, sizeof path, "%s/%s.json", gym->store, gym->block.sets[0].id);
    put_file(path, "barplumb.record/2 nonsense\n{}\n", 30);
    snprintf(path, sizeof path, "%s/%s.json", gym->store, gym->block.sets[1].id);
    assert_int_equal(truncate(path, 300), 0);
    measure(gym);
    assert_int_equal(gym->block.measured, 2);
    assert_int_equal(gym->block.kept, 1);
}

static void pages_are_written_and_a_lost_one_again(void **state)
{
    struct gym *gym = *state;
    char path[PATH + 160];
    if (!bp_report_has_page()) {
        skip();
    }
    keep_documents(gym);
    gym->settings.pages = gym->pages;
    gym->settings.assets = "../assets/";
    measure(gym);
    snprintf(path, sizeof path, "%s/%s.html", gym->pages, gym->block.sets[0].id);
    assert_int_equal(access(path, R_OK), 0);
    assert_int_equal(remove(path), 0);
    measure(gym);
    assert_int_equal(access(path, R_OK), 0);
    assert_int_equal(gym->block.measured, 1);
}

static void lifter_and_day_choose_sets(void **state)
{
    struct gym *gym = *state;
    gym->settings.lifter = "L1";
    measure(gym);
    assert_int_equal(gym->block.chosen, 2);
    assert_int_equal(gym->block.sets[2].state, BP_BLOCK_LEFT_OUT);
    gym->settings.lifter = NULL;
    gym->settings.since = "2026-03-09";
    measure(gym);
    assert_int_equal(gym->block.chosen, 2);
    assert_int_equal(gym->block.sets[0].state, BP_BLOCK_LEFT_OUT);
    gym->settings.since = "9 March";
    assert_int_equal(bp_block_measure(&gym->sheet, &gym->settings, &gym->arena, &gym->block, &gym->error),
                     BP_ERR_ARGUMENT);
}

/* ---- progress ---- */

struct heard {
    size_t calls, done, failed, stop_after;
};

static bool hear(void *about, const struct bp_block_progress *progress)
{
    struct heard *heard = about;
    heard->calls++;
    heard->done = progress->done;
    heard->failed = progress->failed;
    assert_int_equal(progress->chosen, 4);
    assert_non_null(progress->latest);
    return heard->calls != heard->stop_after;
}

static void progress_is_told_after_every_set(void **state)
{
    struct gym *gym = *state;
    struct heard heard = {0};
    gym->settings.progress = hear;
    gym->settings.about = &heard;
    gym->settings.jobs = 2;
    measure(gym);
    assert_int_equal(heard.calls, 4);
    assert_int_equal(heard.done, 4);
    assert_int_equal(heard.failed, 1);
}

static void a_stopped_run_keeps_what_it_did_and_the_next_goes_on(void **state)
{
    struct gym *gym = *state;
    struct heard heard = {.stop_after = 1};
    keep_documents(gym);
    gym->settings.progress = hear;
    gym->settings.about = &heard;
    measure(gym);
    assert_true(gym->block.stopped);
    assert_int_equal(gym->block.measured, 1);
    assert_int_equal(gym->block.sets[1].state, BP_BLOCK_WAITING);
    gym->settings.progress = NULL;
    measure(gym);
    assert_int_equal(gym->block.kept, 1);
    assert_int_equal(gym->block.measured, 2);
}

static void a_store_that_cannot_be_written_ends_the_run(void **state)
{
    struct gym *gym = *state;
    gym->settings.store = "/nowhere/at/all";
    assert_int_equal(bp_block_measure(&gym->sheet, &gym->settings, &gym->arena, &gym->block, &gym->error),
                     BP_ERR_WRITE);
    assert_true(gym->error.text[0] != '\0');
}

static void no_part_of_a_file_is_left(void **state)
{
    struct gym *gym = *state;
    char path[PATH];
    path_in(gym, "whole.txt", path);
    assert_int_equal(bp_block_write(path, "abc", 3, &gym->error), BP_OK);
    assert_int_equal(bp_block_write("/nowhere/whole.txt", "abc", 3, &gym->error), BP_ERR_WRITE);
    assert_non_null(strstr(gym->error.path, "whole.txt"));
    struct stat status;
    assert_int_equal(stat(path, &status), 0);
    assert_int_equal(status.st_size, 3);
}

static void names_are_safe_and_apart(void **state)
{
    struct gym *gym = *state;
    put_text(gym, "sheet.csv",
             "date,lifter,lift,setup,log\n"
             "2026-03-02,../../etc,bench,\"a/b: <c>\",l1.csv\n"
             "2026-03-02,L1,bench,chains,l2.csv\n"
             "2026-03-02,L1,bench,chains,l2.csv\n"
             "2026-03-02,L1,bench,chains,l3.csv\n");
    read_sheet(gym);
    measure(gym);
    for (size_t i = 0; i < gym->block.count; i++) {
        const char *id = gym->block.sets[i].id;
        assert_int_equal(strspn(id, "0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-"),
                         strlen(id));
        for (size_t k = 0; k < i; k++) {
            assert_string_not_equal(id, gym->block.sets[k].id);
        }
    }
    assert_int_equal(strncmp(gym->block.sets[1].id, "2026-03-02-L1-bench-chains-", 27), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_set_is_measured_and_a_missing_log_is_its_own_error, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(a_log_of_two_sets_serves_two_rows_that_say_which, set_up, tear_down),
        cmocka_unit_test_setup_teardown(rows_and_rigs_say_what_hangs_on_the_bar, set_up, tear_down),
        cmocka_unit_test_setup_teardown(any_number_of_workers_gives_the_same_figures, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_second_run_keeps_what_did_not_change, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_file_that_was_only_touched_is_kept, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_change_of_log_rig_row_or_settings_is_measured_anew, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(a_record_that_was_spoilt_is_measured_anew, set_up, tear_down),
        cmocka_unit_test_setup_teardown(pages_are_written_and_a_lost_one_again, set_up, tear_down),
        cmocka_unit_test_setup_teardown(lifter_and_day_choose_sets, set_up, tear_down),
        cmocka_unit_test_setup_teardown(progress_is_told_after_every_set, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_stopped_run_keeps_what_it_did_and_the_next_goes_on, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(a_store_that_cannot_be_written_ends_the_run, set_up, tear_down),
        cmocka_unit_test_setup_teardown(no_part_of_a_file_is_left, set_up, tear_down),
        cmocka_unit_test_setup_teardown(names_are_safe_and_apart, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
