/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * All sets, spread over processes. Worker w of n measures the sets w, w + n, …, and writes each to a file of
 * its own; the files are read back in the order of the sets, so that the outcome is the same for any n.
 */
#include "bench/study.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

struct worker {
    FILE *file;
    pid_t pid; /* 0: none runs */
};

/* Says on a terminal how far it is: a study takes minutes. */
static void say_progress(const struct study_options *options, size_t done)
{
    enum { EVERY = 20 };
    if (isatty(STDERR_FILENO) && (done % EVERY == 0 || done >= options->sets)) {
        fprintf(stderr, "\r%zu of %zu sets%s", done < options->sets ? done : options->sets, options->sets,
                done >= options->sets ? "\n" : "");
    }
}

static bool write_one(FILE *file, const struct study_set *set, const struct bench_record *records)
{
    return fwrite(set, sizeof *set, 1, file) == 1 &&
           fwrite(records, sizeof *records, set->records, file) == set->records;
}

static bool work(const struct study_options *options, size_t from, FILE *file)
{
    struct study_bench *bench = study_bench_new();
    struct study_set set;
    bool ok = bench != NULL;
    for (size_t s = from; ok && s < options->sets; s += options->jobs) {
        ok = study_measure_set(options, (uint32_t)s, bench, &set) && write_one(file, &set, bench->records);
        if (!ok) {
            fprintf(stderr, "bench: the set of seed %llu could not be measured\n",
                    (unsigned long long)options->first_seed + s);
        } else if (from == 0) {
            say_progress(options, s + options->jobs);
        }
    }
    study_bench_free(bench);
    return ok && fflush(file) == 0;
}

static bool start(const struct study_options *options, size_t index, struct worker *worker)
{
    worker->file = tmpfile();
    if (!worker->file) {
        fprintf(stderr, "bench: no temporary file: %s\n", strerror(errno));
        return false;
    }
    if (options->jobs == 1) { /* in this very process: one to debug */
        return work(options, index, worker->file);
    }
    worker->pid = fork();
    if (worker->pid == 0) {
        _exit(work(options, index, worker->file) ? EXIT_SUCCESS : EXIT_FAILURE);
    }
    if (worker->pid < 0) {
        worker->pid = 0;
        fprintf(stderr, "bench: no process to be had: %s\n", strerror(errno));
        return false;
    }
    return true;
}

static bool finish(struct worker *worker)
{
    int status = 0;
    if (worker->pid == 0) {
        return true;
    }
    while (waitpid(worker->pid, &status, 0) < 0) {
        if (errno != EINTR) {
            return false;
        }
    }
    return WIFEXITED(status) && WEXITSTATUS(status) == EXIT_SUCCESS;
}

static bool grow(struct study *study, size_t *capacity, size_t more)
{
    if (study->record_count + more > *capacity) {
        size_t wanted = 2 * (study->record_count + more);
        struct bench_record *grown = realloc(study->records, wanted * sizeof *grown);
        if (!grown) {
            return false;
        }
        study->records = grown;
        *capacity = wanted;
    }
    return true;
}

static bool read_all(const struct study_options *options, const struct worker *workers, struct study *study)
{
    size_t capacity = 0;
    study->sets = calloc(options->sets, sizeof *study->sets);
    for (size_t w = 0; w < options->jobs; w++) {
        rewind(workers[w].file);
    }
    for (size_t s = 0; study->sets && s < options->sets; s++, study->set_count++) {
        FILE *file = workers[s % options->jobs].file;
        struct study_set *set = &study->sets[s];
        if (fread(set, sizeof *set, 1, file) != 1 || !grow(study, &capacity, set->records) ||
            fread(study->records + study->record_count, sizeof *study->records, set->records, file) !=
                set->records) {
            return false;
        }
        study->record_count += set->records;
    }
    return study->sets != NULL;
}

/* Brings the records of each figure together, still in the order of the sets. */
static bool sort_records(struct study *study)
{
    struct bench_record *sorted = malloc((study->record_count + 1) * sizeof *sorted);
    size_t *next = calloc(study_figure_count + 1, sizeof *next);
    study->first = calloc(study_figure_count + 1, sizeof *study->first);
    if (!sorted || !next || !study->first) {
        free(sorted);
        free(next);
        return false;
    }
    for (size_t i = 0; i < study->record_count; i++) {
        study->first[study->records[i].figure + 1]++;
    }
    for (size_t f = 0; f < study_figure_count; f++) {
        study->first[f + 1] += study->first[f];
        next[f] = study->first[f];
    }
    for (size_t i = 0; i < study->record_count; i++) {
        sorted[next[study->records[i].figure]++] = study->records[i];
    }
    free(study->records);
    study->records = sorted;
    free(next);
    return true;
}

bool study_run(const struct study_options *options, struct study *study)
{
    struct worker *workers = calloc(options->jobs, sizeof *workers);
    bool ok = workers != NULL;
    *study = (struct study){0};
    fflush(NULL); /* or every process would write what waits in the buffers */
    for (size_t w = 0; ok && w < options->jobs; w++) {
        ok = start(options, w, &workers[w]);
    }
    for (size_t w = 0; workers && w < options->jobs; w++) {
        ok = finish(&workers[w]) && ok;
    }
    if (ok && !(read_all(options, workers, study) && sort_records(study) && study_make_cells(study))) {
        fprintf(stderr, "bench: the study's records could not be put together\n");
        ok = false;
    }
    for (size_t w = 0; workers && w < options->jobs; w++) {
        if (workers[w].file) {
            fclose(workers[w].file);
        }
    }
    free(workers);
    if (!ok) {
        study_free(study);
    }
    return ok;
}

void study_free(struct study *study)
{
    free(study->sets);
    free(study->records);
    free(study->first);
    free(study->cells);
    *study = (struct study){0};
}
