/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include "base/open.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static char folder[] = "/tmp/barplumb-open-XXXXXX";
static char pipe_path[64], file_path[64];

static int set_up(void **state)
{
    (void)state;
    assert_non_null(mkdtemp(folder));
    snprintf(pipe_path, sizeof pipe_path, "%s/pipe", folder);
    snprintf(file_path, sizeof file_path, "%s/file", folder);
    return mkfifo(pipe_path, 0600);
}

static int tear_down(void **state)
{
    (void)state;
    unlink(pipe_path);
    unlink(file_path);
    return rmdir(folder);
}

/* Writes text into path after a while, in a process of its own. */
static pid_t write_later(const char *path, const char *text)
{
    const struct timespec a_while = {0, 300000000L};
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        nanosleep(&a_while, NULL);
        int file = open(path, O_WRONLY);
        nanosleep(&a_while, NULL);
        _exit(file >= 0 && write(file, text, strlen(text)) == (ssize_t)strlen(text) ? 0 : 1);
    }
    return child;
}

static void expect_text(int file, const char *text)
{
    char got[32] = "";
    assert_true(file >= 0);
    assert_int_equal(read(file, got, sizeof got - 1), (ssize_t)strlen(text));
    assert_string_equal(got, text);
    assert_int_equal(read(file, got, 1), 0);
    close(file);
}

static void a_file_is_opened_and_read_blocking(void **state)
{
    (void)state;
    FILE *out = fopen(file_path, "w");
    assert_non_null(out);
    assert_true(fputs("text", out) >= 0);
    assert_int_equal(fclose(out), 0);
    int file = bp_open_to_read(file_path);
    assert_int_equal(fcntl(file, F_GETFL) & O_NONBLOCK, 0);
    expect_text(file, "text");
}

static void a_writer_that_comes_late_is_read_whole(void **state)
{
    (void)state;
    int status = 1;
    pid_t child = write_later(pipe_path, "late text");
    int file = bp_open_to_read(pipe_path);
    assert_true(file >= 0);
    assert_int_equal(fcntl(file, F_GETFL) & O_NONBLOCK, 0);
    expect_text(file, "late text");
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
}

static void a_pipe_nobody_writes_to_is_given_up_in_time(void **state)
{
    (void)state;
#if defined(__linux__)
    time_t start = time(NULL);
    errno = 0;
    assert_int_equal(bp_open_to_read(pipe_path), -1);
    assert_int_equal(errno, ETIMEDOUT);
    assert_true(time(NULL) - start >= BP_OPEN_WAIT_S - 1);
#else
    skip();
#endif
}

static void what_is_not_there_keeps_its_reason(void **state)
{
    (void)state;
    char path[80];
    snprintf(path, sizeof path, "%s/nothing", folder);
    errno = 0;
    assert_int_equal(bp_open_to_read(path), -1);
    assert_int_equal(errno, ENOENT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_file_is_opened_and_read_blocking),
        cmocka_unit_test(a_writer_that_comes_late_is_read_whole),
        cmocka_unit_test(a_pipe_nobody_writes_to_is_given_up_in_time),
        cmocka_unit_test(what_is_not_there_keeps_its_reason),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
