/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Archives, made for each test with libarchive's writer: read like the folder they hold, or, where they are
 * hostile, refused with the reason and within the limits.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/failing_alloc.h"
#include "import/failing_import.h"
#include "import/packed.h"

#include <archive_entry.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#define FORCE_HEADER "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n"
#define TURN_HEADER "time (s),gx (rad/s),gy (rad/s),gz (rad/s)\n"

/* The gyroscope begins a little earlier than the accelerometer. */
#define FORCE_START 0.02
#define TURN_START 0.007

/* A sensor's rows at rate_hz from t0 on. */
static void log_text(struct bp_text *text, const char *header, bool turn, double t0, double rate_hz,
                     size_t rows)
{
    bp_text_init(text);
    bp_text_put(text, header);
    for (size_t i = 0; i < rows; i++) {
        double t = t0 + (double)i / rate_hz, v[3];
        if (turn) {
            motion_turn(t, v);
        } else {
            motion_force(t, true, v);
        }
        bp_text_put_number(text, t, 6);
        for (int a = 0; a < 3; a++) {
            bp_text_put_char(text, ',');
            bp_text_put_number(text, v[a], 9);
        }
        bp_text_put_char(text, '\n');
    }
}

static void pack_log(struct packed *p, const char *name, bool turn, double t0, double rate_hz, size_t rows)
{
    struct bp_text text;
    log_text(&text, turn ? TURN_HEADER : FORCE_HEADER, turn, t0, rate_hz, rows);
    pack_file(p, name, text.data, text.length);
    bp_text_free(&text);
}

static void pack_two_sensors(struct packed *p, enum pack pack, const char *folder)
{
    char name[128];
    pack_begin(p, pack);
    snprintf(name, sizeof name, "%sAccelerometer.csv", folder);
    pack_log(p, name, false, FORCE_START, 50.0, 100);
    snprintf(name, sizeof name, "%sGyroscope.csv", folder);
    pack_log(p, name, true, TURN_START, 80.0, 200);
    pack_end(p);
}

/* ---- read ---- */

static void import_reads_zip_tar_and_tar_gz_as_the_folder_they_hold(void **state)
{
    static const enum pack packs[] = {ZIP, TAR, TAR_GZ};
    static const char *const folders[] = {"", "Set 3/", "a/b/"};
    struct imported *in = *state;
    for (size_t i = 0; i < 9; i++) {
        struct packed p;
        pack_two_sensors(&p, packs[i % 3], folders[i / 3]);
        if (read_packed(in, &p) != BP_OK) {
            fail_msg("%s", in->error.text);
        }
        support_moves(&in->trace, 100, 50.0, FORCE_START, 1.0, 6e-9);
        support_turns(&in->trace, FORCE_START, 2.0e-5);
        assert_non_null(strstr(in->trace.recognised.container, "archive: Accelerometer.csv, Gyroscope.csv"));
        free(p.bytes);
    }
}

static void import_states_the_error_of_merging_two_clocks(void **state)
{
    struct imported *in = *state;
    struct packed p;
    double worst = 0.0, said;
    pack_two_sensors(&p, ZIP, "");
    assert_int_equal(read_packed(in, &p), BP_OK);
    free(p.bytes);
    const struct bp_finding *merged = support_finding(&in->trace, "merged");
    assert_non_null(merged);
    assert_int_equal(merged->severity, BP_NOTE);
    const char *off = strstr(merged->text, "off by ");
    assert_non_null(off);
    assert_true(bp_number_read(off + 7, strlen(off + 7), '.', &said) > 0);
    for (size_t i = 0; i < in->trace.count; i++) {
        double should[3];
        motion_turn(FORCE_START + in->trace.time_s[i], should);
        for (int a = 0; a < 3; a++) {
            worst = fmax(worst, fabs(in->trace.turn[a][i] - should[a]));
        }
    }
    assert_true(said >= worst * 0.95); /* its six decimals round it */
    assert_true(said <= worst * 1.5 + 1e-6);
    assert_non_null(strstr(merged->text, "elapsed time"));
}

