/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rig/support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

void support_parse_bytes(struct rig_read *read, const char *bytes, size_t count)
{
    memset(read, 0xA5, sizeof *read);
    read->code = bp_rig_parse(bytes, count, "test.ini", &read->rig, &read->error);
    assert_int_equal(read->code, read->error.code);
}

void support_parse(struct rig_read *read, const char *text)
{
    support_parse_bytes(read, text, strlen(text));
}

static void must_be_well(const struct rig_read *read)
{
    char line[BP_ERROR_PATH + BP_ERROR_TEXT + 64];
    if (read->code != BP_OK) {
        fail_msg("%s", bp_error_line(&read->error, line, sizeof line));
    }
}

void support_accept(struct rig_read *read, const char *text)
{
    support_parse(read, text);
    must_be_well(read);
}

void support_fixture(struct rig_read *read, const char *name)
{
    char path[512];
    snprintf(path, sizeof path, "%s/fixtures/rigs/%s", BARPLUMB_SOURCE_DIR, name);
    memset(read, 0xA5, sizeof *read);
    read->code = bp_rig_read(path, &read->rig, &read->error);
    must_be_well(read);
}

bool support_rig_is_zero(const struct bp_rig *rig)
{
    static const struct bp_rig zero;
    return memcmp(rig, &zero, sizeof zero) == 0;
}

void support_refuse(struct rig_read *read, const char *text, enum bp_code code, size_t line, const char *word,
                    const char *other_word)
{
    support_parse(read, text);
    if (read->code != code || read->error.line != line ||
        (word != NULL && strstr(read->error.text, word) == NULL) ||
        (other_word != NULL && strstr(read->error.text, other_word) == NULL)) {
        fail_msg("expected %s at line %zu with '%s' and '%s', got %s at line %zu: %s\n%s", bp_code_name(code),
                 line, word != NULL ? word : "", other_word != NULL ? other_word : "",
                 bp_code_name(read->code), read->error.line, read->error.text, text);
    }
    assert_string_equal(read->error.path, "test.ini");
    assert_true(support_rig_is_zero(&read->rig));
}

void support_near(double a, double b, double within)
{
    if (!(fabs(a - b) <= within)) {
        fail_msg("%.17g is not within %g of %.17g", a, within, b);
    }
}
