/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/spare.h"

#include <stdlib.h>

bool bp_spare_memory(size_t bytes)
{
    void *volatile probe =
        malloc(bytes); /* volatile: or both calls are optimised away, and the answer is yes */
    bool there = probe != NULL;
    free(probe);
    return there;
}
