/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/blanks.h"

size_t bp_import_close_blanks(struct bp_blanks *blanks, char *text, size_t count)
{
    size_t kept = 0;
    for (size_t i = 0; i < count; i++) {
        char c = text[i];
        bool end = c == '\n' || c == '\r';
        if (!blanks->quoted && (c == ' ' || c == '\t')) {
            if (blanks->began && !blanks->run) {
                text[kept++] = '\t';
            }
            blanks->run = true;
            continue;
        }
        /* Where the run began in the piece before, its TAB stays: an empty cell at a row's end does no harm.
         */
        kept -= end && blanks->run && blanks->began && kept > 0;
        blanks->run = false;
        blanks->began = !end;
        blanks->quoted = !end && blanks->quoted != (c == '"');
        text[kept++] = c;
    }
    return kept;
}
