#!/usr/bin/env bash
# Makes the README's picture anew from the demo's traveller: .ci/picture.sh FOLDER-OF-OUTPUTS. Wants ImageMagick.
set -eu
cd "$(dirname "$0")/.."
pages=$(mktemp -d)
trap 'rm -rf "$pages"' EXIT
pdftoppm -r 72 -png "$1/traveller.pdf" "$pages/page"
rsvg-convert --height 842 --background-color white -o "$pages/z-flow.png" "$1/flow.svg"
# Small enough for a repository: few colours, no metadata.
montage "$pages"/page-[1-3].png "$pages/z-flow.png" -tile 4x1 -geometry x842+8+8 -background '#8a8f94' "$pages/all.png"
convert "$pages/all.png" -strip -dither None -colors 96 -define png:compression-level=9 PNG8:recipes/demo/picture.png
