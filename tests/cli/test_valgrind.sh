#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The commands' main paths under Valgrind: nothing read before it was written, nothing read or written beside an array,
# nothing lost; the same report as without. Ends with 77 where Valgrind is not. usage:
#   test_valgrind.sh PROGRAM SIMULATE SOURCE_DIR
set -uo pipefail
program=$1
simulate=$2
fixtures=$3/fixtures
command -v valgrind >/dev/null || {
    echo 'skipped: no valgrind'
    exit 77
}
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder" || exit 1
"$simulate" --seed 11 --rate 25 --reps 1 --out bench.csv && "$simulate" --seed 11 --rate 25 --reps 1 --out bench.wav || exit 1
cp "$fixtures/rigs/bench-chains-and-bands.ini" rig.ini
cp "$fixtures/rigs/gym-stock.ini" stock.ini
cp -r "$fixtures/layouts/22-one-file-a-sensor" sensors
printf 'time,ax,ay,az\n0,1,2,9\n0.01,1,x,9\n' >bad.csv
valgrind --quiet --error-exitcode=99 "$program" --version >/dev/null 2>err || {
    echo "skipped: valgrind does not run this build: $(head -c 200 err)" # one with sanitizers
    exit 77
}
failures=0

# under STATUS ARGUMENT…
under() {
    local wanted=$1 status=0
    shift
    "$program" "$@" >plain 2>/dev/null
    valgrind --quiet --error-exitcode=99 --leak-check=full --show-leak-kinds=definite,indirect,possible \
        --errors-for-leak-kinds=definite,indirect,possible "$program" "$@" >out 2>err || status=$?
    if [ "$status" -ne "$wanted" ] || ! cmp plain out; then
        printf 'FAILED %s: status %d instead of %d, or another report\n%s\n' "$*" "$status" "$wanted" "$(head -c 3000 err)"
        failures=$((failures + 1))
    else
        printf 'ok %s\n' "$*"
    fi
}

under 0 check bench.csv
under 0 check --format json bench.wav
under 0 check sensors
under 3 set bad.csv
under 0 set --lift bench --rig rig.ini --format html bench.csv
under 0 set --lift bench --bar-mass 60 --strength bench.csv
under 0 load --format json rig.ini
under 0 load --want-lockout 140kg --want-share 20% --rows 3 stock.ini
exit $((failures > 0))
