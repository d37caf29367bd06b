#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# A disk that is full: the old report stays, nothing half-written is left, and it is said. Wants to mount a disk of
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
exit $((failures > 0))
