#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The whole program on simulated logs, from the file to the report. usage:
#   test_end_to_end.sh PROGRAM SIMULATE SOURCE_DIR
#
# With BARPLUMB_REWRITE_EXPECTED set, tests/expected/cli/bench.* is written anew: look at the difference.
# shellcheck disable=SC2317 # the tests are called by name, at the end
set -uo pipefail
program=$1
simulate=$2
expected=$3/tests/expected/cli
source_dir=$3
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder" || exit 1
unset NO_COLOR LC_ALL
[ -x "$program" ] || {
    printf 'no program %s\n' "$program"
    exit 1
}
"$simulate" --seed 11 --out bench.csv && "$simulate" --seed 12 --gyroscope no --out no-gyroscope.csv || exit 1
failures=0

fail() {
    printf 'FAILED %s: %s\n' "$test" "$1"
    failures=$((failures + 1))
}

# run STATUS ARGUMENT…: the program, its output in ./out and ./err; fails on another exit status
run() {
    local wanted=$1 status=0
    shift
    "$program" "$@" >out 2>err || status=$?
    [ "$status" -eq "$wanted" ] || fail "exit status $status instead of $wanted: $* ($(head -c 300 err))"
}

out_is() { # NAME: ./out is tests/expected/cli/NAME
    [ -z "${BARPLUMB_REWRITE_EXPECTED-}" ] || cp out "$expected/$1"
    diff -u "$expected/$1" out || fail "differs from tests/expected/cli/$1"
}

# One line, on standard error, that begins with the program and the log; nothing on standard output.
refused() {
    [ ! -s out ] || fail "something on standard output: $(head -c 200 out)"
    [ "$(wc -l <err)" -eq 1 ] || fail "not one line: $(cat err)"
    grep -q "^barplumb: $1:.* " err || fail "the line does not begin with the log: $(cat err)"
}

# Two sets with 40 s of rest between: the first one's own first 3 s, over and over.
make_session() {
    "$simulate" --seed 21 --reps 2 --rate 100 --out first.csv && "$simulate" --seed 22 --reps 3 --rate 100 --out second.csv
    awk -F, -v OFS=, 'FNR == 1 { if (NR == 1) print; next }
        function put(time) { $1 = sprintf("%.6f", time); print }
        NR == FNR { if (FNR <= 301) rest[FNR - 2] = $0; put($1 + 0); end = $1; next }
        FNR == 2 { first = $0; for (k = 0; k < 4000; k++) { $0 = rest[k % 300]; put(end + (k + 1) / 100) } $0 = first }
        { put(end + 40.01 + $1) }' first.csv second.csv >session.csv
}

a_session_is_measured_set_by_set() {
    make_session
    run 0 set --lift bench --format jsonl session.csv
    [ "$(wc -l <out)" -eq 2 ] || fail "$(wc -l <out) sets"
    [ "$(grep -oE '"reps":[0-9]+' out | tr '\n' ' ')" = '"reps":2 "reps":3 ' ] || fail "reps: $(grep -oE '"reps":[0-9]+' out)"
    run 0 set --lift bench --part 2 --format csv session.csv
    [ "$(wc -l <out)" -eq 4 ] || fail "$(wc -l <out) lines for three reps"
    run 0 set --lift bench session.csv
    grep -q '^set 2 of 2, from ' out || fail 'the second is not named'
    run 0 set --lift bench --one-set --format jsonl session.csv
    [ "$(wc -l <out)" -eq 1 ] || fail 'one set is several'
    ! grep -q '"parts"' out || fail 'one set names a part'
}