static void import_reads_the_zip_named_csv_with_streamed_sizes_and_folders(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "25-zip-named.CSV"), BP_OK);
    support_moves(&in->trace, 60, 50.0, FORCE_START, 1.0, 6e-9);
    support_turns(&in->trace, FORCE_START, 1.3e-5);
}

static void import_reads_a_gzipped_log_like_the_log(void **state)
{
    struct imported *in = *state;
    struct packed p;
    pack_begin(&p, GZ);
    pack_log(&p, "data", false, 0.0, 100.0, 5000); /* more than a block */
    pack_end(&p);
    assert_int_equal(read_packed(in, &p), BP_OK);
    support_moves(&in->trace, 5000, 100.0, 0.0, 1.0, 6e-9);
    assert_string_equal(in->trace.recognised.container, "archive: CSV, separator ','");
    free(p.bytes);
}

static void import_reads_the_only_file_of_an_archive_whatever_its_name(void **state)
{
    static const char *const names[] = {"set 3.csv", "deep/er/log", "notes.TXT"};
    struct imported *in = *state;
    for (size_t i = 0; i < 3; i++) {
        struct packed p;
        pack_begin(&p, ZIP);
        pack_file(&p, "__MACOSX/._set 3.csv", "\0\5", 2);
        pack_file(&p, ".hidden.csv", "x", 1);
        pack_file(&p, "picture.jpeg", "x", 1);
        pack_file(&p, "Annotation.csv", "", 0);
        pack_log(&p, names[i], false, 0.0, 100.0, 300);
        pack_end(&p);
        assert_int_equal(read_packed(in, &p), BP_OK);
        support_moves(&in->trace, 300, 100.0, 0.0, 1.0, 6e-9);
        free(p.bytes);
    }
}

static void import_finds_sensors_by_their_headers_where_names_say_nothing(void **state)
{
    struct imported *in = *state;
    struct packed p;
    pack_begin(&p, ZIP);
    pack_log(&p, "log1.csv", true, TURN_START, 80.0, 200);
    pack_log(&p, "log2.csv", false, FORCE_START, 50.0, 100);
    pack_file(&p, "readme.txt", "nothing here\n", 13);
    pack_end(&p);
    assert_int_equal(read_packed(in, &p), BP_OK);
    support_moves(&in->trace, 100, 50.0, FORCE_START, 1.0, 6e-9);
    support_turns(&in->trace, FORCE_START, 2.0e-5);
    free(p.bytes);
    pack_begin(&p, ZIP);
    pack_log(&p, "log1.csv", false, 0.0, 50.0, 100);
    pack_log(&p, "log2.csv", false, 0.0, 50.0, 100);
    pack_end(&p);
    refuse_packed(in, &p, BP_ERR_FORMAT, "both 'log1.csv' and 'log2.csv' hold acceleration");
}

static void import_says_which_of_several_folders_it_read(void **state)
{
    struct imported *in = *state;
    struct packed p;
    pack_begin(&p, ZIP);
    pack_log(&p, "set 2/Accelerometer.csv", false, 1.0, 50.0, 100);
    pack_log(&p, "set 1/Accelerometer.csv", false, 0.0, 50.0, 100);
    pack_log(&p, "set 1/meta/other.csv", false, 5.0, 50.0, 100);
    pack_end(&p);
    assert_int_equal(read_packed(in, &p), BP_OK);
    support_moves(&in->trace, 100, 50.0, 0.0, 1.0, 6e-9);
    const struct bp_finding *more = support_finding(&in->trace, "more-recordings");
    assert_non_null(more);
    assert_int_equal(more->severity, BP_RESERVATION);
    assert_non_null(strstr(more->text, "set 2"));
    free(p.bytes);
}

static void write_file(const char *path, const char *bytes, size_t count)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, count, file), count);
    assert_int_equal(fclose(file), 0);
}

