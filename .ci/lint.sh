#!/usr/bin/env bash
# What `make lint` checks, each part by itself; the rest goes on when one fails. FLAGS: how the sources are compiled.
set -u
cd "$(dirname "$0")/.." || exit 1
B=${B:-build}
bad=0

part() { # name, command...: shows what it says only when it fails
    local name=$1 output
    shift
    if output=$("$@" 2>&1); then
        printf '  ok     %s\n' "$name"
    else
        printf '  FAILED %s\n%s\n' "$name" "$(sed 's/^/    | /' <<<"$output")"
        bad=1
    fi
}

sources() { # all C files, those new to git too
    git ls-files -co --exclude-standard "$@" | sort -u | while read -r f; do [ -e "$f" ] && echo "$f"; done
}

layout() {
    local odd
    odd=$(sources '*.c' '*.h' | xargs -n 1 sh -c 'clang-format "$0" | cmp -s - "$0" || echo "$0"')
    [ -z "$odd" ] || { echo "not as clang-format -i writes them:"; echo "$odd"; return 1; }
}

slips() {
    # One file a run: two in one make clang-tidy 14 see uninitialized va_lists that are not.
    # tests/clients finds the public header as if it were installed.
    # shellcheck disable=SC2086 # FLAGS is a list of flags
    sources '*.c' | xargs -P 2 -n 1 sh -c 'clang-tidy --quiet "$@" -- -Icompiler '"$FLAGS" tidy 2>/dev/null
}

# A library keeps no state of its own: nothing it links may stand in writable memory, generated code included.
# (.data.rel.ro is written once by the loader and read-only from then on.)
globals() {
    local found
    found=$(find "$B"/libstrokewright.a "$B"/obj/compiler/emit/pages -name "*.[ao]" -exec objdump -t {} + |
        awk -F '\t' '/file format/ { file = $1 }
            NF == 2 && $1 ~ / (\.data|\.bss|\.tdata|\.tbss|\*COM\*)[^ ]*$/ && $1 !~ / \.data\.rel\.ro[^ ]*$/ {
                split($2, size_name, " ")
                if (size_name[1] !~ /^0+$/) print file, size_name[2]
            }')
    [ -z "$found" ] || { echo "$found"; return 1; }
}

scripts() {
    git ls-files -co --exclude-standard '*.sh' '.ci/run' '*.bash' | xargs shellcheck -S warning
}

manuals() {
    mandoc -Tlint -W warning compiler/cli/man/*.[15]
}

# What a source includes must come from a package that .ci/packages names itself: one that happens to be there, for an
# older commit or as a dependency of today's version of another, is missing on the next machine.
headers() {
    local missing
    # shellcheck disable=SC2086 # FLAGS is a list of flags
    missing=$(sources '*.[chly]' ':!tests/clients' | xargs sed -nE 's/^#include <([^>]+)>.*/\1/p' | sort -u | while read -r header; do
        path=$(echo "#include <$header>" | gcc $FLAGS -E -x c - 2>/dev/null |
            sed -n "s|^# 1 \"\(/[^\"]*/${header##*/}\)\".*|\1|p" | head -n 1)
        [ -n "$path" ] || { echo "$header: not found"; continue; }
        package=$(dpkg -S "$(realpath "$path")" 2>/dev/null | sed 's/[:,].*//')
        case $package in libgcc-*) continue ;; esac # the compiler's own
        grep -qE "^[a-z]+ +${package%-common} " .ci/packages ||
            echo "$header: of ${package:-no package}, not in .ci/packages"
    done)
    [ -z "$missing" ] || { echo "$missing"; return 1; }
}

part 'layout (clang-format)' layout
part 'slips (clang-tidy)' slips
part 'layers' .ci/layers.sh
part 'headers of named packages' headers
part 'no writable global data' globals
part 'scripts (shellcheck)' scripts
part 'manual pages (mandoc)' manuals
exit $bad
