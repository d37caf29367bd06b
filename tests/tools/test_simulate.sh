#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The program simulate: its options, its files, its exit status.
#   test_simulate.sh SIMULATE WORK_DIR
set -euo pipefail

simulate=$(realpath "$1")
rm -rf "$2"
mkdir -p "$2"
cd "$2"

fail() {
    printf 'test_simulate: %s\n' "$*" >&2
    exit 1
}

# status_of EXPECTED COMMAND…: the command ends with that exit status; what it says goes to said.txt.
status_of() {
    local expected=$1 status=0
    shift
    "$@" >said.txt 2>&1 || status=$?
    [ "$status" -eq "$expected" ] || fail "'$*' ended with $status, not $expected: $(cat said.txt)"
}

status_of 0 "$simulate" --help
grep -q 'Examples:' said.txt || fail 'help has no examples'
grep -q -- '--mean-speed' said.txt || fail 'help does not name --mean-speed'

options=(--lift bench --reps 3 --setup chains --mean-speed 0.5 --rate 200 --seed 7)
status_of 0 "$simulate" "${options[@]}" --out a.csv --truth a.json
status_of 0 "$simulate" "${options[@]}" --out b.csv --truth b.json
cmp a.csv b.csv && cmp a.json b.json || fail 'same seed, other bytes'
"$simulate" "${options[@]}" | cmp - a.csv || fail 'standard output differs from the file'
status_of 0 "$simulate" "${options[@]}" --seed 8 --out c.csv
! cmp -s a.csv c.csv || fail 'another seed, same bytes'
grep -q '"reps":3' a.json || fail 'the truth does not say how many reps'
[ "$(grep -c '"index":' a.json)" -eq 3 ] || fail 'the truth has not three reps'

# A random scenario keeps what was given by hand.
status_of 0 "$simulate" --random --seed 5 --lift row --rate 100 --out r.csv --truth r.json
grep -q '"lift":"row"' r.json || fail '--lift was lost beside --random'
grep -q '"rate":100.000000000' r.json || fail '--rate was lost beside --random'

# A study's scenario is another one, is named in the truth, and keeps what was given by hand.
status_of 0 "$simulate" --study --seed 5 --lift row --rate 100 --out s.csv --truth s.json
grep -q '"lift":"row"' s.json || fail '--lift was lost beside --study'
grep -q '"trouble":"[a-z]*"' s.json || fail 'the truth does not say what went wrong'
! cmp -s r.csv s.csv || fail '--study gives the log of --random'

# The rig: loads in the truth, a rig file with its own errors, or none; and no log that hangs on it.
status_of 0 "$simulate" "${options[@]}" --bar-mass 25 --lockout-height 1.3 --out rig.csv --truth rig.json --rig-out rig.ini
cmp a.csv rig.csv || fail 'the log hangs on the rig'
grep -q '"bar_mass":25.000000000' rig.json || fail 'the truth does not say the bar'
grep -q '"load_lockout_kg":[0-9]' rig.json || fail 'the truth has no loads'
grep -q '^\[chain ' rig.ini || fail 'the rig file has no chain'
! grep -q '^mass = 25.000 kg' rig.ini || fail 'the rig file has no error of measurement'
status_of 0 "$simulate" "${options[@]}" --bar-mass 25 --rig-errors 0 --out /dev/null --rig-out exact.ini
grep -q '^mass = 25.000 kg ± 0.200$' exact.ini || fail 'the rig file without errors is off'
status_of 0 "$simulate" "${options[@]}" --bar-mass 0 --out /dev/null --truth bare.json
grep -q '"load_lockout_kg":null' bare.json || fail 'a bar that is not known has loads'
status_of 2 "$simulate" --bar-mass 0 --rig-out none.ini
status_of 2 "$simulate" --setup chains --lockout-height 0.2

# A gyroscope of another rate makes a folder, a name in .wav a WAV.
status_of 0 "$simulate" --reps 1 --turn-rate 80 --out folder
[ -s folder/accelerometer.csv ] && [ -s folder/gyroscope.csv ] || fail 'the folder lacks a file'
status_of 0 "$simulate" --reps 1 --out log.wav
[ "$(head -c 4 log.wav)" = RIFF ] || fail 'log.wav is no WAV'

# Under a decimal-comma locale the bytes are the same.
if locale -a 2>/dev/null | grep -qi '^de_DE.utf-\?8$'; then
    LC_ALL=de_DE.UTF-8 "$simulate" "${options[@]}" | cmp - a.csv || fail 'the locale changes the log'
fi

status_of 2 "$simulate" --lift curl
grep -q 'bench, press, squat, deadlift or row' said.txt || fail 'the lifts are not named'
status_of 2 "$simulate" --rate 5
status_of 2 "$simulate" --rate fast
status_of 2 "$simulate" --seed -1
status_of 2 "$simulate" --no-such-option
status_of 2 "$simulate" stray
status_of 2 "$simulate" --point comma
status_of 2 "$simulate" --rise-fraction 0.8 --fall-fraction 0.8
status_of 2 "$simulate" --reps 2 --hit-rep 3
status_of 3 "$simulate" --reps 1 --out no/such/folder/log.csv
status_of 3 "$simulate" --reps 1 --rate 12.5 --out log2.wav
[ ! -e log2.wav ] || fail 'a refused WAV was left behind'
echo 'test_simulate: all held'
