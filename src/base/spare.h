/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to the library: is there memory to spare?
 */
#ifndef BARPLUMB_BASE_SPARE_H
#define BARPLUMB_BASE_SPARE_H

#include <stdbool.h>
#include <stddef.h>

/* True when so many bytes could be had at this moment. Asked before a call to another library that crashes,
 * or ends the program, where it gets no memory; touches no page. */
bool bp_spare_memory(size_t bytes);

#endif