static void import_reads_packed_files_in_a_folder_and_archives_by_path(void **state)
{
    struct imported *in = *state;
    char folder[] = "/tmp/barplumb-archive-XXXXXX", path[3][128];
    struct packed p;
    assert_non_null(mkdtemp(folder));
    snprintf(path[0], sizeof path[0], "%s/Accelerometer.csv.gz", folder);
    snprintf(path[1], sizeof path[1], "%s/Gyroscope.csv.gz", folder);
    snprintf(path[2], sizeof path[2], "%s/all.zip", folder);
    for (int i = 0; i < 2; i++) {
        pack_begin(&p, GZ);
        pack_log(&p, "data", i == 1, i == 1 ? TURN_START : FORCE_START, i == 1 ? 80.0 : 50.0,
                 i == 1 ? 200 : 100);
        pack_end(&p);
        write_file(path[i], p.bytes, p.count);
        free(p.bytes);
    }
    pack_two_sensors(&p, ZIP, "x/");
    write_file(path[2], p.bytes, p.count);
    free(p.bytes);
    assert_int_equal(support_path(in, folder), BP_OK);
    support_moves(&in->trace, 100, 50.0, FORCE_START, 1.0, 6e-9);
    support_turns(&in->trace, FORCE_START, 2.0e-5);
    assert_int_equal(support_path(in, path[2]), BP_OK);
    support_turns(&in->trace, FORCE_START, 2.0e-5);
    assert_int_equal(truncate(path[1], 300), 0);
    support_path(in, folder);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "damaged");
    assert_non_null(strstr(in->error.path, "/Gyroscope.csv.gz"));
    for (int i = 0; i < 3; i++) {
        remove(path[i]);
    }
    rmdir(folder);
}

/* Reads p's bytes from standard input, which gives them piece by piece and never says how many there are. */
/* log: a struct packed. */
static enum bp_code read_piped(struct imported *in, const void *log)
{
    const struct packed *p = log;
    int ends[2], input = dup(STDIN_FILENO);
    assert_int_equal(pipe(ends), 0);
    pid_t writer = fork();
    assert_true(writer >= 0);
    if (writer == 0) {
        close(ends[0]);
        for (size_t at = 0; at < p->count;) {
            ssize_t n = write(ends[1], p->bytes + at, p->count - at);
            if (n <= 0) {
                _exit(1);
            }
            at += (size_t)n;
        }
        _exit(0);
    }
    close(ends[1]);
    dup2(ends[0], STDIN_FILENO);
    close(ends[0]);
    enum bp_code code = support_path(in, "-");
    dup2(input, STDIN_FILENO);
    close(input);
    waitpid(writer, NULL, 0);
    return code;
}

static void import_reads_an_archive_from_a_pipe(void **state)
{
    struct imported *in = *state;
    struct packed p;
    pack_two_sensors(&p, ZIP, "");
    assert_int_equal(read_piped(in, &p), BP_OK);
    support_turns(&in->trace, FORCE_START, 2.0e-5);
    free(p.bytes);
    pack_begin(&p, ZIP_STORED);
    pack_log(&p, "log.csv", false, 0.0, 100.0, 20000);
    pack_end(&p);
    assert_true(p.count > 600000); /* larger than the first guesses at its size */
    assert_int_equal(read_piped(in, &p), BP_OK);
    support_moves(&in->trace, 20000, 100.0, 0.0, 1.0, 6e-9);
    in->settings.archive_bytes_max = 500000;
    read_piped(in, &p);
    support_refused(in, BP_ERR_LIMIT, 0, 0, "allowed for an archive");
    in->settings.archive_bytes_max = 0;
    assert_true(failing_import(read_piped, &p, 200) > 3);
    free(p.bytes);
}

static void import_reads_an_archive_in_an_archive_to_the_allowed_depth(void **state)
{
    struct imported *in = *state;
    struct packed inner, outer;
    pack_two_sensors(&inner, TAR_GZ, "");
    pack_begin(&outer, ZIP);
    pack_file(&outer, "set.tar.gz", inner.bytes, inner.count);
    pack_end(&outer);
    free(inner.bytes);
    assert_int_equal(read_packed(in, &outer), BP_OK); /* zip, gzip, tar: three */
    support_turns(&in->trace, FORCE_START, 2.0e-5);
    in->settings.archive_depth_max = 2;
    refuse_packed(in, &outer, BP_ERR_LIMIT, "more deeply");
}

