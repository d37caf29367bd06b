#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Installs a build into an empty prefix and uses it as a stranger would: pkg-config alone, as C and as C++,
# against the shared and the static library, and the program from its installed place.
#   test_install.sh BUILD_DIR WORK_DIR CC CXX [COMPILER_FLAG…]
set -euo pipefail

build=$1 work=$2 cc=$3 cxx=$4
shift 4
flags=("$@")
here=$(cd "$(dirname "$0")" && pwd)
expected='10 samples over 0.09 s'

fail() {
    printf 'test_install: %s\n' "$*" >&2
    exit 1
}

# check NAME COMMAND…: the command must print exactly what the consumer prints.
check() {
    local name=$1 got
    shift
    got=$("$@") || fail "$name: exit status $?"
    [ "$got" = "$expected" ] || fail "$name: printed '$got', expected '$expected'"
    printf 'ok: %s\n' "$name"
}

rm -rf "$work"
mkdir -p "$work"
prefix=$work/prefix
cmake --install "$build" --prefix "$prefix" >"$work/install.txt"

pc=$(find "$prefix" -name barplumb.pc)
[ -n "$pc" ] || fail "no barplumb.pc was installed"
libdir=$(dirname "$(dirname "$pc")")
export PKG_CONFIG_PATH=${pc%/*}
pkg-config --exists --print-errors barplumb
read -ra compile <<<"$(pkg-config --cflags barplumb)"
read -ra shared <<<"$(pkg-config --libs barplumb)"
mapfile -t requires < <(pkg-config --print-requires-private barplumb)
read -ra private <<<"$(pkg-config --libs "${requires[@]}")"

strict=(-Wall -Wextra -Werror -pedantic)
"$cc" -std=c11 "${strict[@]}" "${flags[@]}" "${compile[@]}" "$here/consumer.c" "${shared[@]}" \
    -Wl,-rpath,"$libdir" -o "$work/c-shared"
check 'C program, shared library' "$work/c-shared"
"$cxx" -std=c++17 -x c++ "${strict[@]}" "${flags[@]}" "${compile[@]}" "$here/consumer.c" -x none "${shared[@]}" \
    -Wl,-rpath,"$libdir" -o "$work/cxx-shared"
check 'C++ program, shared library' "$work/cxx-shared"

# Every header stands alone, in both languages.
for header in "$prefix"/include/barplumb/*.h; do
    printf '#include <barplumb/%s>\nint consumer_declares_something;\n' "${header##*/}" >"$work/header.c"
    "$cc" -std=c11 "${strict[@]}" "${compile[@]}" -fsyntax-only "$work/header.c"
    "$cxx" -std=c++17 -x c++ "${strict[@]}" "${compile[@]}" -fsyntax-only "$work/header.c"
done
printf 'ok: every header stands alone\n'

# Our archive, and the shared libraries below it: Debian has no static form of all that libsndfile wants.
"$cc" -std=c11 "${strict[@]}" "${flags[@]}" "${compile[@]}" "$here/consumer.c" "$libdir/libbarplumb.a" \
    "${private[@]}" -lm -o "$work/c-static"
check 'C program, static library' "$work/c-static"
! ldd "$work/c-static" | grep -q libbarplumb || fail 'the static program still needs the shared library'

# The prefix may be moved: nothing installed may name the place it was first put.
mv "$prefix" "$work/moved"
moved_flags=$(PKG_CONFIG_PATH=${PKG_CONFIG_PATH/#$prefix/$work/moved} pkg-config --cflags barplumb)
[[ $moved_flags == *"$work/moved"* ]] || fail "after a move pkg-config still says '$moved_flags'"
printf 'ok: the prefix can be moved\n'

# The shared library gives away nothing but bp_ names.
strangers=$(nm -D --defined-only "$(find "$work/moved" -name 'libbarplumb.so')" | awk '{print $3}' |
    grep -vE '^(bp_|_init$|_fini$|__odr_asan)' || true)
[ -z "$strangers" ] || fail "exported though not ours: $strangers"
printf 'ok: only bp_ names are exported\n'

[ -z "$(find "$work/moved" -path '*/bin/barplumb')" ] || {
    "$work/moved/bin/barplumb" --version >"$work/version.txt" || fail 'the installed program does not run'
    [ -n "$(find "$work/moved" -name 'barplumb.1')" ] || fail 'the manual page is not installed'
    printf 'ok: the program runs from its installed place\n'
}
