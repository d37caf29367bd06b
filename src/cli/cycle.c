/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * barplumb cycle SHEET --out DIR: the whole block as pages and tables.
 */
#define _XOPEN_SOURCE 700
#include "cli/sheet.h"

#include "barplumb/report_block.h"
#include "barplumb/survey.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char doc[] =
    "Measures every set of SHEET and writes the block into DIR: index.html, a page a lifter and a page a "
    "set, "
    "reps.csv with all reps and sets.jsonl with all sets. A second run measures only what changed.\v"
    "Example: the cycle before a meet, after its last week:\n"
    "  barplumb cycle --out harbour/pages harbour/block.csv\n\n"
    "Ctrl-C stops once the sets in hand are done; what is finished stays valid, and the next run goes on.\n\n"
    "Exit status: 0 done, 1 not written or out of memory, 2 usage, 3 no sheet or no set that can be used, 4 "
    "some "
    "rows failed, 130 stopped.";

/* The folder's parts: DIR/data holds the sets' documents, which a second run starts from. */
struct folder {
    const char *path;
    char data[PATH_MAX], sets[PATH_MAX], lifters[PATH_MAX], assets[PATH_MAX];
};

static bool join(const char *folder, const char *name, char path[PATH_MAX])
{
    int length = snprintf(path, PATH_MAX, "%s/%s", folder, name);
    return length > 0 && length < PATH_MAX;
}

static bool make_folder(const char *path)
{
    if (mkdir(path, 0777) == 0 || errno == EEXIST) {
        return true;
    }
    char line[PATH_MAX + 128];
    snprintf(line, sizeof line, "%s: %s", path, strerror(errno));
    cli_complain(line);
    return false;
}

static bool make_folders(struct folder *folder)
{
    if (!join(folder->path, "data", folder->data) || !join(folder->path, "sets", folder->sets) ||
        !join(folder->path, "lifters", folder->lifters) || !join(folder->path, "assets", folder->assets)) {
        cli_complain("the folder's name is too long");
        return false;
    }
    const char *const parts[] = {folder->path, folder->data, folder->sets, folder->lifters, folder->assets};
    bool made = true;
    for (size_t i = 0; made && i < sizeof parts / sizeof parts[0]; i++) {
        made = make_folder(parts[i]);
        bp_block_sweep(parts[i]);
    }
    return made;
}

static enum bp_code write_in(const char *folder, const char *name, const char *bytes, size_t count,
                             struct bp_error *error)
{
    char path[PATH_MAX];
    if (!join(folder, name, path)) {
        return bp_error_set(error, BP_ERR_WRITE, "the folder's name is too long");
    }
    return bp_block_write(path, bytes, count, error);
}

/* Writes what text holds and empties it. */
static enum bp_code put_file(const char *folder, const char *name, struct bp_text *text,
                             struct bp_error *error)
{
    enum bp_code code = text->failed
                            ? bp_error_set(error, BP_ERR_MEMORY, "out of memory for %s", name)
                            : write_in(folder, name, text->data ? text->data : "", text->length, error);
    bp_text_free(text);
    return code;
}

static enum bp_code write_assets(const struct folder *folder, struct bp_error *error)
{
    enum bp_code code = BP_OK;
    for (enum bp_page_part_of part = BP_PAGE_SCRIPT; part <= BP_PAGE_STYLE && code == BP_OK; part++) {
        struct bp_page_file file = bp_report_page_file(part);
        code = write_in(folder->assets, file.name, file.bytes, file.count, error);
    }
    return code;
}

/* Where the pages find each other, seen from DIR and from DIR/lifters. */
static const struct bp_block_page_settings from_index = {
    .assets = "assets/", .sets = "sets/", .lifters = "lifters/", .compare = "compare.html"};
static const struct bp_block_page_settings from_lifter = {.assets = "../assets/",
                                                          .sets = "../sets/",
                                                          .lifters = "",
                                                          .index = "../index.html",
                                                          .compare = "../compare.html"};
static const struct bp_block_page_settings from_compare = {
    .assets = "assets/", .sets = "sets/", .lifters = "lifters/", .index = "index.html"};

static enum bp_code write_lifters(const struct folder *folder, const struct bp_survey *survey,
                                  struct bp_text *text, struct bp_error *error)
{
    enum bp_code code = BP_OK;
    struct bp_text name;
    bp_text_init(&name);
    for (size_t l = 0; l < survey->lifter_count && code == BP_OK; l++) {
        bp_report_lifter_page_name(survey, l, &name);
        code = name.failed ? bp_error_set(error, BP_ERR_MEMORY, "out of memory for a lifter's page")
                           : bp_report_lifter_html(survey, l, &from_lifter, text, error);
        code = code == BP_OK ? put_file(folder->lifters, name.data, text, error) : code;
        bp_text_free(&name);
    }
    return code;
}

