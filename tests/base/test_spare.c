/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include "base/failing_alloc.h"
#include "base/spare.h"

static void memory_is_there_until_it_is_not(void **state)
{
    (void)state;
    assert_true(bp_spare_memory(1000));
    failing_alloc_arm(0);
    assert_false(bp_spare_memory(1000));
    assert_true(failing_alloc_disarm());
    assert_true(bp_spare_memory(1000));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(memory_is_there_until_it_is_not)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