# Two recordings with a header each, and between them one that breaks off within a row.
every_recording_of_a_log_is_measured() {
    make_session
    cat first.csv second.csv >two.csv
    run 0 set --lift bench --format json two.csv
    python3 - <<'END' || fail 'not the sets of both recordings, each with its own times'
import json
log = [document["log"] for document in json.load(open("out"))]
assert [(l["part"], l["parts"], l["part_from_s"], l["recording"], l["recordings"]) for l in log] == [(1, 2, 0, 1, 2), (2, 2, 0, 2, 2)]
END
    mv out both
    run 0 set --lift bench --format json --part 2 two.csv
    python3 -c 'import json; assert json.load(open("out")) == json.load(open("both"))[1]' || fail 'another set with --part'
    run 0 set --lift bench two.csv
    grep -q '^set 2 of 2, from 0.0 s of recording 2$' out || fail 'the report does not say which recording'
    run 0 set --lift bench --format csv second.csv
    tail -n +2 out | cut -d, -f2-9 >alone
    run 0 set --lift bench --format csv --part 2 two.csv
    tail -n +2 out | cut -d, -f2-9 | cmp - alone || fail 'other figures than the recording alone'
    run 0 check --format json two.csv
    python3 -c 'import json; assert [d["log"]["recording"] for d in json.load(open("out"))] == [1, 2]' || fail 'not a check a recording'
    run 2 set --lift bench --format html two.csv

    { cat first.csv; head -n 1 first.csv; sed -n '2,40p' first.csv; echo '9,x,1'; cat second.csv; } >broken.csv
    run 3 set --lift bench broken.csv
    grep -q '^set 2 of 2, from 0.0 s of recording 3$' out || fail 'what comes behind is not measured'
    grep -q '^barplumb: broken.csv:.*recording 2 of 3 (line ' err || fail "the broken one is not named: $(cat err)"
    run 3 check broken.csv
    [ "$(grep -c '^broken.csv: ' out)" -eq 2 ] || fail 'not a check of the two others'

    mkdir both-days both-days/monday both-days/friday
    cp first.csv both-days/monday/log.csv
    cp second.csv both-days/friday/log.csv
    run 0 set --lift bench --format json both-days
    python3 -c 'import json; assert [len(d["reps"]) for d in json.load(open("out"))] == [3, 2]' || fail 'not the folders by name'
    printf 'log,date,lift\ntwo.csv,2026-03-02,bench\n' >sheet.csv
    run 3 cycle --out days sheet.csv
    grep -q 'holds 2 sets: add a column "part"' err || fail "$(cat err)"
    printf 'log,date,lift,part\ntwo.csv,2026-03-02,bench,1\ntwo.csv,2026-03-04,bench,2\n' >sheet.csv
    run 0 cycle --out days sheet.csv
}

# Without gravity nothing but the lift shows which way the acceleration counts.
a_log_without_gravity_that_counts_the_other_way_is_refused_until_it_is_told() {
    "$simulate" --seed 12 --rate 100 --reps 4 --gyroscope no --attitude yes --gravity-columns removed --out up.csv
    awk -F, -v OFS=, 'NR > 1 { $2 = -$2; $3 = -$3; $4 = -$4 } { print }' up.csv >down.csv
    run 0 set --lift bench --format json up.csv
    mv out right
    run 3 set --lift bench down.csv
    grep -q 'upside down it were much likelier a set of this lift' err || fail "$(cat err)"
    run 0 set --lift bench --format json --units sign=minus down.csv
    python3 - <<'END' || fail 'other speeds when it is told'
import json
right, told = ([rep["mean_velocity_m_s"]["value"] for rep in json.load(open(name))["reps"]] for name in ("right", "out"))
assert len(right) == len(told) == 4 and max(abs(a - b) for a, b in zip(right, told)) < 0.001
END
}

manual_page_and_help_name_the_same_options() {
    {
        "$program" --help
        for command in check set load compare cycle; do "$program" "$command" --help; done
    } |
        grep -oE -- '--[a-z][a-z-]+' | sort -u >in-help
    sed 's/\\-/-/g; s/Fl -/--/g' "$source_dir/docs/barplumb.1" | grep -oE -- '--[a-z][a-z-]+' | sort -u >in-manual
    diff in-help in-manual || fail "help (<) and manual page (>) differ"
    [ "$(wc -l <in-help)" -ge 16 ] || fail "only $(wc -l <in-help) options found"
}

set_reads_as_agreed() {
    run 0 set --lift bench --setup straight bench.csv
    out_is bench.txt
    run 0 check bench.csv
    out_is bench-check.txt
}

