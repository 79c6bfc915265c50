#!/bin/sh
# Make .venv and install one list of pinned requirements: PYTHON=python3 ./setup.sh requirements.txt
# Every way in which this fails ends in one line that says what to do.
set -eu
cd "$(dirname "$0")"
list=$1

stop() {
    echo "Tilewright cannot be set up. $*" >&2
    exit 1
}

new_enough() {
    "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' > /dev/null 2>&1
}

explain() {
    case $1 in
        *"No space left"* | *"Disk quota"*) stop "The disk is full: $(pwd) needs 300 MB, 1,300 with all tools. Make room, then try again." ;;
        *"Read-only file system"*) stop "$(pwd) is on a disk that can only be read. Copy it to one that can be written." ;;
        *"Permission denied"*) stop "$(pwd)/.venv may not be written by you. Check who owns this folder." ;;
        *ensurepip*) stop "This Python has no venv. On Debian: sudo apt-get install python3-venv" ;;
        *"name resolution"* | *"Failed to establish"* | *"Network is unreachable"* | *"timed out"*)
            stop "The package index does not answer. Check the network, then try again." ;;
        *"DO NOT MATCH THE HASHES"*) stop "A package is not the one that was pinned in $list. Nothing was installed." ;;
    esac
    printf '%s\n' "$1" | tail -n 5 >&2
    stop "The lines above say why."
}

python=
for candidate in "${PYTHON:-python3}" python3 python3.14 python3.13 python3.12 python3.11; do
    if new_enough "$candidate"; then
        python=$candidate
        break
    fi
done
[ -n "$python" ] || stop "Python 3.11 or newer is missing. On Debian: sudo apt-get install python3 python3-venv"

if ! new_enough .venv/bin/python || ! .venv/bin/python -m pip --version > /dev/null 2>&1; then
    echo "Making .venv …"
    said=$("$python" -m venv --clear .venv 2>&1) || explain "$said"
fi

echo "Installing $list into .venv …"
said=$(.venv/bin/python -m pip install --quiet --disable-pip-version-check --no-input --require-hashes \
    -r "$list" 2>&1) || explain "$said"
