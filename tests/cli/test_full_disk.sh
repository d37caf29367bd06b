#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# A disk that is full: the old report stays, nothing half-written is left, it is said, and a block goes on where it stopped. Wants to mount a disk of
# 64 kB in memory; where that cannot be, ends with 77. usage: test_full_disk.sh PROGRAM SIMULATE
set -uo pipefail
program=$1
simulate=$2
if [ "${3-}" != mounted ]; then
    unshare --mount true 2>/dev/null && exec unshare --mount "$BASH" "$0" "$program" "$simulate" mounted
    echo 'skipped: no mount may be made here'
    exit 77
fi
folder=$(mktemp -d)
trap 'cd /; umount "$folder/disk" 2>/dev/null; rm -rf "$folder"' EXIT
mkdir "$folder/disk"
mount -t tmpfs -o size=64k tmpfs "$folder/disk" 2>/dev/null || {
    echo 'skipped: no tmpfs may be mounted here'
    exit 77
}
cd "$folder" || exit 1
"$simulate" --seed 11 --rate 25 --reps 2 --out bench.csv || exit 1
failures=0
fail() {
    printf 'FAILED: %s\n' "$1"
    failures=$((failures + 1))
}

echo old >disk/report
cp disk/report old
head -c 40000 /dev/zero >disk/fill # text still fits, a page does not
for call in 'set --format json' 'set --format csv' 'check'; do
    # shellcheck disable=SC2086 # a command and its options
    "$program" $call bench.csv >wanted && "$program" $call --out disk/small bench.csv || fail "$call: what fits was not written"
    cmp wanted disk/small || fail "$call: another report"
done
rm disk/small
head -c 100000 /dev/zero >>disk/fill 2>/dev/null # to the last byte
for call in 'set --format json' 'set --format csv' 'set' 'check'; do
    # shellcheck disable=SC2086
    "$program" $call --out disk/report bench.csv 2>err
    [ $? -eq 1 ] || fail "$call: another status than 1"
    [ "$(cat err)" = 'barplumb: disk/report: No space left on device' ] || fail "$call: $(cat err)"
    cmp old disk/report || fail "$call: the old report is gone"
    [ "$(find disk -type f | wc -l)" -eq 2 ] || fail "$call: left behind: $(ls disk)"
done
rm disk/fill disk/report

# A block: pages and records stop where the disk is full, each that stands is whole, and with room again the next run goes on.
printf 'date,lifter,lift,setup,log\n2026-03-02,L1,bench,straight,bench.csv\n2026-03-09,L1,bench,straight,bench.csv\n' >block.csv
"$program" cycle --out fresh block.csv >/dev/null 2>&1 || fail 'cycle: an undisturbed run'
mount -o remount,size=512k disk
for room in 40 116 132 148 180 200 220 232 240; do
    rm -rf disk/pages
    head -c $(((512 - room) * 1024)) /dev/zero >disk/fill
    "$program" cycle --out disk/pages block.csv >/dev/null 2>err
    [ $? -eq 1 ] || fail "cycle, $room kB: another status than 1"
    grep -q '^barplumb: disk/pages.*: No space left on device$' err || fail "cycle, $room kB: $(cat err)"
    while read -r file; do
        cmp -s "$file" "fresh${file#disk/pages}" || fail "cycle, $room kB: $file is not whole"
    done < <(find disk/pages -type f)
done
rm disk/fill
mount -o remount,size=64m disk
"$program" cycle --out disk/pages block.csv >/dev/null 2>&1 || fail 'cycle: with room again'
diff -r fresh disk/pages || fail 'cycle: not what an undisturbed run gives'
exit $((failures > 0))
