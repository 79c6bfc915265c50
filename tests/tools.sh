#!/usr/bin/env bash
# What the tests drive besides Python: a browser, PostgreSQL, a PDF renderer. Installs what is missing where it
# may; elsewhere says in one line what to install. A tool that is missing fails the tests, it never skips them.
set -euo pipefail

missing=()
command -v chromium > /dev/null || command -v google-chrome > /dev/null || command -v chromium-browser > /dev/null \
    || missing+=(chromium)
command -v initdb > /dev/null || compgen -G "/usr/lib/postgresql/*/bin/initdb" > /dev/null || missing+=(postgresql)
command -v pdftoppm > /dev/null || missing+=(poppler-utils)
[ ${#missing[@]} -eq 0 ] && exit 0

as_root=()
[ "$(id -u)" -eq 0 ] || as_root=(sudo -n)
if ! command -v apt-get > /dev/null || ! "${as_root[@]}" true 2> /dev/null; then
    echo "The tests need ${missing[*]}. On Debian: sudo apt-get install ${missing[*]}" >&2
    exit 1
fi
echo "Installing ${missing[*]} …"
"${as_root[@]}" apt-get update -qq
"${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" > /dev/null
