#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# barplumb compare and barplumb cycle on a small invented block. usage: test_sheets.sh PROGRAM SIMULATE
# shellcheck disable=SC2317 # the tests are called by name, at the end
set -uo pipefail
program=$1
simulate=$2
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

# Two days of two lifters, straight and with chains; the notes would be a formula, markup and a way out of the folder.
mkdir logs
printf 'date;lifter;lift;setup;bar kg;plates kg;rig;log;target m/s;notes;mood\n' >block.csv
seed=0
for day in 2026-03-02 2026-03-09 2026-03-16; do
    for lifter in L1 L2; do
        for setup in straight chains; do
            seed=$((seed + 1))
            "$simulate" --lift bench --setup "$setup" --reps 3 --seed "$seed" --rate 100 --out "logs/$seed.csv" \
                --rig-out "logs/$seed.ini" || exit 1
            printf '%s;%s;bench;%s;;;logs/%s.ini;logs/%s.csv;0,40;%s;%s\n' "$day" "$lifter" "$setup" "$seed" "$seed" \
                '=1+1 <script>alert(1)</script>' '../../fresh' >>block.csv
        done
    done
done
sets=$seed



compare_says_what_differs_and_how_sure() {
    run 0 compare block.csv
    grep -q 'straight and chains' out || fail 'no pair'
    grep -q 'less second' out || fail 'no table'
    grep -q 'clears nobody to lift' out || fail 'no caution'
    [ "$(awk '{ if (length($0) > 100) n++ } END { print n + 0 }' out)" -eq 0 ] || fail 'lines past the terminal'
    run 0 compare --format json block.csv
    grep -q '"schema": "barplumb.compare/1"' out || fail 'no document'
    run 0 compare --format csv --out compare.csv block.csv
    [ "$(wc -l <compare.csv)" -gt 10 ] || fail 'few rows'
}

compare_gives_the_same_bytes_on_any_number_of_cores() {
    run 0 compare --format jsonl --jobs 1 block.csv
    mv out one
    run 0 compare --format jsonl --jobs 7 block.csv
    cmp one out || fail 'other bytes with seven jobs'
}

compare_chooses_sets() {
    run 0 compare --format jsonl --lifter L1 block.csv
    if grep -q '"L2"' out; then fail 'another lifter is in it'; fi
    run 0 compare --by lifter --format jsonl block.csv
    grep -q '"L2"' out || fail 'lifters are not compared'
    run 2 compare --since 'last week' block.csv
    run 3 compare --lifter nobody block.csv
    run 2 compare
    run 2 compare block.csv block.csv
    run 2 compare --format xml block.csv
    run 3 compare nowhere.csv
}

cycle_writes_the_block() {
    run 0 cycle --out block block.csv
    [ -s block/reps.csv ] && [ -s block/sets.jsonl ] || fail 'no tables'
    [ "$(wc -l <block/sets.jsonl)" -eq "$sets" ] || fail "$(wc -l <block/sets.jsonl) documents"
    [ "$(find block/data -name '*.json' | wc -l)" -eq "$sets" ] || fail 'not a record a set'
    if [ -e block/index.html ]; then
        [ "$(find block/sets -name '*.html' | wc -l)" -eq "$sets" ] || fail 'not a page a set'
        [ "$(find block/lifters -name '*.html' | wc -l)" -eq 2 ] || fail 'not a page a lifter'
        if grep -rlq '<script>alert' block --include='*.html'; then fail 'markup from the sheet is alive'; fi
    fi
    if grep -q '[;,]=1+1' block/reps.csv; then fail 'a formula from the sheet is alive'; fi
    [ -z "$(find . -name '*.part')" ] || fail 'parts are left'
    [ ! -e fresh ] && [ ! -e ../fresh ] || fail "a cell of the sheet led out of the folder"
}

a_second_run_changes_nothing() {
    run 0 cycle --out block block.csv
    cp -r block before
    run 0 cycle --out block block.csv
    grep -q "0 sets measured, $sets unchanged" err || fail "$(tail -n 1 err)"
    diff -r before block || fail 'other bytes'
    rm -rf before
}

