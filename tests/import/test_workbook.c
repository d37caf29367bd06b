/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Workbooks: those of two general-purpose libraries are read like the table they hold, and so is what is
 * written by hand here; what is hostile is refused with the reason and within the limits.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/failing_alloc.h"
#include "import/failing_import.h"
#include "import/packed.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What stands around the sheets. */
#define BOOK_OF(sheets)                                                                                      \
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?><workbook xmlns=\"m\" xmlns:r=\"r\"><sheets>" sheets          \
    "</sheets></workbook>"
#define SHEET_OF(name, id) "<sheet name=\"" name "\" sheetId=\"1\" r:id=\"" id "\"/>"
#define LINKS_OF(links) "<Relationships xmlns=\"l\">" links "</Relationships>"
#define LINK_OF(id, target) "<Relationship Id=\"" id "\" Type=\"t\" Target=\"" target "\"/>"

static const char one_sheet[] = BOOK_OF(SHEET_OF("Log", "rId1"));
static const char one_link[] = LINKS_OF(LINK_OF("rId1", "worksheets/sheet1.xml"));

static void put_number_cell(struct bp_text *text, const char *name, double value)
{
    bp_text_put(text, name);
    bp_text_put_number(text, value, 9);
    bp_text_put(text, "</v></c>");
}

/* Cells and rows without names stand one behind the other. */
static void sheet_text(struct bp_text *text, const char *first_rows, size_t rows)
{
    bp_text_init(text);
    bp_text_put(text, "<worksheet xmlns=\"m\"><sheetData>");
    bp_text_put(text, first_rows);
    for (size_t i = 0; i < rows; i++) {
        double t = (double)i / 50.0, f[3];
        motion_force(t, true, f);
        bp_text_put(text, "<row>");
        put_number_cell(text, "<c><v>", t);
        for (int a = 0; a < 3; a++) {
            put_number_cell(text, "<c t=\"n\" s=\"2\"><f>A1*2</f><v>", f[a]);
        }
        bp_text_put(text, "</row>");
    }
    bp_text_put(text, "</sheetData></worksheet>");
}

static void pack_text(struct packed *p, const char *name, const char *text)
{
    pack_file(p, name, text, strlen(text));
}

/* A workbook of these parts; NULL: without. The sheet stands first, as in no order. */
static void pack_book(struct packed *p, const char *sheet, const char *strings, const char *links,
                      const char *book)
{
    static const char *const names[] = {"xl/worksheets/sheet1.xml", "xl/sharedStrings.xml",
                                        "xl/_rels/workbook.xml.rels", "xl/workbook.xml"};
    const char *parts[] = {sheet, strings, links, book};
    pack_begin(p, ZIP);
    pack_text(p, "[Content_Types].xml", "<Types/>");
    for (size_t i = 0; i < 4; i++) {
        if (parts[i] != NULL) {
            pack_text(p, names[i], parts[i]);
        }
    }
    pack_end(p);
}

static enum bp_code read_sheet(struct imported *in, const char *first_rows, const char *strings)
{
    struct packed p;
    struct bp_text sheet;
    sheet_text(&sheet, first_rows, 60);
    pack_book(&p, sheet.data, strings, one_link, one_sheet);
    bp_text_free(&sheet);
    read_packed(in, &p);
    free(p.bytes);
    return in->code;
}

static void refuse_book(struct imported *in, const char *sheet, const char *strings, const char *links,
                        const char *book, const char *part)
{
    struct packed p;
    pack_book(&p, sheet, strings, links, book);
    refuse_packed(in, &p, BP_ERR_FORMAT, part);
}

#define TEXT_CELL(text) "<c t=\"inlineStr\"><is><t>" text "</t></is></c>"
#define HEADER                                                                                               \
    "<row>" TEXT_CELL("time (s)") TEXT_CELL("ax (m/s^2)") TEXT_CELL("ay (m/s^2)")                            \
        TEXT_CELL("az (m/s^2)") "</row>"

/* ---- read ---- */

/* Outside check: written by openpyxl 3.0.9 (texts shared) and XlsxWriter 3.0.2. */
static void import_reads_a_workbook_of_one_log_beside_other_sheets(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "26-workbook.xlsx"), BP_OK);
    support_moves(&in->trace, 60, 50.0, 0.0, 1.0, 6e-9);
    support_turns(&in->trace, 0.0, 6e-9);
    assert_string_equal(in->trace.recognised.container, "workbook: Raw data");
}

