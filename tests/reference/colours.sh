#!/usr/bin/env bash
# Colours and bars of the pages as a reader sees them: the traveller is rendered, and the ground of each signal word and
# the colour of each sign are held against ISO 3864 (danger red, warning orange, caution yellow, notice blue; prohibition
# and fire red, mandatory blue, warning yellow, safe condition green); the bars of the margins, against the JSON.
set -u
cd "$(dirname "$0")/../.." || exit 1
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
cp -r recipes/demo/. "$scratch/" && cd "$scratch" || exit 1
# A sign of each shape and each signal word.
cat >>river-logger-lid.recipe <<'EOF'

caution all-the-rest {
    signal = danger
    sign   = "M004"
    text     "Wear glasses."
}

caution way-out {
    signal = notice
    sign   = "E003"
    text     "First aid is in the office."
}

caution extinguisher {
    signal = caution
    sign   = "F001"
    text     "Class D agent stands beside the press."
}
EOF
"$STROKEWRIGHT" build river-logger-lid.recipe --only traveller,margins,steps-json --out out >said 2>&1 || { cat said; exit 1; }
pdftoppm -r 144 out/traveller.pdf page && pdftotext -bbox out/traveller.pdf words || exit 1
/usr/bin/python3 "$OLDPWD/tests/reference/colours.py" words page out/margins.svg out/steps.json
