#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# barplumb load on the worked examples, and a set measured with a rig, from file to report. usage:
#   test_load.sh PROGRAM SIMULATE SOURCE_DIR
#
# With BARPLUMB_REWRITE_EXPECTED set, tests/expected/cli/load* is written anew: look at the difference.
# shellcheck disable=SC2317 # the tests are called by name, at the end
set -uo pipefail
program=$1
simulate=$2
expected=$3/tests/expected/cli
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder" || exit 1
unset NO_COLOR LC_ALL
[ -x "$program" ] || {
    printf 'no program %s\n' "$program"
    exit 1
}
examples=$3/fixtures/rigs
cp "$examples"/*.ini . || exit 1
"$simulate" --seed 11 --out bench.csv || exit 1
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

# number KEY: the first value of that key's quantity in ./out
number() { grep -o "\"$1\":{\"value\":[-0-9.]*" out | head -n 1 | sed 's/.*://'; }

# refused WORD…: one line on standard error that holds every word, nothing on standard output
refused() {
    [ ! -s out ] || fail "something on standard output: $(head -c 200 out)"
    [ "$(wc -l <err)" -eq 1 ] || fail "not one line: $(cat err)"
    local word
    for word; do
        grep -qF -- "$word" err || fail "no '$word' in: $(cat err)"
    done
}

a_rig_reads_as_agreed() {
    run 0 load bench-chains.ini
    out_is load-chains.txt
}

every_worked_example_is_weighed() {
    local rig
    for rig in "$examples"/*.ini; do
        run 0 load "$rig"
        grep -q 'at lockout .* kg$' out || fail "$rig: no load at lockout"
        grep -q 'clears nobody to lift' out || fail "$rig: no caution"
    done
}

bands_are_looked_over_and_chains_kept_inside_the_collars() {
    run 0 load bench-chains.ini
    grep -q 'inside the collars' out || fail 'chains without their caution'
    if grep -q '^Bands:' out; then fail 'a caution of bands, without bands'; fi
    run 0 load bench-bands-from-above.ini
    grep -q 'look over every band' out || fail 'bands without their caution'
}

a_plan_reads_as_agreed() {
    run 0 load --want-lockout 140kg --want-share 15% gym-stock.ini
    out_is load-plan.txt
    run 0 load --format json --want-lockout 140kg --want-share 15% gym-stock.ini
    out_is load-plan.json
}

a_wanted_load_in_pounds_is_the_same_load() {
    run 0 load --format jsonl --want-lockout 300lb gym-stock.ini
    mv out pounds
    run 0 load --format jsonl --want-lockout 136.077711kg gym-stock.ini
    cmp pounds out || fail 'another plan'
}

heights_may_come_from_the_call() {
    run 0 load --format jsonl --chest 80cm --lockout 118cm bench-chains.ini
    # 105 kg of iron; the first link hangs 65 cm below: 2 x 3.8 kg/m x (1.18 - 0.65)
    [ "$(grep -o '"lockout":{"height_m":1.1800,"up_pct":100.00,"load_kg":{"value":[0-9.]*' out)" = \
        '"lockout":{"height_m":1.1800,"up_pct":100.00,"load_kg":{"value":109.028' ] || fail "$(head -c 600 out)"
}

heights_may_come_from_a_measured_set() {
    run 0 set --lift bench --format jsonl bench.csv
    local range
    range=$(number range_m)
    run 0 load --format jsonl --log bench.csv --lift bench bench-chains.ini
    awk -v range="$range" 'match($0, /"bottom":\{"height_m":[0-9.]*/) {
        bottom = substr($0, RSTART + 21, RLENGTH - 21) + 0
        exit !(bottom > 1.10 - range - 0.02 && bottom < 1.10 - range + 0.02) }' out || fail "the range is not the set's"
}

