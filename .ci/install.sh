#!/usr/bin/env bash
# Installs the Debian packages that a task needs and that are missing; does nothing when all are there.
#   .ci/install.sh build run     what `make demo` needs
#   .ci/install.sh build run test
# The list, with the reason for each package, is .ci/packages.
set -u
cd "$(dirname "$0")/.." || exit 1
[ $# -gt 0 ] || { echo "usage: .ci/install.sh build|run|test ..." >&2; exit 2; }

wanted() { # "package why" for the needs given, each package once
    local need
    for need in "$@"; do
        awk -v need="$need" '$1 == need { p = $2; sub(/^[^ ]+ +[^ ]+ +/, ""); print p "\t" $0 }' .ci/packages
    done | sort -u -k 1,1
}

if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then
    echo "This is no Debian system, so nothing is installed. Needed, under Debian's names:"
    wanted "$@" | awk -F '\t' '{ printf "  %-20s %s\n", $1, $2 }'
    exit 0
fi

missing=() reasons=()
while IFS=$'\t' read -r package why; do
    case $(dpkg-query -W -f='${Status}' "$package" 2>/dev/null) in
    *"ok installed") ;;
    *) missing+=("$package") reasons+=("$(printf '  %-20s %s' "$package" "$why")") ;;
    esac
done < <(wanted "$@")
[ ${#missing[@]} -gt 0 ] || exit 0

as_root=() sudo=''
[ "$(id -u)" -eq 0 ] || { as_root=(sudo) sudo='sudo '; }
command=(apt-get install -y --no-install-recommends "${missing[@]}")

refuse() {
    echo "$1 Run this, then try again:" >&2
    echo "  ${sudo}apt-get update && $sudo${command[*]}" >&2
    exit 1
}

echo "Missing here, and needed (${#missing[@]} of Debian's packages):"
printf '%s\n' "${reasons[@]}"
if [ "$(id -u)" -ne 0 ]; then
    command -v sudo >/dev/null || refuse "Not root, and there is no sudo: nothing was installed."
    [ -t 0 ] || sudo -n true 2>/dev/null || refuse "sudo would ask for a password: nothing was installed."
fi

echo "Installing them ..."
log=$(mktemp) || exit 1
trap 'rm -f "$log"' EXIT
# An old or absent package list is the usual reason for a failed install, so it is fetched anew first.
"${as_root[@]}" apt-get update >"$log" 2>&1
if ! "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive "${command[@]}" >>"$log" 2>&1; then
    tail -n 20 "$log" >&2
    refuse "The installation failed."
fi
echo "Installed."
