/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The workers: each takes the next set, measures it with an arena of its own, and leaves its document.
 */
#define _XOPEN_SOURCE 700
#include "barplumb/block.h"

#include "barplumb/report.h"
#include "barplumb/split.h"
#include "block/key.h"
#include "block/store.h"

#include <limits.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

const struct bp_block_settings bp_block_defaults = {.jobs = 0};

struct work {
    const struct bp_block_settings *settings;
    struct bp_analyse_settings analyse;
    struct bp_block *block;
    struct bp_text *documents; /* [block->count] */
    struct bp_digest *keys;    /* [block->count] */
    pthread_mutex_t lock;      /* over all below */
    size_t next;
    struct bp_block_progress progress;
    bool stop;
    enum bp_code code; /* of the call */
    struct bp_error *error;
};

/* ---- one set ---- */

/* A set in one worker's hands. */
struct task {
    const struct work *work;
    struct bp_block_set *set;
    struct bp_arena *arena;
    struct bp_text *document;
    struct bp_digest *key; /* of all its figures came from */
    struct bp_rig rig;
    bool loaded;
    struct bp_origin origin;
};

/* Plates and bar of the row stand in place of the rig file's. */
static enum bp_code find_rig(struct task *task)
{
    const struct bp_sheet_row *row = task->set->row;
    bool bar = row->bar_kg > 0, plates = row->plates_kg > 0;
    task->loaded = row->rig_path[0] != '\0' || bar || plates;
    enum bp_code code = BP_OK;
    if (row->rig_path[0] != '\0') {
        code = bp_rig_read(row->rig_path, &task->rig, &task->set->error);
    } else {
        bp_rig_straight(0, 0, &task->rig);
    }
    if (bar) {
        task->rig.bar_kg = (struct bp_measured){row->bar_kg, BP_UNWEIGHED_SHARE * row->bar_kg};
    }
    if (plates) {
        task->rig.plates_kg = (struct bp_measured){row->plates_kg, BP_UNWEIGHED_SHARE * row->plates_kg};
    }
    return code;
}

static enum bp_code write_page(const struct task *task, const struct bp_summary *summary)
{
    const struct bp_block_settings *settings = task->work->settings;
    const struct bp_page_settings page = {
        .lifter = task->set->row->lifter, .assets = settings->assets, .index = settings->index};
    char path[PATH_MAX];
    struct bp_text html;
    bp_text_init(&html);
    int length = snprintf(path, sizeof path, "%s/%s.html", settings->pages, task->set->id);
    enum bp_code code = length < 0 || length >= PATH_MAX
                            ? bp_error_set(&task->set->error, BP_ERR_WRITE, "the folder's name is too long")
                            : bp_report_set_html(summary, &page, &html, &task->set->error);
    if (code == BP_OK && html.failed) {
        code = bp_error_set(&task->set->error, BP_ERR_MEMORY, "out of memory for a page");
    }
    if (code == BP_OK) {
        code = bp_block_write(path, html.data, html.length, &task->set->error);
    }
    bp_text_free(&html);
    return code;
}

/* The page before the record: a record says that both are whole. */
static enum bp_code keep(const struct task *task, const struct bp_summary *summary)
{
    const struct bp_block_settings *settings = task->work->settings;
    enum bp_code code = settings->pages ? write_page(task, summary) : BP_OK;
    return code == BP_OK && settings->store ? bp_store_write(settings->store, task->set->id, &task->origin,
                                                             task->document, &task->set->error)
                                            : code;
}

/* A row is one set: of a log that holds several it says which. */
static enum bp_code choose_part(const struct bp_sheet_row *row, const struct bp_parts *parts,
                                const struct bp_trace **trace, struct bp_error *error)
{
    *trace = &parts->list[0];
    if (row->part > parts->count) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "the row is of part %zu, but the log holds %zu set%s",
                            row->part, parts->count, parts->count == 1 ? "" : "s");
    }
    if (row->part == 0 && parts->count > 1) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "the log holds %zu sets: add a column \"part\" that says which this row is",
                            parts->count);
    }
    *trace = &parts->list[row->part > 0 ? row->part - 1 : 0];
    return BP_OK;
}

