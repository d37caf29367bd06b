#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The program's conduct: options, formats, exit statuses, errors, and what is left behind when a report
# cannot be written. usage: test_cli.sh PROGRAM SOURCE_DIR
#
# With BARPLUMB_REWRITE_EXPECTED set, tests/expected/cli is written anew: look at the difference.
# shellcheck disable=SC2317 # the tests are called by name, at the end
set -uo pipefail
program=$1
source_dir=$2
expected=$source_dir/tests/expected/cli
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder" || exit 1
unset NO_COLOR LC_ALL
[ -x "$program" ] || {
    printf 'no program %s\n' "$program"
    exit 1
}
failures=0

fail() {
    printf 'FAILED %s: %s\n' "$test" "$1"
    failures=$((failures + 1))
}

# run STATUS ARGUMENT…: the program, its output in ./out and ./err; fails on another exit status
run() {
    local wanted=$1 status=0
    shift
    "$program" "$@" >out 2>err </dev/null || status=$?
    [ "$status" -eq "$wanted" ] || fail "exit status $status instead of $wanted: $* ($(head -c 300 err))"
}

out_is() { # NAME: ./out is tests/expected/cli/NAME
    [ -z "${BARPLUMB_REWRITE_EXPECTED-}" ] || cp out "$expected/$1"
    diff -u "$expected/$1" out || fail "differs from tests/expected/cli/$1"
}

out_is_empty() { [ ! -s out ] || fail "something on standard output: $(head -c 200 out)"; }

err_is() { [ "$(cat err)" = "$1" ] || fail "standard error: $(cat err)"; }

no_part_left() {
    local left
    left=$(find . -name '*.part')
    [ -z "$left" ] || fail "left behind: $left"
}

# ---- help and usage ----

program_tells_its_commands_and_no_other() {
    run 0 --help
    out_is help.txt
    run 0 --version
    grep -qE '^barplumb [0-9]+\.[0-9]+\.[0-9]+$' out || fail "version: $(cat out)"
}

each_command_has_help_with_an_example() {
    local command
    for command in check set; do
        run 0 "$command" --help
        grep -q "barplumb $command .*harbour" out || fail "no example in $command --help"
        grep -q 'Exit status' out || fail "no exit status in $command --help"
        out_is "help-$command.txt"
    done
}

usage_errors_exit_with_2_and_print_nothing() {
    local arguments
    while read -r arguments; do
        # shellcheck disable=SC2086 # words on purpose
        run 2 $arguments
        out_is_empty
        [ -s err ] || fail "no message for: $arguments"
    done <<'LIST'

lift good.csv
lift good.csv
load --want-lockout 140stone rig.ini
--format json
set
check
set --format html good-1.csv good-2.csv
check --format html good.csv
set --format good.csv
check --format csv good.csv
set --lift curl good.csv
set --lift
set --along-bar w good.csv
set --seed -1 good.csv
set --seed 1x good.csv
set --seed 18446744073709551616 good.csv
set --edge-speed 0 good.csv
set --edge-speed 0,04 good.csv
set --edge-speed 0.04m good.csv
set --edge-speed nan good.csv
set --rate 0 good.csv
set --rate -100 good.csv
set --full-scale , good.csv
set --full-scale 78.4, good.csv
set --full-scale 78.4,x good.csv
set --latitude 91 good.csv
set --bar-mass twenty good.csv
set --strength --format csv good.csv
set --setup a-name-that-is-longer-than-the-sixty-three-bytes-a-summary-holds-for-it good.csv
set - -
LIST
}

a_setting_the_library_refuses_is_usage_too() {
    run 2 set argument.csv good.csv
    out_is_empty
    err_is "barplumb: argument.csv: there is no column 'height'"
}

# ---- options reach the library ----

every_option_reaches_the_library() {
    run 0 set --format jsonl --lift squat --setup 'bands, 29 mm' --columns t=1,ax=2 --units t=ms,a=g --seed 77 \
        --edge-speed 0.05 --along-bar y --full-scale 78.4,34.9 --rate 100 --gravity-removed --latitude 54.5 good.csv
    grep -qF 't=1,ax=2 t=ms,a=g rate 100.0000 scale 78.4000 34.9000 no-gravity latitude 54.5000 edge 0.0500 axis 1.0000 seed 77' out ||
        fail "settings: $(cat out)"
    grep -qF '"lift":"squat","setup":"bands, 29 mm"' out || fail "lift or setup"
    grep -qF '"lift_given":true' out || fail "lift_given"
    run 0 set --format jsonl good.csv
    grep -qF -- '- - rate 0.0000 scale 0.0000 0.0000 latitude nan edge 0.0400 axis -1.0000 seed 1' out || fail "defaults: $(cat out)"
    grep -qF '"lift_given":false' out || fail "lift_given without --lift"
}

