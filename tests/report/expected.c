/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/expected.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void rewrite(const char *path, const struct bp_text *out)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(out->data, 1, out->length, file), out->length);
    assert_int_equal(fclose(file), 0);
}

void expected_check(const char *name, const struct bp_text *out)
{
    char path[512];
    snprintf(path, sizeof path, "%s/tests/expected/%s", BARPLUMB_SOURCE_DIR, name);
    assert_false(out->failed);
    if (getenv("BARPLUMB_REWRITE_EXPECTED") != NULL) {
        rewrite(path, out);
    }
    FILE *file = fopen(path, "rb");
    if (file == NULL) {
        fail_msg("%s is not there", path);
    }
    char *wanted = malloc(out->length + 2);
    assert_non_null(wanted);
    size_t count = fread(wanted, 1, out->length + 1, file);
    fclose(file);
    bool same = count == out->length && memcmp(wanted, out->data, count) == 0;
    free(wanted);
    if (!same) {
        print_message("%s\n", out->data);
        fail_msg("the text above differs from tests/expected/%s", name);
    }
}
