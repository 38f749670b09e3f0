#!/usr/bin/env bash
# Texts full of the formats' own signs, through every output and back with Python's readers and Graphviz's.
set -u
cd "$(dirname "$0")/../.." || exit 1
command -v dot >/dev/null || { echo "dot, of the package graphviz, is not there"; exit 1; }
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
python3 tests/reference/escaping.py "$STROKEWRIGHT" "$scratch"
