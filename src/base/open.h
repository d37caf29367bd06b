/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to the library: opening what somebody named.
 */
#ifndef BARPLUMB_BASE_OPEN_H
#define BARPLUMB_BASE_OPEN_H

/* Opens path for reading. Returns the file, or -1 with errno: open's own, or ETIMEDOUT where it is a named
 * pipe that nobody has opened for writing within BP_OPEN_WAIT_S: open alone would wait for ever. A writer
 * that is there but has nothing to say is waited for, as by any filter. */
int bp_open_to_read(const char *path);

enum { BP_OPEN_WAIT_S = 5 }; /* a shell opens both ends at once, before the programs on them start */

#endif
