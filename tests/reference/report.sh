#!/usr/bin/env bash
# The HTML report in Chromium: fits a phone and a wall, light and dark, prints, is accessible after axe-core, runs nothing
# that a recipe brings along. axe-core comes from npm and is kept in the build folder; without it that part is left out.
set -u
cd "$(dirname "$0")/../.." || exit 1
axe_version=4.14.1
command -v chromium >/dev/null || { echo "chromium is not there"; exit 1; }
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT

axe=$B/npm/axe-$axe_version.min.js
if [ ! -s "$axe" ] && command -v npm >/dev/null; then
    mkdir -p "$B/npm"
    (cd "$scratch" && timeout 60 npm pack --silent "axe-core@$axe_version" >/dev/null 2>&1 && tar xzf axe-core-*.tgz) &&
        cp "$scratch/package/axe.min.js" "$axe"
fi
[ -s "$axe" ] || { echo "axe-core $axe_version cannot be had from npm: accessibility is not checked"; axe=; }

build() { # name, options and recipe...
    local name=$1
    shift
    "$STROKEWRIGHT" build "$@" --only report --out "$scratch/$name" >"$scratch/said" 2>&1 || cat "$scratch/said"
}

for language in en de es ja; do
    build $language --lang $language recipes/demo/river-logger-lid.recipe
done

recipe() { # changes to the demo's texts, as sed scripts
    cp -r recipes/demo "$scratch/recipe"
    sed -i "$@" "$scratch/recipe/river-logger-lid.recipe"
    echo "$scratch/recipe/river-logger-lid.recipe"
}

page=$(recipe -e 's|"Lid, river-level logger"|"</title></h1><script>window.injected=1</script>"|' \
    -e "s|\"process engineering\"|\"'\\\\\"><img src=x onerror=window.injected=1>\"|" \
    -e 's|"RL-204"|"--><svg onload=window.injected=1>"|' \
    -e 's|"Close, hold, open\.|"</dd><iframe srcdoc=x></iframe>]]>\&#60;script>\&lt;|' \
    -e 's|"Die RL-204-1"|"</desc></svg><script>window.injected=1</script>"|')
build hostile "$page"
rm -rf "$scratch/recipe"
page=$(recipe -e 's|"Lid, river-level logger"|"מכסה למד מפלס RL-204"|' -e 's|"Close, hold, open\.[^"]*"|"ブランクをダイに置き、型を閉じる。"|' \
    -e 's|"process engineering"|"هندسة العمليات"|')
build mixed "$page"
python3 tests/reference/report.py "$scratch" ${axe:+"$axe"}