static enum bp_code measure(struct task *task)
{
    const struct bp_sheet_row *row = task->set->row;
    struct bp_analyse_settings settings = task->work->analyse;
    struct bp_recordings recordings;
    const struct bp_trace *trace = NULL;
    struct bp_parts parts;
    struct bp_summary summary;
    struct bp_error *error = &task->set->error;
    enum bp_code code = find_rig(task);
    if (code == BP_OK) {
        code = bp_import_recordings(row->log_path, &settings.import, task->arena, &recordings, error);
    }
    if (code == BP_OK) {
        code = bp_split_recordings(&recordings, NULL, false, task->arena, &parts, error);
    }
    if (code == BP_OK) {
        code = choose_part(row, &parts, &trace, error);
    }
    if (code == BP_OK) {
        settings.path = row->log;
        settings.lift = row->lift;
        settings.lift_given = row->lift_given;
        settings.setup = row->setup;
        settings.rig = task->loaded ? &task->rig : NULL;
        settings.keep_traces = task->work->settings->pages != NULL;
        code = bp_analyse_trace(trace, &settings, task->arena, &summary, error);
    }
    if (code == BP_OK) {
        bp_report_set_json(&summary, false, task->document);
        code = task->document->failed ? bp_error_set(error, BP_ERR_MEMORY, "out of memory for a document")
                                      : keep(task, &summary);
    }
    task->set->state = code == BP_OK ? BP_BLOCK_MEASURED : BP_BLOCK_FAILED;
    return code;
}

static bool page_is_there(const struct task *task)
{
    const struct bp_block_settings *settings = task->work->settings;
    char path[PATH_MAX];
    int length =
        settings->pages ? snprintf(path, sizeof path, "%s/%s.html", settings->pages, task->set->id) : 0;
    return !settings->pages || (length > 0 && length < PATH_MAX && access(path, R_OK) == 0);
}

/* Writes the record again with the files' new times. */
static bool renew(struct task *task)
{
    const char *store = task->work->settings->store;
    bool good =
        bp_store_read(store, task->set->id, task->document) &&
        bp_store_write(store, task->set->id, &task->origin, task->document, &task->set->error) == BP_OK;
    bp_text_free(task->document);
    return good;
}

/* Is the record still true? Bytes are read only where size or time changed; when they are the same after
 * all, the record learns the new time. */
static bool is_unchanged(struct task *task)
{
    struct bp_origin was;
    struct bp_origin *now = &task->origin;
    const struct bp_sheet_row *row = task->set->row;
    if (!bp_store_look(task->work->settings->store, task->set->id, &was)) {
        return false;
    }
    bool same_time = bp_stamp_equal(was.log, now->log) && bp_stamp_equal(was.rig, now->rig);
    now->log_bytes = was.log_bytes;
    now->rig_bytes = was.rig_bytes;
    bool same = bp_digest_equal(was.how, now->how) && page_is_there(task);
    if (same && !same_time) {
        same = bp_key_bytes(row, now, &task->set->error) == BP_OK &&
               bp_digest_equal(was.log_bytes, now->log_bytes) &&
               bp_digest_equal(was.rig_bytes, now->rig_bytes) && renew(task);
    }
    return same;
}

static enum bp_code do_task(struct task *task)
{
    enum bp_code code = BP_OK;
    bp_error_clear(&task->set->error);
    if (task->work->settings->store) {
        bp_key_origin(task->set->row, task->work->settings, &task->origin);
        if (is_unchanged(task)) {
            task->set->state = BP_BLOCK_KEPT;
            *task->key = bp_key_of(&task->origin);
            return BP_OK;
        }
        bp_error_clear(&task->set->error);
        code = bp_key_bytes(task->set->row, &task->origin, &task->set->error);
        *task->key = bp_key_of(&task->origin);
    }
    if (code == BP_OK) {
        return measure(task);
    }
    task->set->state = BP_BLOCK_FAILED;
    return code;
}

/* ---- workers ---- */