/* Of the importer's own allocations; the library's fail in ways it tells itself. */
static void import_reports_memory_whichever_allocation_fails_on_an_archive(void **state)
{
    struct packed p;
    bool failed = true;
    (void)state;
    pack_begin(&p, ZIP);
    pack_log(&p, "Accelerometer.csv", false, 0.0, 50.0, 4000); /* more than the first piece */
    pack_log(&p, "Gyroscope.csv", true, 0.0, 50.0, 4000);
    pack_end(&p);
    char path[] = "/tmp/barplumb-archive-XXXXXX";
    int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(write(file, p.bytes, p.count), (ssize_t)p.count);
    close(file);
    free(p.bytes);
    for (size_t n = 0; failed && n < 200; n++) {
        void *fresh;
        support_setup(&fresh);
        struct imported *in = fresh;
        failing_alloc_arm(n);
        enum bp_code code = support_path(in, path);
        failed = failing_alloc_disarm();
        if (failed) {
            support_refused(in, BP_ERR_MEMORY, 0, 0, "memory");
        } else {
            assert_int_equal(code, BP_OK);
        }
        support_teardown(&fresh);
    }
    assert_false(failed);
    unlink(path);
}

/* ---- hostile ---- */

static void import_refuses_names_that_lead_out(void **state)
{
    static const char *const names[] = {"../Accelerometer.csv",   "a/../../Accelerometer.csv",
                                        "/etc/Accelerometer.csv", "..\\Accelerometer.csv",
                                        "C:\\Accelerometer.csv",  "..",
                                        "\\Accelerometer.csv",    "a/.."};
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        struct packed p;
        pack_begin(&p, i % 2 == 0 ? ZIP : TAR);
        pack_log(&p, names[i], false, 0.0, 50.0, 100);
        pack_end(&p);
        refuse_packed(in, &p, BP_ERR_FORMAT, "leads out");
    }
}

/* Names that only look as if they led out, folders, hidden files: no reason to refuse. */
static void import_takes_harmless_names(void **state)
{
    struct imported *in = *state;
    struct packed p;
    pack_begin(&p, TAR);
    pack_entry(&p, "a..b/", AE_IFDIR, NULL, NULL, 0);
    pack_entry(&p, "a..b/..c/", AE_IFDIR, NULL, NULL, 0);
    pack_file(&p, "a..b/.csv", "x", 1);
    pack_file(&p, "a..b/Orientation.csv", "x", 1);
    pack_file(&p, "a..b/Magnetometer", "x", 1);
    pack_log(&p, "a..b/Accelerometer.csv", false, 0.0, 50.0, 100);
    pack_log(&p, "a..b/Gyroscope.csv", true, 0.0, 50.0, 100);
    pack_log(&p, "a..b/x./Accelerometer.csv", false, 9.0, 50.0, 100);
    pack_end(&p);
    assert_int_equal(read_packed(in, &p), BP_OK);
    support_moves(&in->trace, 100, 50.0, 0.0, 1.0, 6e-9);
    support_turns(&in->trace, 0.0, 6e-9);
    assert_non_null(support_finding(&in->trace, "attitude-ignored"));
    assert_null(support_finding(&in->trace, "merged")); /* the same times: nothing lies between */
    free(p.bytes);
}

static void import_refuses_links_and_devices(void **state)
{
    static const struct {
        unsigned type;
        const char *link;
    } entries[] = {{AE_IFLNK, "/etc/passwd"},
                   {AE_IFREG, "Accelerometer.csv"},
                   {AE_IFCHR, NULL},
                   {AE_IFBLK, NULL},
                   {AE_IFIFO, NULL}};
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++) {
        struct packed p;
        pack_begin(&p, TAR);
        pack_log(&p, "Accelerometer.csv", false, 0.0, 50.0, 100);
        pack_entry(&p, "Gyroscope.csv", entries[i].type, entries[i].link, NULL, 0);
        pack_end(&p);
        refuse_packed(in, &p, BP_ERR_FORMAT, "a link or a device");
        assert_non_null(strstr(in->error.text, "Gyroscope.csv"));
    }
    struct packed p;
    pack_begin(&p, ZIP);
    pack_log(&p, "Accelerometer.csv", false, 0.0, 50.0, 100);
    pack_entry(&p, "Gyroscope.csv", AE_IFLNK, "/etc/passwd", NULL, 0);
    pack_end(&p);
    refuse_packed(in, &p, BP_ERR_FORMAT, "a link or a device");
}