check_reads_past_the_options_of_set() {
    run 0 check --lift squat --setup chains --seed 3 --edge-speed 0.05 --along-bar x --latitude 54.5 good.csv
    grep -qF 'latitude 54.5000' out || fail "$(cat out)"
}

options_may_follow_the_logs() {
    run 0 set good.csv --format=jsonl
    grep -qF '"schema":"barplumb.set/1"' out || fail "$(head -c 200 out)"
}

# ---- formats ----

each_format_is_as_documented() {
    run 0 set --lift bench --setup chains harbour/good-1.csv
    out_is set.txt
    run 0 set --lift bench --format json good-1.csv
    out_is set.json
    run 0 set --format jsonl good-1.csv good-2.csv
    [ "$(wc -l <out)" -eq 2 ] || fail "jsonl is not a line a log"
    run 0 check --format json good-1.csv
    out_is check.json
    run 0 check --format jsonl good-1.csv good-2.csv
    [ "$(wc -l <out)" -eq 2 ] || fail "check jsonl is not a line a log"
}

csv_has_one_header_for_all_logs() {
    run 3 set --format csv number.csv good-1.csv good-2.csv
    [ "$(grep -c '^path,' out)" -eq 1 ] || fail "headers: $(grep -c '^path,' out)"
    [ "$(head -c 5 out)" = path, ] || fail "no header first"
    [ "$(wc -l <out)" -eq 9 ] || fail "rows: $(wc -l <out)"
}

json_of_several_logs_is_one_array() {
    run 0 set --format json good-1.csv good-2.csv
    [ "$(head -n 1 out)$(tail -n 1 out)" = '[]' ] || fail "no array"
    [ "$(grep -c '^},$' out)" -eq 1 ] || fail "documents are not parted by one comma"
    run 3 set --format json number.csv good-1.csv
    [ "$(head -n 1 out)$(tail -n 1 out)" = '[]' ] || fail "no array when one of two is left"
    ! grep -q '^},$' out || fail "a comma with one document"
    if command -v python3 >/dev/null; then
        run 0 set --format json good-1.csv good-2.csv good-3.csv
        python3 -c 'import json, sys; assert len(json.load(sys.stdin)) == 3' <out || fail "not JSON"
    fi
}

a_page_is_of_one_log() {
    local status=0
    "$program" set --format html good.csv >out 2>err </dev/null || status=$?
    if [ "$status" -eq 2 ] && grep -q 'built without its page' err; then
        out_is_empty
        return
    fi
    [ "$status" -eq 0 ] || fail "exit status $status: $(cat err)"
    [ "$(head -n 1 out)" = '<!doctype html>' ] || fail "no page: $(head -c 100 out)"
    [ "$(tail -n 1 out)" = '</html>' ] || fail "the page has no end"
    run 0 set --format html --setup 'a </title> b' --out page.html good.csv
    out_is_empty
    grep -qF '<title>bench, a &lt;/title&gt; b: good.csv</title>' page.html || fail "title: $(grep '<title>' page.html)"
    run 2 set --format html good-1.csv good-2.csv
    err_is 'barplumb: --format html makes a page of one log; name them one at a time'
    no_part_left
}

text_of_several_logs_has_a_blank_line_between() {
    run 0 check good-1.csv good-2.csv
    grep -B1 '^good-2.csv' out | head -n 1 | grep -qx '' || fail "no blank line"
}

# ---- errors ----

an_unreadable_log_is_one_clear_line_and_status_3() {
    run 3 set number.csv
    out_is_empty
    err_is "barplumb: number.csv:3:2: '1.2.3' is not a number"
    run 3 check absent.csv
    err_is 'barplumb: absent.csv: no such file'
    run 3 set --lift row norep.csv
    err_is 'barplumb: norep.csv: no rep of a row was found'
}

the_other_logs_are_still_done() {
    run 3 set --format jsonl good-1.csv number.csv norep.csv good-2.csv
    [ "$(wc -l <out)" -eq 2 ] || fail "$(wc -l <out) documents"
    [ "$(wc -l <err)" -eq 2 ] || fail "$(wc -l <err) error lines"
}

