/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/failing_alloc.h"
#include "report/survive.h"

void survive_check(void (*put)(struct bp_text *out))
{
    for (size_t nth = 0;; nth++) {
        struct bp_text out;
        bp_text_init(&out);
        failing_alloc_arm(nth);
        put(&out);
        bool happened = failing_alloc_disarm();
        assert_int_equal(out.failed, happened);
        bp_text_free(&out);
        if (!happened) {
            assert_true(nth > 0);
            return;
        }
    }
}