static void import_refuses_encrypted_archives(void **state)
{
    struct imported *in = *state;
    struct packed p;
    pack_begin(&p, ZIP_ENCRYPTED);
    pack_log(&p, "Accelerometer.csv", false, 0.0, 50.0, 100);
    pack_end(&p);
    refuse_packed(in, &p, BP_ERR_FORMAT, "encrypted");
}

static void import_refuses_a_bomb_before_it_has_unpacked(void **state)
{
    enum { MEGABYTE = 1 << 20 };
    struct imported *in = *state;
    char *zeros = calloc(1, MEGABYTE);
    static const enum pack packs[] = {ZIP, TAR_GZ, GZ};
    assert_non_null(zeros);
    memset(zeros, '0', MEGABYTE);
    for (size_t i = 0; i < 3; i++) {
        struct packed p;
        pack_begin(&p, packs[i]);
        for (int k = 0; k < (packs[i] == GZ ? 1 : 64); k++) {
            char name[32];
            snprintf(name, sizeof name, "log%d.csv", k);
            pack_file(&p, name, zeros, MEGABYTE);
        }
        if (packs[i] == GZ) {
            for (int k = 1; k < 64; k++) {
                assert_int_equal(archive_write_data(p.writer, zeros, MEGABYTE), MEGABYTE);
            }
        }
        pack_end(&p);
        assert_true(p.count < 300000); /* a bomb: 1 to 200 and more */
        in->settings.archive_bytes_max = 10 * MEGABYTE;
        refuse_packed(in, &p, BP_ERR_LIMIT, "larger than the limit");
    }
    free(zeros);
}

static void import_holds_to_the_limits_of_archives(void **state)
{
    struct imported *in = *state;
    struct packed p;
    pack_two_sensors(&p, ZIP, "");
    in->settings.archive_entries_max = 1;
    read_packed(in, &p);
    support_refused(in, BP_ERR_LIMIT, 0, 0, "more files");
    in->settings.archive_entries_max = 2;
    assert_int_equal(read_packed(in, &p), BP_OK);
    in->settings.archive_bytes_max = p.count - 1;
    read_packed(in, &p);
    support_refused(in, BP_ERR_LIMIT, 0, 0, "allowed for an archive");
    free(p.bytes);
    in->settings = bp_import_defaults;
    pack_begin(&p, ZIP);
    for (int i = 0; i < 300; i++) {
        char name[32];
        snprintf(name, sizeof name, "log%d.csv", i);
        pack_file(&p, name, "1\n", 2);
    }
    pack_end(&p);
    read_packed(in, &p);
    support_refused(in, BP_ERR_LIMIT, 0, 0, "256 files");
    free(p.bytes);
}

static void import_unpacks_gzip_in_gzip_only_so_deep(void **state)
{
    struct imported *in = *state;
    struct packed p, outer;
    pack_begin(&p, GZ);
    pack_log(&p, "data", false, 0.0, 50.0, 100);
    pack_end(&p);
    for (int layer = 2; layer <= 6; layer++) {
        pack_begin(&outer, GZ);
        pack_file(&outer, "data", p.bytes, p.count);
        pack_end(&outer);
        free(p.bytes);
        p = outer;
        read_packed(in, &p);
        if (layer <= 3) {
            assert_int_equal(in->code, BP_OK);
        } else {
            support_refused(in, BP_ERR_LIMIT, 0, 0, "more deeply");
        }
    }
    free(p.bytes);
}