static void import_reads_a_workbook_of_a_sheet_a_sensor_with_dates_for_times(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "27-workbook-sheet-a-sensor.xlsx"), BP_OK);
    assert_int_equal(in->trace.count, 60);
    /* a day's fraction holds 16 digits: 0.6 µs of a date of our days */
    support_moves(&in->trace, 60, 50.0, 0.02, 1.0, 2e-5);
    support_turns(&in->trace, 0.02, 2e-5);
    assert_string_equal(in->trace.recognised.container, "workbook: Accelerometer, Gyroscope");
}

static void import_reads_cells_by_their_place_and_their_type(void **state)
{
    static const char *const headers[] = {
        HEADER,
        /* shared texts, with a reading aid and pieces of other fonts */
        "<row r=\"1\"><c r=\"A1\" t=\"s\"><v>1</v></c><c r=\"B1\" t=\"s\"><v>2</v></c>"
        "<c r=\"C1\" t=\"s\"><v>3</v></c><c r=\"D1\" t=\"s\"><v>0</v></c></row>",
        /* a formula's text, and a preface wider than the rows, lower down */
        "<row r=\"3\"><c r=\"A3\" t=\"str\"><f>\"t\"</f><v>time (s)</v></c>" TEXT_CELL("ax (m/s^2)")
            TEXT_CELL("ay\n(m/s^2)") TEXT_CELL("az&#9;(m/s^2)") "</row>",
        /* a reading aid in the cell itself */
        "<row>" TEXT_CELL("time (s)") "<c t=\"inlineStr\"><is><t>ax "
                                      "(m/s^2)</t><rPh><t>aid</t></rPh></is></c>" TEXT_CELL("ay (m/s^2)")
                                          TEXT_CELL("az (m/s^2)") "</row>",
        /* a namespace's letters */
        "<x:row r=\"2\"><x:c r=\"A2\" t=\"str\"><x:v>time (s)</x:v></x:c><x:c t=\"str\"><x:v>ax "
        "(m/s^2)</x:v></x:c>"
        "<x:c t=\"str\"><x:v>ay (m/s^2)</x:v></x:c><x:c t=\"str\"><x:v>az (m/s^2)</x:v></x:c></x:row>",
    };
    static const char strings[] =
        "<sst><si><t>az (m/s^2)</t></si><si><r><t>time </t></r><r><t>(s)</t></r></si>"
        "<si><t>ax (m/s^2)</t><rPh sb=\"0\"><t>aid</t></rPh></si><si><t>ay (m/s^2)</t></si></sst>";
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof headers / sizeof headers[0]; i++) {
        if (read_sheet(in, headers[i], strings) != BP_OK) {
            fail_msg("%zu: %s", i, in->error.text);
        }
        support_moves(&in->trace, 60, 50.0, 0.0, 1.0, 6e-9);
        assert_string_equal(in->trace.recognised.container, "workbook: Log");
    }
}

static void import_takes_an_empty_cell_or_an_error_for_no_number(void **state)
{
    static const char *const cells[] = {"<c/>", "<c t=\"e\"><v>#N/A</v></c>", "<c t=\"s\"/>"};
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof cells / sizeof cells[0]; i++) {
        char rows[1024];
        snprintf(rows, sizeof rows,
                 HEADER "<row><c><v>-0.04</v></c><c><v>0</v></c><c><v>0</v></c><c><v>9.8</v></c></row>"
                        "<row><c><v>-0.02</v></c>%s<c><v>0</v></c><c><v>9.8</v></c></row>",
                 cells[i]);
        assert_int_equal(read_sheet(in, rows, NULL), BP_OK);
        assert_int_equal(in->trace.count, 62);
        assert_non_null(support_finding(&in->trace, "sparse"));
        assert_true(fabs(in->trace.force[0][1]) < 1e-9); /* by a straight line between its neighbours */
    }
}

/* The line of a cell that is no number is its row in the sheet, empty ones counted. */
static void import_names_the_sheet_and_the_row_at_fault(void **state)
{
    struct imported *in = *state;
    char rows[4096];
    size_t n = (size_t)snprintf(rows, sizeof rows,
                                "<row r=\"5\"><c r=\"A5\" t=\"str\"><v>time</v></c>" TEXT_CELL("ax")
                                    TEXT_CELL("ay") TEXT_CELL("az") "</row>");
    for (int i = 0; i < 20; i++) {
        n += (size_t)snprintf(rows + n, sizeof rows - n,
                              "<row r=\"%d\"><c><v>%.2f</v></c><c><v>0</v></c><c t=\"str\"><v>%s</v></c>"
                              "<c><v>9.8</v></c></row>",
                              9 + i, -1.0 + 0.02 * i, i < 10 ? "0" : "none");
    }
    assert_int_equal(read_sheet(in, rows, NULL), BP_ERR_NUMBER);
    assert_int_equal(in->error.line, 19);
    assert_int_equal(in->error.column, 3);
    assert_non_null(strstr(in->error.path, "/Log"));
}

