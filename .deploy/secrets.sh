#!/usr/bin/env bash
# Makes what nobody may know and is not there yet: the database's password, and of each workshop its key and DATABASE_URL.
set -euo pipefail
umask 077
mkdir -p "$(dirname "${BASH_SOURCE[0]}")/secrets"
cd "$(dirname "${BASH_SOURCE[0]}")/secrets"
[ -e database ] || openssl rand -hex 32 > database
for workshop in "$@"; do
    [ -e "$workshop" ] || openssl rand -hex 32 > "$workshop"
    echo "postgres://mordant:$(cat database)@database/${workshop//-/_}" > "$workshop-database"
done
# whoever runs in a container is nobody's account here
chmod 644 -- *