/* The next set to do; NULL when there is none, or the run is stopped. */
static struct bp_block_set *take_next(struct work *work, size_t *at)
{
    struct bp_block_set *set = NULL;
    pthread_mutex_lock(&work->lock);
    while (!work->stop && !set && work->next < work->block->count) {
        *at = work->next++;
        set = work->block->sets[*at].state == BP_BLOCK_WAITING ? &work->block->sets[*at] : NULL;
    }
    pthread_mutex_unlock(&work->lock);
    return set;
}

/* A store that cannot be written, or memory that is out, ends the run: every other set would fail alike. */
static void give_back(struct work *work, const struct bp_block_set *set, enum bp_code code)
{
    pthread_mutex_lock(&work->lock);
    work->progress.done++;
    work->progress.failed += set->state == BP_BLOCK_FAILED;
    work->progress.latest = set;
    if (code == BP_ERR_WRITE || code == BP_ERR_MEMORY) {
        work->stop = true;
        if (work->code == BP_OK) {
            work->code = code;
            *work->error = set->error;
        }
    } else if (work->settings->progress &&
               !work->settings->progress(work->settings->about, &work->progress)) {
        work->stop = true;
    }
    pthread_mutex_unlock(&work->lock);
}

static void *run_worker(void *about)
{
    struct work *work = about;
    struct bp_arena arena;
    size_t at = 0;
    bp_arena_init(&arena);
    for (struct bp_block_set *set = take_next(work, &at); set; set = take_next(work, &at)) {
        struct task task = {.work = work,
                            .set = set,
                            .arena = &arena,
                            .document = &work->documents[at],
                            .key = &work->keys[at]};
        give_back(work, set, do_task(&task));
        bp_arena_reset(&arena);
    }
    bp_arena_free(&arena);
    return NULL;
}

static size_t worker_count(const struct bp_block_settings *settings, size_t chosen)
{
    long cores = sysconf(_SC_NPROCESSORS_ONLN);
    size_t jobs = settings->jobs ? settings->jobs : cores > 0 ? (size_t)cores : 1;
    jobs = jobs > BP_BLOCK_JOBS_MAX ? BP_BLOCK_JOBS_MAX : jobs;
    return jobs > chosen ? chosen : jobs;
}

/* This thread is a worker too, so that the run goes on where no other can be had. */
static void run_workers(struct work *work, size_t count)
{
    pthread_t others[BP_BLOCK_JOBS_MAX];
    size_t started = 0;
    while (started + 1 < count && pthread_create(&others[started], NULL, run_worker, work) == 0) {
        started++;
    }
    run_worker(work);
    for (size_t i = 0; i < started; i++) {
        pthread_join(others[i], NULL);
    }
}

/* ---- the block ---- */

static void choose(const struct bp_sheet_row *row, const struct bp_block_settings *settings,
                   struct bp_block_set *set)
{
    bool other = settings->lifter && strcmp(settings->lifter, row->lifter) != 0;
    /* ISO dates sort as text; a set without a date belongs to no day since anything */
    bool early = settings->since && (!row->dated || strcmp(row->date, settings->since) < 0);
    set->row = row;
    set->state = other || early ? BP_BLOCK_LEFT_OUT : BP_BLOCK_WAITING;
}

/* "2026-03-02" */
static bool is_day(const char *text)
{
    static const char shape[] = "0000-00-00";
    for (size_t i = 0; i < sizeof shape; i++) {
        bool digit = text[i] >= '0' && text[i] <= '9';
        if (shape[i] == '0' ? !digit : text[i] != shape[i]) {
            return false;
        }
    }
    int month = 10 * (text[5] - '0') + text[6] - '0', day = 10 * (text[8] - '0') + text[9] - '0';
    return month >= 1 && month <= 12 && day >= 1 && day <= 31;
}

static enum bp_code check(const struct bp_block_settings *settings, struct bp_error *error)
{
    if (settings->jobs > BP_BLOCK_JOBS_MAX) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "at most 256 jobs");
    }
    if (settings->since && !is_day(settings->since)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "a day is written as 2026-03-02, not '%s'",
                            settings->since);
    }
    if (settings->pages && !settings->store) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "pages need a store");
    }
    return BP_OK;
}

