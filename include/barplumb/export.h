/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * BP_API marks what the shared library shows; everything else in it is hidden.
 */
#ifndef BARPLUMB_EXPORT_H
#define BARPLUMB_EXPORT_H

#if defined(__GNUC__)
#define BP_API __attribute__((visibility("default")))
#else
#define BP_API
#endif

#endif
