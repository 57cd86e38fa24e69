#!/bin/sh
# All saved quotes as a table that a spreadsheet opens: nightly_export.sh quotes.csv
# A row a quote; with ROWS=lines a row a price line. For cron, every night.
# SERVICE is the address of the service, SERVICE_KEY a key of scope quotes or prices.
# The file is replaced whole: a night that fails leaves the one of the night before, and says why.
set -eu
service=${SERVICE:-http://127.0.0.1:8000}
part="$1.part"
trap 'rm -f "$part"' EXIT
# The key goes in by a file of settings on standard input, so that no list of processes shows it.
{ [ -z "${SERVICE_KEY:-}" ] || printf 'header = "Authorization: Bearer %s"\n' "$SERVICE_KEY"; } |
    curl --config - --silent --show-error --fail-with-body --max-time 600 \
        --header 'Accept: text/csv' --output "$part" \
        "$service/v1/saved-quotes/export?rows=${ROWS:-quotes}" || {
    code=$?
    [ ! -e "$part" ] || cat "$part" >&2
    exit "$code"
}
mv "$part" "$1"