csv_has_a_row_a_height() {
    run 0 load --format csv --rows 5 bench-chains.ini squat-chains.ini
    [ "$(wc -l <out)" -eq 11 ] || fail "$(wc -l <out) lines"
    [ "$(head -n 1 out | tr ',' '\n' | wc -l)" -eq "$(sed -n '3s/"[^"]*"/name/p' out | tr ',' '\n' | wc -l)" ] ||
        fail 'rows with another number of cells than the header'
}

several_rigs_are_held_against_the_first() {
    sed 's/plates = .*/plates = 4 x 19 kg/; s/matched = .*/matched = lockout/' bench-chains.ini >lighter.ini
    run 0 load bench-chains.ini lighter.ini
    grep -q 'at lockout     4.0 kg lighter' out || fail "$(grep -A6 Against out)"
    grep -q 'means them to be as heavy at lockout: they are not' out || fail 'a mismatch that is not told'
    run 0 load bench-chains.ini bench-chains.ini
    grep -q 'Matched at both ends' out || fail 'the same rig is not matched with itself'
}

the_same_seed_gives_the_same_bytes() {
    run 0 load --format json bench-chains-and-bands.ini
    mv out first
    run 0 load --format json bench-chains-and-bands.ini
    cmp first out || fail 'other bytes'
    run 0 load --format json --seed 2 bench-chains-and-bands.ini
    if cmp -s first out; then fail 'the seed does nothing'; fi
}

a_rig_at_fault_is_named_with_line_and_key() {
    printf '[bar]\nmass = 20 kg\nlockout = 110 cm\nchest = 70 cm\n[band 30 mm]\npoints = 60 cm: 5 kg\npeg = 5 cm high\n' >one.ini
    run 3 load one.ini
    refused one.ini:6 points
    printf '[bar]\nmass = 20 stone\n' >stone.ini
    run 3 load stone.ini
    refused stone.ini:2 mass
    run 3 load nowhere.ini
    refused nowhere.ini
    printf '[bar]\nmass = 20 kg\n' >bare.ini
    run 3 load bare.ini
    refused bare.ini --chest
}

usage_is_status_2() {
    local arguments
    for arguments in '' '--want-lockout much gym-stock.ini' '--want-share 120% gym-stock.ini' \
        '--rows 1 gym-stock.ini' '--chest 27stone gym-stock.ini' '--format xml gym-stock.ini' \
        '--lift curl gym-stock.ini'; do
        # shellcheck disable=SC2086 # words on purpose
        run 2 load $arguments
        [ ! -s out ] || fail "something on standard output: $arguments"
    done
}

a_set_with_a_rig_knows_its_load() {
    run 0 set --lift bench --rig bench-chains.ini --format jsonl bench.csv
    [ -n "$(number load_lockout_kg)" ] || fail 'no load at lockout'
    [ -n "$(number peak_force_n)" ] || fail 'no force'
    awk -v kg="$(number load_lockout_kg)" 'BEGIN { exit !(kg > 108.3 && kg < 108.5) }' || fail 'not 108.42 kg'
    run 0 set --lift bench --rig bench-chains.ini bench.csv
    grep -q 'Load, force and power' out || fail 'no table of loads'
}

a_bar_mass_needs_no_file() {
    run 0 set --lift bench --setup straight --bar-mass 82.5 --format jsonl bench.csv
    [ "$(number load_lockout_kg)" = 82.50 ] || fail "$(number load_lockout_kg) kg"
    run 0 set --lift bench --bar-mass 60,100 --format jsonl bench.csv bench.csv
    grep -q '"load_lockout_kg":{"value":60.00' out || fail 'the first log has not the first mass'
    tail -n 1 out | grep -q '"load_lockout_kg":{"value":100.00' || fail 'the second log has not the second mass'
    run 2 set --lift bench --bar-mass 60,100 bench.csv
    run 2 set --lift bench --bar-mass heavy bench.csv
}

strength_holds_the_sets_together() {
    "$simulate" --lift bench --seed 1 --mean-speed 0.80 --out light.csv
    "$simulate" --lift bench --seed 2 --mean-speed 0.62 --out middle.csv
    "$simulate" --lift bench --seed 3 --mean-speed 0.42 --out heavy.csv
    run 0 set --lift bench --bar-mass 50,65,82.5 --strength light.csv middle.csv heavy.csv
    grep -q 'One-repetition maximum, of that day: ' out || fail 'no estimate'
    grep -q 'not a permission' out || fail 'no caution'
    run 0 set --lift bench --bar-mass 50,65,82.5 --strength --format jsonl light.csv middle.csv heavy.csv
    [ "$(wc -l <out)" -eq 4 ] || fail "$(wc -l <out) documents"
    # the line through 0.80 at 50 kg and 0.42 at 82.5 kg is at 0.17 m/s at 104 kg; its interval holds that
    tail -n 1 out | awk 'match($0, /"one_rep_max_kg":\{"value":[0-9.]*,"low":[0-9.]*,"high":[0-9.]*/) {
        split(substr($0, RSTART, RLENGTH), part, /[:,]/)
        exit !(part[5] < 104 && part[7] > 104 && part[5] > 60 && part[7] < 160) }' || fail "$(tail -n 1 out | head -c 300)"
    run 0 set --lift bench --bar-mass 50,65,82.5 --strength --format json light.csv middle.csv heavy.csv
    [ "$(grep -c '"schema": ' out)" -eq 4 ] || fail 'not an array of three sets and their strength'
}

strength_that_cannot_be_told_says_why() {
    run 0 set --lift bench --bar-mass 80 --strength bench.csv
    grep -q 'maximum: not told' out || fail "$(tail -n 8 out)"
    run 2 set --lift bench --strength bench.csv
    refused --bar-mass
}

a_bad_rig_is_told_of_once_for_each_log_and_no_figure_comes() {
    printf '[bar]\nmass = 20 stone\n' >stone.ini
    run 3 set --lift bench --rig stone.ini bench.csv
    refused stone.ini:2 mass
}

for test in $(declare -F | awk '{ print $3 }' | grep -vE '^(fail|run|out_is|number|refused)$'); do
    before=$failures
    "$test"
    [ "$failures" -gt "$before" ] || printf 'ok %s\n' "$test"
done
[ "$failures" -eq 0 ]
