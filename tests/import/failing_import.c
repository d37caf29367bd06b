/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/failing_import.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/failing_alloc.h"

size_t failing_import(failing_read *read, const void *log, size_t most)
{
    bool failed = true;
    size_t n = 0;
    for (; failed && n < most; n++) {
        void *fresh;
        support_setup(&fresh);
        failing_alloc_arm(n);
        enum bp_code code = read(fresh, log);
        failed = failing_alloc_disarm();
        assert_int_equal(code, failed ? BP_ERR_MEMORY : BP_OK);
        support_teardown(&fresh);
    }
    assert_false(failed);
    return n;
}

enum bp_code failing_read_bytes(struct imported *in, const void *log)
{
    const struct failing_bytes *held = log;
    return support_bytes(in, held->bytes, held->count);
}
