#!/usr/bin/env bash
# After `make demo`: the outputs in one folder, each with what it is.
set -u
cd "${1:?folder}" || exit 1

what() {
    case $1 in
    traveller.pdf) echo 'shop traveller, printable A4: open it first' ;;
    flow.svg) echo 'flow diagram: opens in a browser' ;;
    flow.dot) echo 'flow diagram as a Graphviz graph' ;;
    steps.txt) echo 'step table and limits, aligned text' ;;
    steps.csv) echo 'step table for a spreadsheet' ;;
    steps.json) echo 'step table for programs' ;;
    sizes.txt | tool-sizes.txt) echo 'tool sizes for the toolroom' ;;
    sizes.csv | tool-sizes.csv) echo 'tool sizes for a spreadsheet' ;;
    *) echo '' ;;
    esac
}

echo
echo 'Open these:'
for file in *; do printf '  %-52s %s\n' "$1/$file" "$(what "$file")"; done | sort -k 2 -r