/* Cut anywhere, or with any byte turned: refused, or read as it was; never half of it. */
static void import_never_reads_a_part_of_a_damaged_archive(void **state)
{
    static const enum pack packs[] = {ZIP, TAR_GZ, GZ};
    struct imported *in = *state;
    for (size_t k = 0; k < 3; k++) {
        struct packed p;
        size_t refused = 0, tried = 0;
        pack_begin(&p, packs[k]);
        pack_log(&p, "Accelerometer.csv", false, 0.0, 50.0, 100);
        pack_end(&p);
        size_t whole = p.count;
        for (size_t cut = 1; cut < whole; cut += 7, tried++) {
            p.count = cut;
            if (read_packed(in, &p) == BP_OK) {
                support_moves(&in->trace, 100, 50.0, 0.0, 1.0, 6e-9);
            }
            refused += in->code != BP_OK;
        }
        p.count = whole;
        for (size_t at = 0; at < whole; at += 5, tried++) {
            p.bytes[at] = (char)(p.bytes[at] ^ 0x10);
            if (read_packed(in, &p) == BP_OK) {
                support_moves(&in->trace, 100, 50.0, 0.0, 1.0, 6e-9);
            }
            refused += in->code != BP_OK;
            p.bytes[at] = (char)(p.bytes[at] ^ 0x10);
        }
        assert_true(refused * 2 > tried);
        free(p.bytes);
    }
}

/* What a Mac packs beside the files, and hidden ones. */
static void import_passes_over_resource_forks_and_hidden_files(void **state)
{
    struct imported *in = *state;
    struct packed p;
    pack_begin(&p, ZIP);
    pack_file(&p, "__MACOSX/._log.csv", "x", 1);
    pack_file(&p, ".log.csv", "x", 1);
    pack_log(&p, "log.csv", false, 0.0, 50.0, 100);
    pack_end(&p);
    assert_int_equal(read_packed(in, &p), BP_OK);
    support_moves(&in->trace, 100, 50.0, 0.0, 1.0, 6e-9);
    free(p.bytes);
}

static void import_says_that_an_archive_without_a_log_has_none(void **state)
{
    struct imported *in = *state;
    struct packed p;
    pack_begin(&p, ZIP);
    pack_file(&p, "picture.jpeg", "x", 1);
    pack_end(&p);
    refuse_packed(in, &p, BP_ERR_FORMAT, "no file in the archive");
    pack_begin(&p, ZIP);
    pack_end(&p);
    refuse_packed(in, &p, BP_ERR_FORMAT, "no file in the archive");
    pack_begin(&p, ZIP);
    pack_file(&p, "log.csv", "RIFF....WAVEfmt ", 16);
    pack_end(&p);
    refuse_packed(in, &p, BP_ERR_FORMAT, "from a file only");
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_reads_zip_tar_and_tar_gz_as_the_folder_they_hold),
        FRESH(import_states_the_error_of_merging_two_clocks),
        FRESH(import_reads_the_zip_named_csv_with_streamed_sizes_and_folders),
        FRESH(import_reads_a_gzipped_log_like_the_log),
        FRESH(import_reads_the_only_file_of_an_archive_whatever_its_name),
        FRESH(import_finds_sensors_by_their_headers_where_names_say_nothing),
        FRESH(import_says_which_of_several_folders_it_read),
        FRESH(import_reads_packed_files_in_a_folder_and_archives_by_path),
        FRESH(import_reads_an_archive_from_a_pipe),
        FRESH(import_reads_an_archive_in_an_archive_to_the_allowed_depth),
        FRESH(import_refuses_names_that_lead_out),
        FRESH(import_takes_harmless_names),
        FRESH(import_reports_memory_whichever_allocation_fails_on_an_archive),
        FRESH(import_refuses_links_and_devices),
        FRESH(import_refuses_encrypted_archives),
        FRESH(import_refuses_a_bomb_before_it_has_unpacked),
        FRESH(import_holds_to_the_limits_of_archives),
        FRESH(import_unpacks_gzip_in_gzip_only_so_deep),
        FRESH(import_never_reads_a_part_of_a_damaged_archive),
        FRESH(import_passes_over_resource_forks_and_hidden_files),
        FRESH(import_says_that_an_archive_without_a_log_has_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
