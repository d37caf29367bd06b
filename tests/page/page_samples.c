/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Writes pages that share one script and style: page_samples DIR makes DIR/full.html, DIR/bare.html and what
 * they need in DIR/assets, which is there already.
 */
#include "barplumb/report.h"
#include "report/samples.h"

#include <stdio.h>

static bool write_file(const char *folder, const char *name, const char *bytes, size_t count)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "wb");
    bool good = file != NULL && fwrite(bytes, 1, count, file) == count;
    return file != NULL && fclose(file) == 0 && good;
}

static bool write_page(const char *folder, const char *name, const struct bp_summary *summary)
{
    const struct bp_page_settings settings = {.lifter = "L1", .assets = "assets/"};
    struct bp_text page;
    bp_text_init(&page);
    bool good = bp_report_set_html(summary, &settings, &page, NULL) == BP_OK && !page.failed &&
                write_file(folder, name, page.data, page.length);
    bp_text_free(&page);
    return good;
}

int main(int argc, char **argv)
{
    struct sample full, bare;
    char assets[4096];
    if (argc != 2) {
        fprintf(stderr, "usage: page_samples DIR\n");
        return 2;
    }
    snprintf(assets, sizeof assets, "%s/assets", argv[1]);
    sample_full(&full);
    sample_bare(&bare);
    bool good =
        write_page(argv[1], "full.html", &full.summary) && write_page(argv[1], "bare.html", &bare.summary);
    for (int part = BP_PAGE_SCRIPT; part <= BP_PAGE_STYLE && good; part++) {
        struct bp_page_file file = bp_report_page_file((enum bp_page_part_of)part);
        good = write_file(assets, file.name, file.bytes, file.count);
    }
    return good ? 0 : 1;
}