static void import_reads_a_workbook_in_an_archive(void **state)
{
    struct imported *in = *state;
    struct packed p, outer;
    struct bp_text sheet;
    sheet_text(&sheet, HEADER, 60);
    pack_book(&p, sheet.data, NULL, one_link, one_sheet);
    bp_text_free(&sheet);
    pack_begin(&outer, TAR);
    pack_file(&outer, "set 3.xlsx", p.bytes, p.count);
    pack_end(&outer);
    free(p.bytes);
    assert_int_equal(read_packed(in, &outer), BP_OK);
    support_moves(&in->trace, 60, 50.0, 0.0, 1.0, 6e-9);
    free(outer.bytes);
}

/* Other elements, links to other things, sheets without a name, and a name that looks like a path. */
static void import_passes_over_what_else_a_workbook_holds(void **state)
{
    static const char book[] = BOOK_OF(
        "<view name=\"x\" r:id=\"rId1\"/><sheet r:id=\"rId1\"/><sheet name=\"x\"/>" SHEET_OF("Chart", "rId9")
            SHEET_OF("Set 1/2.5", "rId1"));
    static const char links[] = LINKS_OF(
        "<Other Id=\"rId1\" Target=\"x\"/><Relationship Target=\"x\"/><Relationship Id=\"rId1\"/>"
        "<Relationship Id=\"rId1-but-much-longer-than-any-name-of-a-link-in-a-workbook-that-a-phone-wrote\" "
        "Target=\"x\"/>" LINK_OF("rId1", "/xl/worksheets/sheet1.xml"));
    struct imported *in = *state;
    struct packed p;
    struct bp_text sheet;
    sheet_text(&sheet, HEADER, 60);
    pack_begin(&p, ZIP);
    pack_text(&p, "xl/worksheets/_rels/sheet1.xml.rels", "<x/>");
    pack_text(&p, "xl/worksheets/a", "<x/>");
    pack_text(&p, "xl/worksheets/sheet1.bin", "<x/>");
    pack_text(&p, "xl/worksheets/sheet1.xml", sheet.data);
    pack_text(&p, "xl/_rels/workbook.xml.rels", links);
    pack_text(&p, "xl/workbook.xml", book);
    pack_end(&p);
    bp_text_free(&sheet);
    assert_int_equal(read_packed(in, &p), BP_OK);
    support_moves(&in->trace, 60, 50.0, 0.0, 1.0, 6e-9);
    assert_string_equal(in->trace.recognised.container, "workbook: Set 1_2_5");
    free(p.bytes);
}

/* A folder called as a workbook's, without its book, is a folder. */
static void import_takes_nothing_for_a_workbook_without_its_book(void **state)
{
    struct imported *in = *state;
    struct packed p;
    pack_begin(&p, ZIP);
    pack_text(&p, "xl/worksheets/sheet1.xml", "<broken");
    pack_text(&p, "log.csv", "t,x,y,z\n0,0,0,9.8\n0.02,0,0,9.8\n0.04,0,0,9.8\n0.06,0,0,9.8\n");
    pack_end(&p);
    assert_int_equal(read_packed(in, &p), BP_OK);
    assert_int_equal(in->trace.count, 4);
    free(p.bytes);
}

/* ---- refused ---- */

static void import_refuses_a_workbook_whose_parts_are_damaged(void **state)
{
    struct imported *in = *state;
    struct bp_text sheet;
    sheet_text(&sheet, HEADER, 60);
    refuse_book(in, "<worksheet><sheetData><row>", NULL, one_link, one_sheet, "sheet1.xml");
    refuse_book(in, sheet.data, "<sst><si>", one_link, one_sheet, "sharedStrings.xml");
    refuse_book(in, sheet.data, NULL, "<Relationships>", one_sheet, "workbook.xml.rels");
    refuse_book(in, sheet.data, NULL, one_link, "<workbook>", "'xl/workbook.xml'");
    refuse_book(in, sheet.data, NULL, one_link, BOOK_OF(SHEET_OF("A", "rId1") SHEET_OF("B", "rId1")),
                "sheet1.xml");
    bp_text_free(&sheet);
}

