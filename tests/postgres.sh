#!/usr/bin/env bash
# Run a command on a throw-away PostgreSQL: tests/postgres.sh .venv/bin/pytest
# The cluster lives in a temporary folder, listens on a socket there and nowhere else, and goes with the command.
set -euo pipefail

newest=$(compgen -G "/usr/lib/postgresql/*/bin" | sort -V | tail -n 1 || true)
PATH=${newest:+$newest:}$PATH
command -v initdb > /dev/null || { echo "PostgreSQL is missing. On Debian: sudo apt-get install postgresql" >&2; exit 1; }

folder=$(mktemp -d /tmp/tilewright-postgres.XXXXXX)

# PostgreSQL refuses to run as root.
as_postgres() {
    if [ "$(id -u)" -eq 0 ]; then su postgres -s /bin/bash -c "PATH='$PATH'; $*"; else bash -c "$*"; fi
}

finish() {
    as_postgres "pg_ctl -D $folder/data -m immediate -w stop" > /dev/null 2>&1 || true
    rm -rf "$folder"
}
trap finish EXIT

[ "$(id -u)" -ne 0 ] || chown postgres "$folder"
chmod 755 "$folder"
as_postgres "initdb -D $folder/data -A trust -U postgres -E UTF8 --locale=C.UTF-8 -N" > "$folder/initdb.log" \
    || { cat "$folder/initdb.log" >&2; exit 1; }
as_postgres "pg_ctl -D $folder/data -w -l $folder/log -o \"-c listen_addresses='' \
    -c unix_socket_directories=$folder -c fsync=off -c synchronous_commit=off\" start" > /dev/null \
    || { cat "$folder/log" >&2; exit 1; }

DATABASE_URL="postgres://postgres@/$folder/postgres" "$@"