/* A document back into the set's summary. What stands in a store is not ours alone: one that is none is taken
 * away and measured next time. */
static enum bp_code read_document(struct work *work, struct bp_block_set *set, struct bp_text *document,
                                  struct bp_arena *arena)
{
    const char *store = work->settings->store;
    enum bp_code code = BP_OK;
    if (set->state == BP_BLOCK_KEPT && !bp_store_read(store, set->id, document)) {
        code = bp_error_set(work->error, BP_ERR_FORMAT, "the set's document cannot be read any more");
    }
    if (code == BP_OK) {
        code = bp_report_set_read(document->data, document->length, arena, &set->summary, work->error);
    }
    if (code == BP_ERR_FORMAT) {
        set->error = *work->error;
        set->state = BP_BLOCK_FAILED;
        if (store) {
            bp_store_forget(store, set->id);
        }
        code = BP_OK;
    }
    bp_text_free(document);
    return code;
}

static void count_states(struct bp_block *block)
{
    block->measured = block->kept = block->failed = 0;
    block->stopped = false;
    for (size_t i = 0; i < block->count; i++) {
        enum bp_block_state state = block->sets[i].state;
        block->measured += state == BP_BLOCK_MEASURED;
        block->kept += state == BP_BLOCK_KEPT;
        block->failed += state == BP_BLOCK_FAILED;
        block->stopped |= state == BP_BLOCK_WAITING;
    }
}

/* In the sheet's order; not at all where the caller has seen it all before. */
static enum bp_code read_documents(struct work *work, struct bp_arena *arena)
{
    struct bp_block *block = work->block;
    const char *seen = work->settings->seen;
    enum bp_code code = BP_OK;
    count_states(block);
    bp_key_block(block, work->keys, work->settings);
    block->unchanged = seen && block->measured == 0 && !block->stopped && strcmp(seen, block->key) == 0;
    for (size_t i = 0; i < block->count && code == BP_OK && !block->unchanged; i++) {
        enum bp_block_state state = block->sets[i].state;
        if (state == BP_BLOCK_MEASURED || state == BP_BLOCK_KEPT) {
            code = read_document(work, &block->sets[i], &work->documents[i], arena);
        }
    }
    count_states(block);
    return code;
}

static enum bp_code run(struct work *work, struct bp_arena *arena)
{
    pthread_mutex_init(&work->lock, NULL);
    run_workers(work, worker_count(work->settings, work->block->chosen));
    pthread_mutex_destroy(&work->lock);
    return work->code == BP_OK ? read_documents(work, arena) : work->code;
}

enum bp_code bp_block_measure(const struct bp_sheet *sheet, const struct bp_block_settings *settings,
                              struct bp_arena *arena, struct bp_block *block, struct bp_error *error)
{
    struct bp_error unheard;
    settings = settings ? settings : &bp_block_defaults;
    error = error ? error : &unheard;
    struct work work = {.settings = settings, .analyse = settings->analyse, .block = block, .error = error};
    memset(block, 0, sizeof *block);
    bp_error_clear(error);
    enum bp_code code = check(settings, error);
    if (code != BP_OK || sheet->row_count == 0) {
        return code;
    }
    block->sets = bp_arena_zero(arena, sheet->row_count, sizeof *block->sets);
    work.documents = calloc(sheet->row_count, sizeof *work.documents);
    work.keys = calloc(sheet->row_count, sizeof *work.keys);
    if (!block->sets || !work.documents || !work.keys) {
        free(work.documents);
        free(work.keys);
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the block");
    }
    block->count = sheet->row_count;
    block->extra_count = sheet->extra_count;
    for (size_t i = 0; i < block->count; i++) {
        choose(&sheet->rows[i], settings, &block->sets[i]);
        block->chosen += block->sets[i].state == BP_BLOCK_WAITING;
        bp_text_init(&work.documents[i]);
    }
    bp_key_ids(block);
    work.progress.chosen = block->chosen;
    code = run(&work, arena);
    for (size_t i = 0; i < block->count; i++) {
        bp_text_free(&work.documents[i]);
    }
    free(work.documents);
    free(work.keys);
    return code;
}
