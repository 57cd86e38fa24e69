#!/bin/sh
# A key is changed for a new secret of the same id: rotate_key.sh ID FILE
# Writes the new secret to FILE, readable by its owner alone; whatever uses the key reads it there.
# The old one holds for another 7 days, or as long as OVERLAP says (0d: not at all).
# SERVICE is the address of the service, SERVICE_KEY a key of scope admin.
set -eu
service=${SERVICE:-http://127.0.0.1:8000}
umask 077
trap 'rm -f "$2.part"' EXIT
answer=$(printf 'header = "Authorization: Bearer %s"\n' "$SERVICE_KEY" |
    curl --config - --silent --show-error --fail-with-body --max-time 60 --request POST \
        --header 'Content-Type: application/json' --data "{\"overlap\": \"${OVERLAP:-7d}\"}" \
        "$service/v1/api-keys/$1/rotate") || {
    code=$?
    printf '%s\n' "$answer" >&2
    exit "$code"
}
printf '%s' "$answer" | python3 -c 'import json, sys; print(json.load(sys.stdin)["key"])' >"$2.part"
mv "$2.part" "$2"