static void import_refuses_rows_and_cells_out_of_their_order_or_beyond_a_sheet(void **state)
{
    static const char *const rows[] = {
        "<row r=\"3\"/><row r=\"3\"/>",
        "<row r=\"0\"/>",
        "<row r=\"-1\"/>",
        "<row r=\"1048577\"/>",
        "<row r=\"99999999999999999999\"/>",
        "<row><c r=\"B1\"><v>1</v></c><c r=\"A1\"><v>1</v></c></row>",
        "<row><c r=\"XFE1\"><v>1</v></c></row>",
        "<row><c r=\"ZZZZZZZZZZZZZZZZZZZZ1\"><v>1</v></c></row>",
        "<row><c r=\"7\"><v>1</v></c></row>",
        "<row><c t=\"s\"><v>0</v></c></row>",
        "<c r=\"A1\"><v>1</v></c>",
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_not_equal(read_sheet(in, rows[i], NULL), BP_OK);
        support_refused(in, BP_ERR_FORMAT, 0, 0, "sheet1.xml");
    }
}

/* Entities that make more of themselves. */
static void import_refuses_a_document_type(void **state)
{
    struct imported *in = *state;
    refuse_book(in, "<!DOCTYPE x [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;&a;\">]><x>&b;</x>", NULL, one_link,
                one_sheet, "sheet1.xml");
}

static void import_says_that_a_workbook_without_a_log_has_none(void **state)
{
    static const char empty[] = "<worksheet><sheetData/></worksheet>";
    struct imported *in = *state;
    refuse_book(in, empty, NULL, one_link, one_sheet, "no sheet in the workbook");
    refuse_book(in, empty, NULL, NULL, one_sheet, "no sheet in the workbook");
    refuse_book(in, empty, NULL, LINKS_OF(LINK_OF("rId1", "/xl/charts/chart1.xml")), one_sheet,
                "no sheet in the workbook");
}

static void import_knows_other_spreadsheets_by_what_is_packed_in_them(void **state)
{
    static const char *const parts[] = {"xl/workbook.bin", "content.xml"};
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        struct packed p;
        pack_begin(&p, ZIP);
        pack_text(&p, parts[i], "<x/>");
        pack_end(&p);
        refuse_packed(in, &p, BP_ERR_FORMAT, ".xlsx");
    }
    support_bytes(in, "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1\0\0\0\0\0\0\0\0", 16);
    support_refused(in, BP_ERR_FORMAT, 0, 0, ".xlsx");
}

/* Shared texts: one, of so many bytes. */
static void one_long_string(struct bp_text *strings, size_t count)
{
    bp_text_init(strings);
    bp_text_put(strings, "<sst><si><t>");
    bp_text_fill(strings, 'x', count);
    bp_text_put(strings, "</t></si></sst>");
}

/* A long text named by every cell, empty cells without end, more sheets than there is room for. */
static void import_holds_a_workbook_to_the_limits_of_archives(void **state)
{
    struct imported *in = *state;
    struct packed p;
    struct bp_text sheet, strings;
    bp_text_init(&sheet);
    one_long_string(&strings, 10000);
    bp_text_put(&sheet, "<worksheet><sheetData><row>");
    for (int i = 0; i < 1000; i++) {
        bp_text_put(&sheet, "<c t=\"s\"><v>0</v></c>");
    }
    bp_text_put(&sheet, "</row></sheetData></worksheet>");
    pack_book(&p, sheet.data, strings.data, one_link, one_sheet);
    in->settings.archive_bytes_max = 1000000;
    refuse_packed(in, &p, BP_ERR_LIMIT, "written down");
    sheet.length = 0;
    bp_text_put(&sheet, "<worksheet><sheetData>");
    for (int i = 0; i < 100; i++) {
        bp_text_put(&sheet, "<row><c><v>1</v></c><c r=\"XFD1\"><v>1</v></c></row>");
    }
    bp_text_put(&sheet, "</sheetData></worksheet>");
    pack_book(&p, sheet.data, NULL, one_link, one_sheet);
    refuse_packed(in, &p, BP_ERR_LIMIT, "written down");
    bp_text_free(&sheet);
    bp_text_free(&strings);
    pack_begin(&p, ZIP);
    for (int i = 1; i <= 65; i++) {
        char name[64];
        snprintf(name, sizeof name, "xl/worksheets/sheet%d.xml", i);
        pack_text(&p, name, "<worksheet/>");
    }
    pack_end(&p);
    refuse_packed(in, &p, BP_ERR_LIMIT, "61 sheets");
    char name[256] = "xl/worksheets/";
    memset(name + strlen(name), 'x', 150);
    memcpy(name + 164, ".xml", 5);
    pack_begin(&p, ZIP);
    pack_text(&p, name, "<worksheet/>");
    pack_end(&p);
    refuse_packed(in, &p, BP_ERR_LIMIT, "sheets");
}