the_worst_status_is_returned() {
    run 1 set number.csv memory.csv good.csv
    run 1 set memory.csv number.csv
}

a_log_that_is_not_fit_is_reported_and_status_3() {
    run 3 check unfit.csv good.csv
    grep -q '^unfit.csv: not fit$' out || fail "$(cat out)"
    grep -q '^good.csv: fit$' out || fail "$(cat out)"
    [ ! -s err ] || fail "$(cat err)"
}

# ---- output ----

out_writes_the_same_bytes_as_standard_output() {
    run 0 set --format json good.csv
    mv out wanted
    run 0 set --format json --out report.json good.csv
    out_is_empty
    cmp wanted report.json || fail "other bytes"
    run 0 set --format json --out - good.csv
    cmp wanted out || fail "--out - is not standard output"
    no_part_left
}

out_replaces_a_file_whole_and_through_a_link() {
    printf 'old\n' >report.txt
    ln -sf report.txt link.txt
    run 0 check --out link.txt good.csv
    [ -L link.txt ] || fail "the link was replaced"
    grep -q '^good.csv: fit$' report.txt || fail "$(cat report.txt)"
    ! grep -q old report.txt || fail "the old text is still there"
    no_part_left
}

a_call_that_measures_nothing_leaves_the_old_file() {
    printf 'old\n' >report.txt
    run 3 set --out report.txt number.csv
    [ "$(cat report.txt)" = old ] || fail "$(cat report.txt)"
    run 3 set --out new.txt number.csv
    [ ! -e new.txt ] || fail "an empty file"
    no_part_left
}

out_never_overwrites_a_log() {
    printf 't,ax\n' >good.csv
    run 2 set --format csv --out ./good.csv good.csv
    [ "$(cat good.csv)" = t,ax ] || fail "the log is gone"
    rm good.csv
}

an_out_that_cannot_be_written_is_status_1() {
    run 1 set --out nowhere/report.txt good.csv
    err_is 'barplumb: nowhere/report.txt: No such file or directory'
    mkdir -p folder
    run 1 set --out folder good.csv
    err_is 'barplumb: folder: Is a directory'
    no_part_left
}

a_full_disk_is_status_1() {
    [ -c /dev/full ] || return 0
    run 1 set --out /dev/full good.csv
    err_is 'barplumb: /dev/full: No space left on device'
    local status=0
    "$program" set good.csv good.csv >/dev/full 2>err || status=$?
    [ "$status" -eq 1 ] || fail "status $status"
    err_is 'barplumb: standard output: No space left on device'
    status=0
    "$program" --help >/dev/full 2>err || status=$?
    [ "$status" -eq 1 ] || fail "--help: status $status"
}

a_reader_that_went_away_is_status_1() {
    # The first reader closes at once; the program is only started when it has.
    { while [ ! -e closed ]; do sleep 0.05; done; "$program" set good.csv 2>err; echo $? >status; } | { exec 0<&-; : >closed; }
    [ "$(cat status)" -eq 1 ] || fail "status $(cat status)"
    err_is 'barplumb: standard output: Broken pipe'
}

# ---- a log of several sets (the stand-in's have three) ----

a_log_of_several_sets_gives_a_report_each() {
    run 0 set three.csv
    [ "$(grep -c '^three.csv$' out)" -eq 3 ] || fail "reports: $(grep -c '^three.csv$' out)"
    grep -qx 'set 2 of 3, from 100.3 s' out || fail "no heading of the second set"
    run 0 set --format jsonl three.csv good.csv
    [ "$(wc -l <out)" -eq 4 ] || fail "jsonl: $(wc -l <out) lines"
    grep -q '"part":3,"parts":3,"part_from_s":200.5000' out || fail "jsonl: $(grep -o '"part.*"set":' out)"
    [ "$(grep -c '"parts"' out)" -eq 3 ] || fail "a log of one set names a part"
}

json_of_several_sets_is_an_array_as_of_several_logs() {
    local one several
    run 0 set --format json three.csv
    one=$(python3 -c 'import json; print([d["log"].get("part") for d in json.load(open("out"))])') || fail "no JSON"
    [ "$one" = '[1, 2, 3]' ] || fail "one log: $one"
    run 0 set --format json good.csv three.csv
    several=$(python3 -c 'import json; print([d["log"].get("part") for d in json.load(open("out"))])') || fail "no JSON"
    [ "$several" = '[None, 1, 2, 3]' ] || fail "several logs: $several"
}

