#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# tools/check-tree must name every breach of a tree made to break each rule once, and pass the same tree mended.
#   test_check_tree.sh WORK_DIR
set -euo pipefail

work=$1
here=$(cd "$(dirname "$0")" && pwd)
rm -rf "$work"
mkdir -p "$work/tools" "$work/src/base" "$work/docs"
cp "$here/../../tools/check-tree" "$work/tools/"
export GIT_CEILING_DIRECTORIES=$work/.. # the tree under test is no part of any repository
licence='/* SPDX-License-Identifier: GPL-3.0-or-later */'

fail() {
    printf 'test_check_tree: %s\n' "$*" >&2
    exit 1
}

# function_of LINES: a C function with that many lines between its braces, braces included.
function_of() {
    printf 'int f(void)\n{\n'
    for ((i = 0; i < $1 - 3; i++)); do printf '    ;\n'; done
    printf '    return 0;\n}\n'
}

# must_say TEXT: check-tree fails and one of its lines holds TEXT.
must_say() {
    local said
    if said=$("$work/tools/check-tree"); then fail "passed, though it should say '$1'"; fi
    grep -qF "$1" <<<"$said" || fail "said '$said', not '$1'"
    printf 'ok: %s\n' "$1"
}

must_pass() {
    "$work/tools/check-tree" >"$work.out" || fail "$1: $(cat "$work.out")"
    printf 'ok: %s\n' "$1"
}

echo '[tour](architecture.md) [a](a.md)' >"$work/docs/README.md"
echo "the stage \`src/base\`" >"$work/docs/architecture.md"
touch "$work/docs/a.md"

{ echo "$licence" && function_of 80; } >"$work/src/base/a.c"
must_pass 'a function of 80 lines passes'
{ echo "$licence" && function_of 81; } >"$work/src/base/a.c"
must_say 'src/base/a.c:3: function of 81 lines'
{ echo "$licence" && seq 800 | sed 's,.*,,'; } >"$work/src/base/a.c"
must_say 'src/base/a.c: 801 lines'
function_of 5 >"$work/src/base/a.c"
must_say 'src/base/a.c: no SPDX line'
rm "$work/src/base/a.c"

touch "$work/notes.txt"
must_say 'notes.txt: not an agreed name at the top level'
rm "$work/notes.txt"

printf 'see %s #12\n' issue >"$work/docs/a.md"
must_say 'docs/a.md:1:'
printf 'see /%s/main\n' work >"$work/docs/a.md"
must_say 'docs/a.md:1:'
printf 'see the manual\n' >"$work/docs/a.md"
must_pass 'plain text passes'

printf '[here](nowhere.md#part) and [there](https://example.org/)\n' >"$work/docs/a.md"
must_say 'docs/a.md: link to nowhere.md, which is not there'
touch "$work/docs/nowhere.md"
must_say 'docs/nowhere.md: not in the index'
rm "$work/docs/nowhere.md" "$work/docs/a.md"
printf '[tour](architecture.md)\n' >"$work/docs/README.md"
mkdir -p "$work/src/motion" "$work/include/barplumb"
echo "$licence" >"$work/src/motion/b.c"
must_say 'src/motion: not in docs/architecture.md'
rm "$work/src/motion/b.c"
echo "$licence" >"$work/include/barplumb/c.h"
must_say 'c.h: not in docs/architecture.md'
