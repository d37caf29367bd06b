/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: the tables behind words.h.
 */
#ifndef BARPLUMB_IMPORT_VOCABULARY_H
#define BARPLUMB_IMPORT_VOCABULARY_H

#include "import/words.h"

enum {
    BP_WORD_LINEAR = 1,    /* gravity taken out */
    BP_WORD_TOTAL = 2,     /* a length, where no axis is named */
    BP_WORD_ELAPSED = 4,   /* time since the start */
    BP_WORD_DEMERIT = 8,   /* not the plain reading */
    BP_WORD_NEUTRAL = 16,  /* says nothing */
    BP_WORD_ATTITUDE = 32, /* quaternion or angles of the phone */
    BP_WORD_STEPS = 64     /* the time since the row before */
};

struct bp_word {
    const char *text;
    enum bp_kind kind;
    unsigned flags;
    const char *unit;
};

extern const struct bp_unit bp_import_units[];
extern const size_t bp_import_unit_count;
extern const struct bp_word bp_import_words[];
extern const size_t bp_import_word_count;
extern const struct bp_word bp_import_stems[];
extern const size_t bp_import_stem_count;

/* letters.c: text with signs and accented letters made plain ("m/s²", "Größe" → "m/s2", "Grosse"); UTF-8, or
 * Latin-1 where it is no UTF-8. out is terminated and cut to size. Returns bytes. */
size_t bp_import_plain_letters(const char *text, size_t count, char *out, size_t size);

#endif