csv_of_several_sets_has_one_header_and_their_part_at_the_end() {
    run 0 set --format csv three.csv good.csv
    head -1 out | grep -q ',part,parts,part_from_s$' || fail "no part columns"
    [ "$(grep -c '^path,' out)" -eq 1 ] || fail "headers: $(grep -c '^path,' out)"
    [ "$(grep -c ',2,3,100\.25[0-9]*$' out)" -eq "$(grep -c ',1,1,0\.0*$' out)" ] || fail "rows: $(grep -o '[^,]*,[^,]*,[^,]*$' out)"
}

a_part_is_chosen_by_its_number() {
    run 0 set --part 2 three.csv
    grep -qx 'set 2 of 3, from 100.3 s' out || fail "not the second set"
    [ "$(grep -c '^three.csv$' out)" -eq 1 ] || fail "more than one report"
    run 0 set --part 3 --format json three.csv
    [ "$(head -c 1 out)" = '{' ] || fail "an array of one"
    run 2 set --part 4 three.csv
    err_is 'barplumb: three.csv: --part 4: this log holds 3 sets'
    out_is_empty
    run 2 set --part 2 good.csv
    err_is 'barplumb: good.csv: --part 2: this log holds 1 set'
    run 2 set --part 0 three.csv
    run 2 set --part x three.csv
}

one_set_leaves_a_log_whole() {
    run 0 set --one-set three.csv
    [ "$(grep -c '^three.csv$' out)" -eq 1 ] || fail "more than one report"
    ! grep -q '^set [0-9]' out || fail "a part is named"
    run 2 set --one-set --part 1 three.csv
    err_is 'barplumb: --one-set and --part N contradict each other'
}

a_set_without_a_rep_is_passed_over_with_a_word() {
    run 0 set three-norep.csv
    [ "$(grep -c '^three-norep.csv$' out)" -eq 2 ] || fail "reports: $(grep -c '^three-norep.csv$' out)"
    grep -q 'no rep of a bench was found' err || fail "not told: $(cat err)"
    run 3 set --part 2 three-norep.csv
    out_is_empty
}

a_set_that_cannot_be_used_is_status_3_beside_the_others() {
    run 3 set --format jsonl three-unfit.csv
    [ "$(wc -l <out)" -eq 2 ] || fail "jsonl: $(wc -l <out) lines"
    err_is 'barplumb: three-unfit.csv: set 3 of 3 is not fit'
}

a_page_of_several_sets_asks_which() {
    "$program" set --format html good.csv >out 2>err || return 0 # built without its page
    run 2 set --format html three.csv
    err_is 'barplumb: three.csv: this log holds 3 sets and a page shows one: name it with --part N'
    run 0 set --format html --part 1 three.csv
}

# ---- terminal ----

colour_is_for_terminals_only() {
    run 0 set good.csv
    ! grep -q $'\033' out || fail "escapes in a pipe"
    command -v script >/dev/null || { echo "skipped: no script(1) to make a terminal with"; return 0; }
    local line="'$program' set good.csv"
    TERM=xterm script -qec "$line" /dev/null >terminal </dev/null
    grep -q $'\033\\[1m' terminal || fail "no bold on a terminal"
    NO_COLOR=1 TERM=xterm script -qec "$line" /dev/null >terminal </dev/null
    ! grep -q $'\033' terminal || fail "escapes against NO_COLOR"
    NO_COLOR='' TERM=xterm script -qec "$line" /dev/null >terminal </dev/null
    grep -q $'\033\\[1m' terminal || fail "an empty NO_COLOR counts as none"
    TERM=dumb script -qec "$line" /dev/null >terminal </dev/null
    ! grep -q $'\033' terminal || fail "escapes on a dumb terminal"
}

# ---- manual page ----

for test in $(declare -F | awk '{print $3}'); do
    case $test in
    fail | run | out_is | out_is_empty | err_is | no_part_left) ;;
    *)
        before=$failures
        "$test"
        [ "$failures" -ne "$before" ] || printf 'ok %s\n' "$test"
        ;;
    esac
done
[ "$failures" -eq 0 ] || printf '%d failures\n' "$failures"
exit $((failures > 0))
