#!/usr/bin/env bash
# A build that cannot be written says so, exits 2 and leaves no half of a file behind.
set -u
cd "$(dirname "$0")/../.." || exit 1
scratch=$(mktemp -d) || exit 1
trap 'chmod -R u+w "$scratch"; rm -rf "$scratch"' EXIT
recipe=recipes/demo/river-logger-lid.recipe
passed=0 failed=0

verdict() { # name, good?
    if [ "$2" = yes ]; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "no room: $1"; fi
}

# Past the size limit of 2 KiB a file: the larger files cannot be written.
message=$( (ulimit -f 2; "$STROKEWRIGHT" build "$recipe" --out "$scratch/limited") 2>&1)
status=$?
verdict 'exit status with a file size limit' "$([ $status -eq 2 ] && echo yes)"
verdict 'message with a file size limit' "$(grep -q 'cannot write .*: File too large' <<<"$message" && echo yes)"
verdict 'half a file is left' "$([ -z "$(find "$scratch/limited" -name '*.part-*')" ] && echo yes)"
for file in "$scratch"/limited/*; do
    [ ! -e "$file" ] || verdict "$file is cut short" "$([ "$(stat -c %s "$file")" -lt 2048 ] && echo yes)"
done

# A file stands where the folder should be.
: >"$scratch/taken"
message=$("$STROKEWRIGHT" build "$recipe" --out "$scratch/taken" 2>&1)
verdict 'a file in place of the folder' "$([ $? -eq 2 ] && grep -q 'there is a file of that name' <<<"$message" && echo yes)"

# A folder that may not be written to; root may write anywhere, so only others can see this.
mkdir "$scratch/locked" && chmod a-w "$scratch/locked"
if [ "$(id -u)" -ne 0 ]; then
    message=$("$STROKEWRIGHT" build "$recipe" --out "$scratch/locked" 2>&1)
    verdict 'a folder that may not be written to' "$([ $? -eq 2 ] && grep -q 'cannot write' <<<"$message" && echo yes)"
fi

# A full disk, behind standard output.
if [ -e /dev/full ]; then
    message=$("$STROKEWRIGHT" value "$recipe" 2>&1 >/dev/full)
    verdict 'standard output on a full disk' "$([ $? -eq 2 ] && grep -q 'standard output cannot be written' <<<"$message" && echo yes)"
fi
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -gt 4 ]
