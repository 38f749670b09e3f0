#!/usr/bin/env bash
# Heated tools played through by heated_tools.py, which needs a python3 with SciPy. Where there is none, nothing is
# compared, which is said.
set -u
tool=$(realpath -- "${STROKEWRIGHT:-$(dirname "$0")/../../build/strokewright}") || exit 1
cd "$(dirname "$0")/../.." || exit 1
for python in python3 /usr/bin/python3; do
    if $python -c 'import scipy' 2>/dev/null; then
        exec $python tests/reference/heated_tools.py "$tool"
    fi
done
echo "python3-scipy is not installed: nothing was compared"
exit 77
