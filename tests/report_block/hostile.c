/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report_block/hostile.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <string.h>

#define NONE ((double)NAN)

static const struct planned_set plan[HOSTILE_SETS] = {
    {"L1", "straight", BP_BENCH, 20000, 0.400, 80, 0, 2.0, 0.30, false, false},
    {"L1", "chains", BP_BENCH, 20000, 0.500, 80, 12, 4.0, 0.60, true, false},
    {"L1", "straight", BP_BENCH, 20007, 0.410, 80, 0, 2.1, NONE, false, false},
    {"L1", "chains", BP_BENCH, 20007, 0.512, 80, 12, 4.1, NONE, true, false},
    {"L1", "straight", BP_BENCH, 20014, 0.405, 80, 0, 1.9, NONE, false, false},
    {"L1", "chains", BP_BENCH, 20014, 0.503, 80, 12, 3.9, NONE, true, false},
    {HOSTILE_FORMULA, HOSTILE_MARKUP, BP_BENCH, -1, 0.450, 0, 0, 3.0, 0.45, false, false},
    {"L3", "straight", BP_BENCH, 20000, 0.400, 80, 0, 2.0, NONE, false, true},
};

void hostile_make(struct hostile *made)
{
    static const char *const names[HOSTILE_EXTRA] = {"=1+1", "mood"};
    static const char *const plain[HOSTILE_EXTRA] = {"", "good"};
    static const char *const hostile[HOSTILE_EXTRA] = {"@SUM(A1)", "so, \"so\"\nlike"};
    memset(made, 0, sizeof *made);
    planned_block_make(plan, HOSTILE_SETS, &made->planned);
    made->sheet = (struct bp_sheet){.row_count = HOSTILE_SETS,
                                    .rows = made->planned.rows,
                                    .extra_count = HOSTILE_EXTRA,
                                    .extra_names = names};
    for (size_t i = 0; i < HOSTILE_SETS; i++) {
        made->planned.rows[i].extra = i == 6 ? hostile : plain;
    }
    made->planned.rows[6].notes = HOSTILE_MARKUP;
    bp_findings_add(&made->planned.sets[0].summary.findings, "gap", BP_RESERVATION, 1.0, "a gap of 0.4 s");
    bp_arena_init(&made->arena);
    assert_int_equal(bp_survey_block(&made->planned.block, NULL, &made->arena, &made->survey, NULL), BP_OK);
}

void hostile_free(struct hostile *made)
{
    bp_arena_free(&made->arena);
}

const char *record_read(const char *text, struct record *record)
{
    bool quoted = false;
    size_t length = 0;
    record->count = 0;
    for (;; text++) {
        if (quoted && text[0] == '"' && text[1] == '"') {
            record->cells[record->count][length++] = *++text;
        } else if (*text == '"') {
            quoted = !quoted;
        } else if (*text == '\0' || (!quoted && (*text == ',' || *text == '\n'))) {
            record->cells[record->count++][length] = '\0';
            length = 0;
            if (*text != ',') {
                return *text == '\0' ? text : text + 1;
            }
        } else {
            record->cells[record->count][length++] = *text;
        }
        assert_true(record->count < RECORD_CELLS && length < RECORD_BYTES);
    }
}

const char *record_cell(const struct record *names, const struct record *record, const char *name)
{
    for (size_t i = 0; i < names->count; i++) {
        if (strcmp(names->cells[i], name) == 0) {
            return record->cells[i];
        }
    }
    return NULL;
}
