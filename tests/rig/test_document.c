/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * docs/rig.md against the reader.
 */
#include "rig/keys.h"

#include "rig/support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <string.h>

enum { DOCUMENT_BYTES = 65536 };

static const char *document(void)
{
    static char bytes[DOCUMENT_BYTES];
    FILE *file = fopen(BARPLUMB_SOURCE_DIR "/docs/rig.md", "rb");
    assert_non_null(file);
    size_t count = fread(bytes, 1, sizeof bytes - 1, file);
    assert_true(count > 0 && count < sizeof bytes - 1);
    assert_int_equal(fclose(file), 0);
    bytes[count] = '\0';
    return bytes;
}

static void document_names_every_section_and_key(void **state)
{
    (void)state;
    for (int kind = 0; kind < BP_KIND_COUNT; kind++) {
        char heading[40];
        snprintf(heading, sizeof heading, "\n## [%s", bp_rig_kind_name((enum bp_rig_kind)kind));
        assert_non_null(strstr(document(), heading));
    }
    for (int key = 0; key < BP_KEY_COUNT; key++) {
        if (key > BP_KEY_PEG && key < BP_KEY_PEG_LAST) {
            continue; /* `peg 1` … `peg 4` */
        }
        char quoted[40];
        snprintf(quoted, sizeof quoted, "`%s`",
                 key == BP_KEY_PEG_LAST ? "peg 4" : bp_rig_key_name((enum bp_rig_key)key));
        if (strstr(document(), quoted) == NULL) {
            fail_msg("docs/rig.md does not name %s", quoted);
        }
    }
}

/* Pieces between "```ini" and "```". One that begins with a section is a whole rig; the others are pegs. */
static void document_examples_can_be_read(void **state)
{
    struct rig_read *read = *state;
    static const char open[] = "```ini\n";
    size_t rigs = 0;
    size_t pegs = 0;
    for (const char *at = strstr(document(), open); at != NULL; at = strstr(at, open)) {
        at += strlen(open);
        const char *end = strstr(at, "```");
        assert_non_null(end);
        char text[2048];
        if (*at == '[') {
            snprintf(text, sizeof text, "%.*s", (int)(end - at), at);
            support_accept(read, text);
            rigs++;
            continue;
        }
        for (const char *line = at; line < end; line = strchr(line, '\n') + 1) {
            snprintf(text, sizeof text, "[bar]\nmass=20\nlockout=110\n[band a]\npoints=60: 5, 80: 12\n%s%.*s",
                     strncmp(line, "peg 2", 5) == 0 ? "peg 1 = floor\n" : "",
                     (int)(strchr(line, '\n') + 1 - line), line);
            support_accept(read, text);
            pegs++;
        }
    }
    assert_true(rigs >= 2);
    assert_true(pegs >= 5);
}

int main(void)
{
    static struct rig_read read;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(document_names_every_section_and_key),
        cmocka_unit_test_prestate(document_examples_can_be_read, &read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
