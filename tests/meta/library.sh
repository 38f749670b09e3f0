#!/usr/bin/env bash
# The library as it is installed: its header stands alone, its shared object exports what the header declares and nothing
# else, and a stranger's program that has only that builds against both forms and runs.
set -u
cd "$(dirname "$0")/../.." || exit 1
if [ ! -e "$B/libstrokewright.so" ]; then # instrumented objects are not for others, in neither form
    [ "$B" != build ] && [ ! -e "$B/installed/libstrokewright.a" ] && echo '1 passed, 0 failed' && exit 0
    echo "a library is missing in $B"
    exit 1
fi
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
# -o all: the build under test as it is, whatever its flags were.
env -u MAKEFLAGS -u MFLAGS -u MAKELEVEL make -o all install B="$B" DESTDIR="$dir" PREFIX=/usr >"$dir/log" 2>&1 || { cat "$dir/log"; exit 1; }
bad=0
cc=${CC:-cc}
include=$dir/usr/include lib=$dir/usr/lib

grep -n '#include "' "$include/strokewright.h" && { echo "the header includes more than the C library"; bad=1; }
declared=$(grep -o '\bstrokewright_[a-z_]*(' "$include/strokewright.h" | tr -d '(' | sort -u)
exported=$(nm -D --defined-only "$lib/libstrokewright.so" | awk '$2 == "T" || $2 == "D" || $2 == "R" || $2 == "B" { print $3 }' | sort -u)
for name in $exported; do
    grep -qx "$name" <<<"$declared" || { echo "exported and not declared: $name"; bad=1; }
done
for name in $declared; do
    grep -qx "$name" <<<"$exported" || { echo "declared and not exported: $name"; bad=1; }
done
global=$(nm --defined-only -g "$lib/libstrokewright.a" | awk 'NF == 3 { print $3 }' | sort -u)
[ "$global" = "$exported" ] || { echo "the static library has other global symbols than the shared one"; bad=1; }

flags=$(PKG_CONFIG_SYSROOT_DIR=$dir PKG_CONFIG_PATH=$lib/pkgconfig PKG_CONFIG_ALLOW_SYSTEM_CFLAGS=1 \
    PKG_CONFIG_ALLOW_SYSTEM_LIBS=1 pkg-config --cflags --libs strokewright) || bad=1
for client in tests/clients/*.c; do
    $cc -std=c11 -Wall -Wextra -Werror -o "$dir/shared" "$client" $flags -lm || { bad=1; continue; }
    $cc -std=c11 -Wall -Wextra -Werror -I"$include" -o "$dir/static" "$client" "$lib/libstrokewright.a" \
        -lnettle -lm -ldl || { bad=1; continue; }
    LD_LIBRARY_PATH=$lib "$dir/shared" recipes/demo/river-logger-lid.recipe >"$dir/out" || { cat "$dir/out"; bad=1; }
    "$dir/static" recipes/demo/river-logger-lid.recipe | cmp -s - "$dir/out" || { echo "$client: both forms differ"; bad=1; }
done
[ -s "$dir/out" ] || bad=1
echo "$((1 - bad)) passed, $bad failed"
exit $bad