/* The index last: it leads to all others. */
static enum bp_code write_pages(const struct folder *folder, const struct bp_survey *survey,
                                struct bp_text *text, struct bp_error *error)
{
    enum bp_code code = write_lifters(folder, survey, text, error);
    code = code == BP_OK ? bp_report_compare_html(survey, &from_compare, text, error) : code;
    code = code == BP_OK ? put_file(folder->path, "compare.html", text, error) : code;
    code = code == BP_OK ? bp_report_block_html(survey, &from_index, text, error) : code;
    return code == BP_OK ? put_file(folder->path, "index.html", text, error) : code;
}

static enum bp_code write_block(const struct folder *folder, const struct bp_survey *survey,
                                const struct bp_sheet *sheet, struct bp_error *error)
{
    struct bp_text text;
    bp_text_init(&text);
    bp_report_block_csv(survey, sheet, &text);
    enum bp_code code = put_file(folder->path, "reps.csv", &text, error);
    if (code == BP_OK) {
        bp_report_block_jsonl(survey, sheet, &text);
        code = put_file(folder->path, "sets.jsonl", &text, error);
    }
    if (code == BP_OK && bp_report_has_page()) {
        code = write_pages(folder, survey, &text, error);
    }
    bp_text_free(&text);
    return code;
}

/* data/block.key: the key of the block as the pages and tables show it. */
static bool read_key(const struct folder *folder, char key[BP_BLOCK_KEY])
{
    char path[PATH_MAX];
    FILE *file = join(folder->data, "block.key", path) ? fopen(path, "rb") : NULL;
    bool good = file && fread(key, 1, BP_BLOCK_KEY - 1, file) == BP_BLOCK_KEY - 1;
    key[good ? BP_BLOCK_KEY - 1 : 0] = '\0';
    if (file) {
        (void)fclose(file); /* it was only read */
    }
    const char *last = bp_report_has_page() ? "index.html" : "sets.jsonl";
    struct stat status;
    return good && join(folder->path, last, path) && stat(path, &status) == 0;
}

/* Before pages and tables are touched the key goes, and comes back when all are whole. */
static bool forget_key(const struct folder *folder)
{
    char path[PATH_MAX];
    return join(folder->data, "block.key", path) && (unlink(path) == 0 || errno == ENOENT);
}

static int finish(const struct cli_sheet_options *options, const struct folder *folder,
                  struct cli_measured *measured, int status)
{
    struct bp_survey_settings settings = bp_survey_defaults;
    struct bp_survey survey;
    struct bp_error error;
    settings.compare.seed = options->block.analyse.seed;
    enum bp_code code = bp_survey_block(&measured->block, &settings, &measured->arena, &survey, &error);
    if (code == BP_OK && !forget_key(folder)) {
        code = bp_error_set(&error, BP_ERR_WRITE, "%s/block.key: %s", folder->data, strerror(errno));
    }
    if (code == BP_OK) {
        code = write_block(folder, &survey, &measured->sheet, &error);
    }
    if (code == BP_OK && !measured->block.stopped) {
        code = write_in(folder->data, "block.key", measured->block.key, BP_BLOCK_KEY - 1, &error);
    }
    if (code != BP_OK) {
        cli_complain_error(&error);
        return cli_status_of(code);
    }
    return status;
}

static void tell_result(const struct folder *folder, const struct bp_block *block)
{
    fprintf(stderr, "barplumb: %zu sets measured, %zu unchanged, %zu failed; %s/%s\n", block->measured,
            block->kept, block->failed, folder->path, bp_report_has_page() ? "index.html" : "sets.jsonl");
}

static int run(struct cli_sheet_options *options, struct folder *folder, struct cli_measured *measured)
{
    struct bp_error error;
    options->block.store = folder->data;
    options->block.pages = bp_report_has_page() ? folder->sets : NULL;
    options->block.assets = "../assets/";
    options->block.index = "../index.html";
    if (bp_report_has_page() && write_assets(folder, &error) != BP_OK) {
        cli_complain_error(&error);
        return CLI_FAILED;
    }
    char key[BP_BLOCK_KEY];
    options->block.seen = read_key(folder, key) ? key : NULL;
    int status = cli_sheet_measure(options, measured);
    const struct bp_block *block = &measured->block;
    if (block->unchanged) {
        tell_result(folder, block);
        return status;
    }
    if (status == CLI_OK || status == CLI_SOME_FAILED || status == CLI_STOPPED) {
        if (block->measured + block->kept == 0 && status != CLI_STOPPED) {
            cli_complain("no set of the sheet could be measured");
            return CLI_BAD_LOG;
        }
        status = finish(options, folder, measured, status);
        if (status != CLI_FAILED) { /* else the page it names is the old one, or none */
            tell_result(folder, block);
        }
    }
    return status;
}

int cli_cycle(int argc, char **argv)
{
    struct cli_sheet_options options;
    struct cli_measured measured;
    struct folder folder;
    cli_sheet_options_read(argc, argv, true, doc, &options);
    if (options.out == NULL) {
        cli_complain("say where the block goes: --out DIR");
        return CLI_USAGE;
    }
    folder.path = options.out;
    bp_arena_init(&measured.arena);
    int status = make_folders(&folder) ? run(&options, &folder, &measured) : CLI_FAILED;
    cli_sheet_free(&measured);
    return status;
}