/* How many allocations it takes to refuse a row in which, behind cell `before`, cells name a text of 150,000
 * bytes; 200,000 may be written down. */
static size_t allocations_for(const char *before)
{
    struct packed p;
    struct bp_text sheet, strings;
    bp_text_init(&sheet);
    one_long_string(&strings, 150000);
    bp_text_put(&sheet, "<worksheet><sheetData>");
    for (int i = 0; i < 12; i++) { /* 16,384 cells each: 3,392 bytes are left */
        bp_text_put(&sheet, "<row><c r=\"XFD1\"><v>1</v></c></row>");
    }
    bp_text_put(&sheet, "<row><c><v>1</v></c>");
    bp_text_put(&sheet, before);
    for (int i = 0; i < 2000; i++) {
        bp_text_put(&sheet, "<c t=\"s\"><v>0</v></c>");
    }
    bp_text_put(&sheet, "</row></sheetData></worksheet>");
    pack_book(&p, sheet.data, strings.data, one_link, one_sheet);
    size_t parts = sheet.length + strings.length + strlen(one_link) + strlen(one_sheet), n = 0;
    enum bp_code code = BP_ERR_MEMORY;
    for (; code == BP_ERR_MEMORY && n < 500; n++) {
        void *state;
        support_setup(&state);
        struct imported *in = state;
        in->settings.archive_bytes_max = parts + 200000;
        failing_alloc_arm(n);
        code = support_bytes(in, p.bytes, p.count);
        failing_alloc_disarm();
        support_teardown(&state);
    }
    assert_int_equal(code, BP_ERR_LIMIT);
    free(p.bytes);
    bp_text_free(&sheet);
    bp_text_free(&strings);
    return n;
}

/* By empty cells in the middle of a row too: what comes behind them is not taken in first. */
static void import_holds_a_row_to_the_limits_however_it_passes_them(void **state)
{
    (void)state;
    size_t by_text = allocations_for(""), by_blanks = allocations_for("<c r=\"KAA1\"><v>1</v></c>");
    assert_true(by_blanks <= by_text + 1);
}

/* The XML parser's among them. */
static void import_reports_memory_whichever_allocation_fails_on_a_workbook(void **state)
{
    struct packed p;
    struct bp_text sheet;
    (void)state;
    sheet_text(&sheet,
               "<row><c t=\"s\"><v>0</v></c><c t=\"s\"><v>1</v></c><c t=\"s\"><v>2</v></c>"
               "<c t=\"s\"><v>3</v></c></row>",
               30);
    pack_book(&p, sheet.data,
              "<sst><si><t>time (s)</t></si><si><t>ax (m/s^2)</t></si><si><t>ay (m/s^2)</t></si>"
              "<si><t>az (m/s^2)</t></si></sst>",
              one_link, one_sheet);
    bp_text_free(&sheet);
    const struct failing_bytes log = {p.bytes, p.count};
    assert_true(failing_import(failing_read_bytes, &log, 2000) > 40);
    free(p.bytes);
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_reads_a_workbook_of_one_log_beside_other_sheets),
        FRESH(import_reads_a_workbook_of_a_sheet_a_sensor_with_dates_for_times),
        FRESH(import_reads_cells_by_their_place_and_their_type),
        FRESH(import_takes_an_empty_cell_or_an_error_for_no_number),
        FRESH(import_names_the_sheet_and_the_row_at_fault),
        FRESH(import_reads_a_workbook_in_an_archive),
        FRESH(import_passes_over_what_else_a_workbook_holds),
        FRESH(import_takes_nothing_for_a_workbook_without_its_book),
        FRESH(import_refuses_a_workbook_whose_parts_are_damaged),
        FRESH(import_refuses_rows_and_cells_out_of_their_order_or_beyond_a_sheet),
        FRESH(import_refuses_a_document_type),
        FRESH(import_says_that_a_workbook_without_a_log_has_none),
        FRESH(import_knows_other_spreadsheets_by_what_is_packed_in_them),
        FRESH(import_holds_a_workbook_to_the_limits_of_archives),
        FRESH(import_holds_a_row_to_the_limits_however_it_passes_them),
        FRESH(import_reports_memory_whichever_allocation_fails_on_a_workbook),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