set_gives_the_same_bytes_again() {
    run 0 set --lift bench --format json bench.csv
    mv out first
    run 0 set --lift bench --format json bench.csv
    cmp first out || fail "other bytes for the same log and seed"
}

set_csv_has_a_row_a_rep() {
    run 0 set --lift bench --format jsonl bench.csv
    local reps
    reps=$(grep -o '"index":' out | wc -l)
    [ "$reps" -ge 1 ] || fail "no rep"
    run 0 set --lift bench --format csv bench.csv
    [ "$(wc -l <out)" -eq $((reps + 1)) ] || fail "$reps reps but $(wc -l <out) lines"
}

standard_input_measures_the_same() {
    run 0 set --lift bench --format jsonl bench.csv
    sed 's/"path":"bench.csv"/"path":"-"/' out >wanted
    run 0 set --lift bench --format jsonl - <bench.csv
    cmp wanted out || fail "other figures from standard input"
}

a_log_without_gyroscope_calls_its_shake_apparent() {
    run 0 set --lift bench no-gyroscope.csv
    grep -q 'apparent shake' out || fail "$(head -n 20 out)"
    run 0 set --lift bench --format jsonl no-gyroscope.csv
    grep -q '"gyroscope":false' out || fail "gyroscope"
    grep -q '"shake_apparent":true' out || fail "shake_apparent"
}

an_assumed_lift_is_said() {
    run 0 set bench.csv
    grep -q '^bench (assumed: no lift was named)' out || fail "$(head -n 3 out)"
}

a_decimal_comma_locale_changes_no_byte() {
    mkdir -p locale
    localedef -c -i de_DE -f UTF-8 locale/comma >localedef.log 2>&1
    [ -d locale/comma ] || { echo "skipped: no decimal-comma locale can be made here"; return 0; }
    run 0 set --lift bench --format json bench.csv
    mv out first
    env LOCPATH="$PWD/locale" LC_ALL=comma "$program" set --lift bench --format json bench.csv >out || fail "status $?"
    cmp first out || fail "other bytes under a decimal comma"
}

hostile_files_are_refused_in_one_line() {
    : >empty.csv
    head -c 100000 /dev/urandom >binary.csv
    printf 'time,ax,ay,az\n' >header.csv
    head -c 1000000 /dev/zero >zeros.csv
    head -c 300000 /dev/zero | tr '\0' 1 >oneline.csv
    printf 'time,ax,ay,az\n0,1,2,9\n0.01,1,x,9\n0.02,nan,2,9\n' >words.csv
    mkdir -p folder
    printf 'RIFF' >short.wav
    local log
    for log in empty.csv binary.csv header.csv zeros.csv oneline.csv words.csv folder short.wav nowhere.csv; do
        run 3 set "$log"
        refused "$log"
        run 3 check "$log"
        refused "$log"
    done
}

a_bad_cell_is_mended_and_told_and_many_are_refused() {
    sed '500s/^\([^,]*\),[^,]*,/\1,1.2.3,/' bench.csv >cell.csv
    run 0 check cell.csv
    grep -q 'line 500, column 2' out || fail "the mended cell is not told: $(cat out)"
    sed '500,2500s/^\([^,]*\),[^,]*,/\1,1.2.3,/' bench.csv >cells.csv
    run 3 set cells.csv
    refused cells.csv
    grep -qE '^barplumb: cells.csv:500:2: ' err || fail "$(cat err)"
}

a_truncated_log_gives_no_silent_wrong_number() {
    head -n 300 bench.csv >cut.csv # before the first rep
    run 3 set cut.csv
    refused cut.csv
}

for test in $(declare -F | awk '{print $3}'); do
    case $test in
    fail | run | out_is | refused) ;;
    *)
        before=$failures
        "$test"
        [ "$failures" -ne "$before" ] || printf 'ok %s\n' "$test"
        ;;
    esac
done
[ "$failures" -eq 0 ] || printf '%d failures\n' "$failures"
exit $((failures > 0))