only_what_changed_is_measured_again() {
    run 0 cycle --out block block.csv
    "$simulate" --lift bench --reps 3 --seed 99 --rate 100 --out logs/1.csv
    run 0 cycle --out block block.csv
    grep -q "1 sets measured, $((sets - 1)) unchanged" err || fail "$(tail -n 1 err)"
    rm -rf fresh
    run 0 cycle --out fresh block.csv
    diff -r --exclude=data block fresh || fail 'not what a run from nothing gives'
    rm -rf fresh
}

one_core_or_many_give_the_same_pages() {
    run 0 cycle --jobs 1 --out cores1 block.csv
    run 0 cycle --jobs 5 --out cores5 block.csv
    diff -r cores1 cores5 || fail 'other bytes'
    rm -rf cores1 cores5
}

a_bad_row_is_told_and_the_rest_goes_on() {
    { cat block.csv && printf '2026-03-16;L1;curl;straight;;;;logs/1.csv;;;\n' && printf '2026-03-16;L1;bench;straight;;;;logs/none.csv;;;\n'; } >bad.csv
    run 4 cycle --out bad bad.csv
    grep -q "bad.csv:$((sets + 2)):" err || fail "no line of the unknown lift: $(cat err)"
    grep -q "bad.csv:$((sets + 3)):.*none.csv" err || fail "no line of the missing log: $(cat err)"
    [ "$(wc -l <bad/sets.jsonl)" -eq "$sets" ] || fail 'the others are not there'
    run 4 compare --format jsonl bad.csv
    [ -s out ] || fail 'nothing compared'
    rm -rf bad
}

a_folder_that_cannot_be_is_told() {
    : >file
    run 1 cycle --out file/block block.csv
    run 1 cycle --out file block.csv
    run 2 cycle block.csv
    printf 'date,lifter\n2026-03-02,L1\n' >nolog.csv
    run 3 cycle --out none nolog.csv
}

# Killed at random moments: what stands under its own name is whole, and the next run ends where an undisturbed one does.
killed_runs_leave_whole_files_and_go_on() {
    local times=${BARPLUMB_KILLS:-12} i pid
    rm -rf killed fresh
    run 0 cycle --out fresh block.csv
    for ((i = 0; i < times; i++)); do
        rm -rf killed/data/block.key "killed/data/$(find killed/data -name '*.json' -printf '%f\n' 2>/dev/null | head -n 1)"
        "$program" cycle --out killed block.csv >/dev/null 2>&1 </dev/null &
        pid=$!
        sleep "0.$(printf '%03d' $((RANDOM % 400)))"
        kill -9 "$pid" 2>/dev/null
        wait "$pid" 2>/dev/null
        local page
        while read -r page; do
            tail -c 9 "$page" | grep -q '</html>' || fail "$page is not whole"
        done < <(find killed -name '*.html')
        while read -r page; do
            [ "$(tail -c 2 "$page" | head -c 1)" = '}' ] || fail "$page is not whole"
        done < <(find killed/data -name '*.json' 2>/dev/null)
    done
    mkdir -p killed/data
    echo half >"killed/data/0.json.$pid.part"
    echo mine >killed/data/mine.part
    echo alive >"killed/data/0.json.$$.part"
    run 0 cycle --out killed block.csv
    [ ! -e "killed/data/0.json.$pid.part" ] || fail 'what a killed run left is still there'
    rm "killed/data/0.json.$$.part" killed/data/mine.part || fail 'more was taken away than a killed run left'
    diff -r killed fresh || fail 'not what an undisturbed run gives'
    rm -rf killed fresh
}

an_interrupted_run_says_so_and_the_next_goes_on() {
    rm -rf stopped
    "$program" cycle --jobs 1 --out stopped block.csv >out 2>err </dev/null &
    local pid=$! status=0
    for _ in $(seq 200); do
        [ "$(find stopped/data -name '*.json' 2>/dev/null | wc -l)" -lt 2 ] || break
        sleep 0.01
    done
    kill -INT "$pid" 2>/dev/null
    wait "$pid" || status=$?
    [ "$status" -eq 130 ] || [ "$status" -eq 0 ] || fail "status $status"
    run 0 cycle --out stopped block.csv
    [ "$(wc -l <stopped/sets.jsonl)" -eq "$sets" ] || fail 'not all sets'
    rm -rf stopped
}

for test in $(declare -F | awk '{ print $3 }' | grep -vE '^(fail|run)$'); do
    before=$failures
    "$test"
    [ "$failures" -gt "$before" ] || printf 'ok %s\n' "$test"
done
[ "$failures" -eq 0 ]
