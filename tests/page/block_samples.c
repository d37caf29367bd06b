/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Writes the pages of an invented block: block_samples DIR makes DIR/index.html, compare.html, alone.html
 * (the comparison with its script in it), a page a lifter and a set in DIR/lifters and DIR/sets, what they
 * need in DIR/assets, and the same data as block.json and compare.json. The four folders are there already.
 */
#include "barplumb/random.h"
#include "barplumb/report_block.h"
#include "survey/blocks.h"

#include <stdio.h>
#include <string.h>

enum { FIRST_DAY = 20514, WEEKS = 6 }; /* 2026-03-02, a Monday */

#define NONE ((double)NAN)
#define HOSTILE "</script><script>alert(1)</script><img src=x onerror=alert(2)>\"'&\xE2\x80\xA8"

static struct planned_set plan[PLANNED_SETS_MAX];
static struct planned_block made;
static size_t planned;

static void add(const char *lifter, const char *setup, enum bp_lift lift, long day, double speed, double load,
                double chains, double shake, double target)
{
    plan[planned++] = (struct planned_set){lifter, setup, lift,   day,          speed, load,
                                           chains, shake, target, chains > 0.0, false};
}

/* L1 compares chains with straight weight on the bench; L2 squats with bands; two who would break a page. */
static void plan_block(void)
{
    struct bp_random random;
    bp_random_init(&random, 11, 0);
    for (long week = 0; week < WEEKS; week++) {
        double w = (double)week;
        for (long turn = 0; turn < 2; turn++) {
            long day = FIRST_DAY + 7 * week + 3 * turn;
            double form = 1.0 + 0.03 * bp_random_normal(&random);
            add("L1", "straight", BP_BENCH, day, form * (0.42 + 0.008 * w), 82.5, 0, 2.1 * form, 0.42);
            add("L1", "chains, 2 x 8 kg", BP_BENCH, day, form * (0.47 + 0.012 * w), 82.5, 14, 3.8 / form,
                0.45);
        }
        add("L2", "bands, 29 mm", BP_SQUAT, FIRST_DAY + 7 * week + 1, 0.55 - 0.02 * w, 100, 25,
            2.6 + 0.25 * w, 0.5);
        for (long k = 0; k < 3; k++) {
            double load = 60 + 30 * (double)k;
            add("L2", "straight", BP_DEADLIFT, FIRST_DAY + 7 * week + 4, 1.1 - 0.009 * (load - 60) + 0.01 * w,
                load, 0, 2.0 + 0.01 * load, NONE);
        }
    }
    add(HOSTILE, HOSTILE, BP_BENCH, FIRST_DAY, 0.4, 60, 0, 2, 0.4);
    add("", "", BP_ROW, -1, 0.6, 0, 0, NONE, NONE);
    plan[planned] = plan[0];
    plan[planned].failed = true;
    plan[planned++].lifter = "L3";
}

static bool write_file(const char *folder, const char *name, const char *bytes, size_t count)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "wb");
    bool good = file != NULL && fwrite(bytes, 1, count, file) == count;
    return file != NULL && fclose(file) == 0 && good;
}

static bool finish(const char *folder, const char *name, struct bp_text *text, enum bp_code code)
{
    bool good = code == BP_OK && !text->failed && write_file(folder, name, text->data, text->length);
    bp_text_free(text);
    bp_text_init(text);
    return good;
}

static bool write_sets(const char *folder)
{
    bool good = true;
    for (size_t i = 0; i < made.block.count && good; i++) {
        const struct bp_page_settings settings = {made.rows[i].lifter, "../assets/", "../index.html"};
        char name[BP_BLOCK_ID + 8];
        struct bp_text page;
        if (made.sets[i].state == BP_BLOCK_FAILED) {
            continue;
        }
        bp_text_init(&page);
        snprintf(name, sizeof name, "%s.html", made.sets[i].id);
        good = finish(folder, name, &page, bp_report_set_html(&made.sets[i].summary, &settings, &page, NULL));
    }
    return good;
}

static bool write_lifters(const char *folder, const struct bp_survey *survey)
{
    const struct bp_block_page_settings settings = {"../assets/", "../sets/", "", "../index.html",
                                                    "../compare.html"};
    bool good = true;
    for (size_t l = 0; l < survey->lifter_count && good; l++) {
        struct bp_text name, page;
        bp_text_init(&name);
        bp_text_init(&page);
        bp_report_lifter_page_name(survey, l, &name);
        good = !name.failed &&
               finish(folder, name.data, &page, bp_report_lifter_html(survey, l, &settings, &page, NULL));
        bp_text_free(&name);
    }
    return good;
}

static bool write_block(const char *folder, const struct bp_survey *survey)
{
    const struct bp_block_page_settings settings = {"assets/", "sets/", "lifters/", "index.html",
                                                    "compare.html"};
    struct bp_text page;
    bp_text_init(&page);
    bool good =
        finish(folder, "index.html", &page, bp_report_block_html(survey, &settings, &page, NULL)) &&
        finish(folder, "compare.html", &page, bp_report_compare_html(survey, &settings, &page, NULL)) &&
        finish(folder, "alone.html", &page, bp_report_compare_html(survey, NULL, &page, NULL));
    bp_report_block_json(survey, NULL, false, &page);
    good = good && finish(folder, "block.json", &page, BP_OK);
    bp_report_compare_json(survey, false, &page);
    good = good && finish(folder, "compare.json", &page, BP_OK);
    const struct bp_report_settings plain = {false, 0};
    bp_report_compare_text(survey, &plain, &page);
    return good && finish(folder, "compare.txt", &page, BP_OK);
}

int main(int argc, char **argv)
{
    char path[4096];
    struct bp_arena arena;
    struct bp_survey survey;
    if (argc != 2) {
        fprintf(stderr, "usage: block_samples DIR\n");
        return 2;
    }
    bp_arena_init(&arena);
    plan_block();
    planned_block_make(plan, planned, &made);
    made.rows[planned - 2].notes = HOSTILE;
    bp_findings_add(&made.sets[1].summary.findings, "gap", BP_RESERVATION, 3.0,
                    "a gap of 0.40 s, in which nothing is known");
    bool good =
        bp_survey_block(&made.block, NULL, &arena, &survey, NULL) == BP_OK && write_block(argv[1], &survey);
    snprintf(path, sizeof path, "%s/lifters", argv[1]);
    good = good && write_lifters(path, &survey);
    snprintf(path, sizeof path, "%s/sets", argv[1]);
    good = good && write_sets(path);
    snprintf(path, sizeof path, "%s/assets", argv[1]);
    for (int part = BP_PAGE_SCRIPT; part <= BP_PAGE_STYLE && good; part++) {
        struct bp_page_file file = bp_report_page_file((enum bp_page_part_of)part);
        good = write_file(path, file.name, file.bytes, file.count);
    }
    bp_arena_free(&arena);
    return good ? 0 : 1;
}
