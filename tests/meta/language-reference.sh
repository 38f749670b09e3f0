#!/usr/bin/env bash
# The tables of grammar/LANGUAGE.md are what the schema, units and functions say now.
"$B/reference" --check grammar/LANGUAGE.md
