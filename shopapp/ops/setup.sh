#!/usr/bin/env bash
# Installs what is missing for `run`, `test` or `bench`: Debian packages (as root; else it
# names them), the virtual environment, and the pinned Python packages.
set -euo pipefail
purpose=${1:?run, test or bench}
cd "$(dirname "${BASH_SOURCE[0]}")/../.."

have_library() { ldconfig -p 2>/dev/null | grep -q "$1"; }

missing=()
have_library libpango-1.0.so.0 || missing+=(libpango-1.0-0)
have_library libpangoft2-1.0.so.0 || missing+=(libpangoft2-1.0-0)
have_library libharfbuzz-subset.so.0 || missing+=(libharfbuzz-subset0)
[ -e /usr/share/fonts/truetype/dejavu/DejaVuSans.ttf ] || missing+=(fonts-dejavu-core)
python3 -c 'import ensurepip, venv' 2>/dev/null || missing+=(python3-venv)
if [ "$purpose" != run ]; then
    [ -x /usr/bin/chromium ] || missing+=(chromium)
fi

if [ ${#missing[@]} -gt 0 ]; then
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        echo "Installing system packages: ${missing[*]}"
        apt-get update -qq
        DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends \
            "${missing[@]}" >/dev/null
    else
        echo "These system packages are missing; ask the machine's owner for them:" >&2
        echo "    sudo apt-get install --no-install-recommends ${missing[*]}" >&2
        exit 1
    fi
fi

python3 - <<'CHECK'
import sys
if sys.version_info < (3, 11):
    sys.exit(f"Python 3.11 or newer is needed; this is {sys.version.split()[0]}.")
CHECK

if [ ! -x .venv/bin/python ]; then
    echo "Making the virtual environment .venv"
    python3 -m venv .venv
fi
.venv/bin/python -m pip --version >/dev/null 2>&1 || .venv/bin/python -m ensurepip >/dev/null

echo "Installing Python packages (pinned in shopapp/ops/constraints.txt)"
.venv/bin/python shopapp/ops/needs.py "$purpose" > .venv/needs.txt
.venv/bin/python -m pip install --quiet --quiet --disable-pip-version-check \
    -c shopapp/ops/constraints.txt -r .venv/needs.txt

# Bytecode once, here: the first page and the first command then need not wait for it.
.venv/bin/python -m compileall -q planner shopapp
