#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The program where files, pipes and limits are against it: what cannot be read, vanishes, never comes, or may not be
# written. usage: test_hostile_files.sh PROGRAM SIMULATE SOURCE_DIR
# shellcheck disable=SC2317 # the tests are called by name, at the end
set -uo pipefail
simulate=$2
rig=$3/fixtures/rigs/bench-chains.ini
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cp "$1" "$folder/barplumb" || exit 1 # where somebody without rights can run it too
cd "$folder" || exit 1
chmod 755 .
program=$folder/barplumb
unset NO_COLOR LC_ALL
"$simulate" --seed 11 --rate 25 --reps 2 --out bench.csv && "$simulate" --seed 11 --rate 25 --reps 1 --out bench.wav || exit 1
cp "$rig" rig.ini
"$program" set --format json bench.csv >wanted || exit 1
failures=0

fail() {
    printf 'FAILED %s: %s\n' "$test" "$1"
    failures=$((failures + 1))
}

# run STATUS ARGUMENT…: the program, its output in ./out and ./err; fails on another exit status, or after 20 s
run() {
    local wanted=$1 status=0
    shift
    timeout 20 "$program" "$@" >out 2>err </dev/null || status=$?
    [ "$status" -eq "$wanted" ] || fail "exit status $status instead of $wanted: $* ($(head -c 300 err))"
}

# What gcov, in a build that measures coverage, says of its own files is not the program's.
spoken() { grep -vE 'profiling error|^profiling:' "${1-err}"; }

# says TEXT: that one line and nothing else came
says() {
    [ ! -s out ] || fail "something on standard output: $(head -c 200 out)"
    [ "$(spoken)" = "$1" ] || fail "standard error has: $(cat err)"
}

old_report_stays() {
    [ "$(cat report)" = old ] || fail "the old report: $(head -c 100 report)"
    [ -z "$(find . -name '*.part*')" ] || fail "left behind: $(find . -name '*.part*')"
}

a_pipe_that_nobody_writes_to_is_refused_in_time() {
    mkfifo silent
    run 3 check silent
    says 'barplumb: silent: it is a pipe that nobody writes to'
    run 3 load silent
    says 'barplumb: silent: it is a pipe that nobody writes to'
}

a_pipe_is_read_whenever_its_writer_comes() {
    mkfifo late
    { sleep 1; cat bench.csv; } >late &
    run 0 set --format json late
    wait
    sed 's/"late"/"bench.csv"/' out | cmp - wanted || fail "another report from a pipe"
    (sleep 1; cat bench.csv >late) & # opened late, too
    run 0 set --format json late
    wait
    sed 's/"late"/"bench.csv"/' out | cmp - wanted || fail "another report from a pipe opened late"
    (sleep 1; cat rig.ini >late) &
    run 0 load late
    wait
    run 0 set --format json <(sleep 1; cat bench.csv)
    sed 's|"/dev/fd/[0-9]*"|"bench.csv"|' out | cmp - wanted || fail "another report from a shell's pipe"
}

a_pipe_in_place_of_out_is_written_or_given_up() {
    mkfifo reader unread
    cat reader >got &
    run 0 set --format json --out reader bench.csv
    wait
    cmp got wanted || fail "another report through a pipe"
    run 1 set --out unread bench.csv
    says 'barplumb: unread: it is a pipe that nobody reads'
}

a_log_may_go_while_it_is_read() {
    mkfifo going
    { sleep 0.5; rm going; cat bench.csv; } >going &
    run 0 set --format json going
    wait
    sed 's/"going"/"bench.csv"/' out | cmp - wanted || fail "another report"
    cp bench.csv gone.csv
    run 0 check gone.csv
    rm gone.csv
    run 3 set gone.csv
    says 'barplumb: gone.csv: there is no such file'
}

a_log_that_is_cut_while_it_is_written_is_whole_or_refused() {
    local bytes
    for bytes in 1 700 5000 20000 33000; do
        head -c "$bytes" bench.csv >cut.csv
        timeout 20 "$program" set --format json cut.csv >out 2>err
        case $? in
        0) grep -q '"reps":' out || fail "no report" ;;
        3) says "$(cat err)" && [ "$(wc -l <err)" -eq 1 ] || fail "not one line: $(cat err)" ;;
        *) fail "status $? for $bytes bytes" ;;
        esac
    done
    head -c 5000 bench.wav >cut.wav
    run 3 set cut.wav
}

