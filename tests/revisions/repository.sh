# shellcheck shell=bash
# Sourced where a folder becomes a repository: the lid from its revision B to a broken one and a renamed one, and the file it
# uses. Dates and names are set, so that its commits have the same names everywhere.
export HOME=$PWD GIT_CONFIG_NOSYSTEM=1 GIT_AUTHOR_NAME=shop GIT_AUTHOR_EMAIL=shop@example.invalid
export GIT_COMMITTER_NAME=shop GIT_COMMITTER_EMAIL=shop@example.invalid
sources=${BASH_SOURCE[0]%/*}

commit() { # date
    git add -A '*.recipe' && GIT_AUTHOR_DATE="$1T12:00:00Z" GIT_COMMITTER_DATE="$1T12:00:00Z" git commit -qm "$1"
}

mkdir shop && git init -q -b main .
cp "$sources/press-bay.recipe" shop/ && cp "$sources/lid-b.recipe" lid.recipe
commit 2026-08-17
sed -i 's/handling  *= .*/handling = 7 s/' shop/press-bay.recipe && commit 2026-10-05
sed -i '0,/"B"/s//"C"/; 0,/2026-09-21/s//2026-11-02/; s/0.8 mm +/0.4 mm +/; s/hold  *= 1.5 s/hold = 1.2 s/' lid.recipe
cat >>lid.recipe <<'EOF'

change {
    revision = "C"
    date     = 2026-11-02
    reason   = "A sharper rim, and a shorter hold."
}
EOF
commit 2026-11-02
sed -i 's/thickness = 0.50 mm/thickness = 0.50 mn/' lid.recipe && commit 2026-11-03
sed -i 's/thickness = 0.50 mn/thickness = 0.60 mm/' lid.recipe && git mv lid.recipe river-lid.recipe && commit 2026-11-04
