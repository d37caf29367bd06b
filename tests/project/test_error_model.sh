#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# docs/error-model.md names every prior with the default it has in the sources, and none that is not there.
#   test_error_model.sh SOURCE_DIR
set -euo pipefail

cd "$1"
page=docs/error-model.md
failures=0

fail() {
    printf 'test_error_model: %s\n' "$1"
    failures=$((failures + 1))
}

# of_page FILE: "name value" of each row `name` | value | under the page's heading that names FILE.
of_page() {
    awk -v file="$1" -F'|' '
        /^## / { mine = index($0, "`" file "`") > 0 }
        mine && $2 ~ /^ `[a-z_0-9]+` $/ { gsub(/[ `]/, "", $2); gsub(/ /, "", $3); print $2, $3 }' "$page" | sort
}

# of_source FILE NAME: "name value" of each field of the struct constant NAME in FILE.
of_source() {
    awk -v name="$2" '
        index($0, name " = {") { mine = 1 }
        mine && match($0, /\.[a-z_0-9]+ = [-0-9.e+]+,/) {
            row = substr($0, RSTART + 1, RLENGTH - 2)
            sub(/ = /, " ", row)
            print row
        }
        mine && /^};/ { mine = 0 }' "$1" | sort
}

# plain: numbers as numbers, so that 1.0 and 1 are the same.
plain() {
    awk '{ printf "%s %.12g\n", $1, $2 }'
}

# agree FILE NAME: page and source hold the same priors with the same defaults.
agree() {
    local in_page in_source
    in_page=$(of_page "$1" | plain)
    in_source=$(of_source "$1" "$2" | plain)
    [ -n "$in_source" ] || fail "no prior found in $1"
    [ "$in_page" = "$in_source" ] ||
        fail "$page (<) and $1 (>) differ:
$(diff <(echo "$in_page") <(echo "$in_source") | grep '^[<>]')"
    # A field that is declared and not set would be 0, and in neither list.
    local field
    while read -r field; do
        grep -q "^$field " <<<"$in_source" || fail "$field of ${1%.c}.h has no default in $1"
    done < <(sed -n '/^struct bp_.*prior {/,/^};/p' "${1%.c}.h" | tr '\n' ' ' |
        sed -E 's,/\*([^*]|\*[^/])*\*/,,g' | grep -oE 'double [^;]+;' | sed 's/double//; s/[,;]/ /g' | xargs -n 1)
}

agree src/motion/prior.c bp_prior_defaults
if [ -f src/summary/sideways_prior.c ]; then
    agree src/summary/sideways_prior.c bp_sideways_prior_defaults
fi

# Levels, from rep to rep and over the rack: "BP_BENCH 0.008 0.015".
in_page=$(awk -F'|' '$2 ~ /^ `BP_[A-Z]+` $/ { gsub(/[ `]/, "", $2); print $2, $3 + 0, $4 + 0 }' "$page" | sort)
in_source=$(grep -oE '\[BP_[A-Z]+\] = \{(BP_LEVEL_[A-Z]+, )?[0-9.]+, [0-9.]+\}' src/reps/closures.c |
    sed -E 's/BP_LEVEL_[A-Z]+, //' | tr -d '[]{},=' |
    awk '{ print $1, $2 + 0, $3 + 0 }' | sort)
[ "$(wc -l <<<"$in_source")" -eq 9 ] || fail "not five lifts, and four that have a rack, in src/reps/closures.c"
[ "$in_page" = "$in_source" ] || fail "levels: $page (<) and src/reps/closures.c (>) differ:
$(diff <(echo "$in_page") <(echo "$in_source") | grep '^[<>]')"

# Single constants: | `NAME` in `FILE` | value |
# shellcheck disable=SC2016 # the backquotes are the page's
single='s/^\| `([A-Z_]+)` in `([^`]+)` \| ([0-9.e-]+) \|.*/\1 \2 \3/p'
count=0
while read -r name file value; do
    count=$((count + 1))
    grep -qE "\b$name = ${value//./\\.}( |,|;)" "$file" || fail "$name in $file is not $value"
done < <(sed -nE "$single" "$page")
[ "$count" -ge 14 ] || fail "only $count constants found in $page"

[ "$failures" -eq 0 ] && printf 'ok: the page holds every prior with its default\n'
exit $((failures > 0))