a_read_that_fails_is_told() {
    [ -r /proc/self/mem ] || { echo 'skipped: no /proc'; return 0; }
    run 3 check /proc/self/mem
    says 'barplumb: /proc/self/mem: reading it failed'
    run 3 load /proc/self/mem
    says 'barplumb: /proc/self/mem: reading it failed'
    mkdir -p in-the-way
    run 3 load in-the-way
    says 'barplumb: in-the-way: it is a folder'
}

what_may_not_be_read_is_told() {
    local as=()
    if [ "$(id -u)" -eq 0 ]; then
        command -v setpriv >/dev/null || { echo 'skipped: root, and no setpriv'; return 0; }
        as=(setpriv --reuid 65534 --regid 65534 --clear-groups)
    fi
    cp bench.csv closed.csv
    mkdir -p closed
    cp bench.csv closed/Accelerometer.csv
    chmod 000 closed.csv closed
    "${as[@]}" "$program" set closed.csv >out 2>err && fail 'a closed log was read'
    says 'barplumb: closed.csv: no permission to read it'
    "${as[@]}" "$program" set closed >out 2>err && fail 'a closed folder was read'
    says 'barplumb: closed: the folder cannot be opened: no permission'
    chmod 700 closed closed.csv
}

a_folder_that_may_not_be_written_keeps_the_old_report() {
    [ "$(id -u)" -ne 0 ] || { command -v setpriv >/dev/null || { echo 'skipped: root, and no setpriv'; return 0; }; }
    local as=()
    [ "$(id -u)" -ne 0 ] || as=(setpriv --reuid 65534 --regid 65534 --clear-groups)
    echo old >report
    chmod 555 .
    local status=0
    "${as[@]}" "$program" set --out report bench.csv 2>"$folder/err" >/dev/null || status=$?
    chmod 755 .
    [ "$status" -eq 1 ] || fail "status $status"
    old_report_stays
}

a_file_that_may_not_grow_is_not_left_half_written() {
    echo old >report
    (
        ulimit -f 1 # 1 kB
        "$program" set --format json --out report bench.csv 2>err-of-limit
    )
    [ $? -eq 1 ] || fail 'another status than 1'
    [ "$(spoken err-of-limit)" = 'barplumb: report: File too large' ] || fail "$(cat err-of-limit)"
    old_report_stays
}

closed_standard_files_get_nothing_into_a_report() {
    run 0 set --format json --out report bench.csv
    (exec <&- >&- 2>&-; "$program" set --format json --out without bench.csv)
    cmp without wanted || fail 'another report with the standard files closed'
    echo old >report
    (exec >&- 2>&-; "$program" set --format json --out report nowhere.csv)
    [ $? -eq 3 ] || fail 'another status than 3 for a log that is not there'
    old_report_stays
    (exec >&-; "$program" set bench.csv 2>err)
    [ $? -eq 1 ] || fail 'a report to nowhere is no success'
}

an_endless_log_is_refused() {
    local status=0
    timeout 20 "$program" check - </dev/zero >out 2>err || status=$?
    [ "$status" -eq 3 ] || fail "status $status for zeros without end"
    timeout 20 "$program" check /dev/urandom >out 2>err || status=$?
    [ "$status" -eq 3 ] || fail "status $status for noise without end"
    status=0
    yes | timeout 20 "$program" check - >out 2>err || status=$?
    [ "$status" -eq 3 ] || fail "status $status for lines without end: $(cat err)"
    status=0
    tr '\0' 1 </dev/zero | timeout 20 "$program" check - >out 2>err || status=$?
    [ "$status" -eq 3 ] || fail "status $status for a line without end: $(cat err)"
}

for test in $(declare -F | awk '{print $3}'); do
    case $test in
    fail | run | spoken | says | old_report_stays) ;;
    *)
        before=$failures
        "$test"
        [ "$failures" -ne "$before" ] || printf 'ok %s\n' "$test"
        ;;
    esac
done
[ "$failures" -eq 0 ] || printf '%d failures\n' "$failures"
exit $((failures > 0))
