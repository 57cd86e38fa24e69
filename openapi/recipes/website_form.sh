#!/bin/sh
# The website's form, asked for and filled in: website_form.sh answers.json
# The file has the answers by their names: {"length": "40", "height": "3", ...}. Prints the price
# range, or why somebody has to come and look. SERVICE is the address of the service, SERVICE_KEY a
# key of scope website, ORIGIN one of its origins.
set -eu
service=${SERVICE:-http://127.0.0.1:8000}
ask() {
    printf 'header = "Authorization: Bearer %s"\n' "$SERVICE_KEY" |
        curl --config - --silent --show-error --fail-with-body --max-time 60 \
            --header "Origin: $ORIGIN" --header 'Accept-Language: en' "$@"
}
form=$(ask "$service/v1/website/form")
version=$(printf '%s' "$form" |
    python3 -c 'import json, sys; print(json.load(sys.stdin)["form_version"])')
body=$(printf '{"form_version": %s, "website": "", "answers": %s}' "$version" "$(cat "$1")")
ask --header 'Content-Type: application/json' --data-binary "$body" \
    "$service/v1/website/price-range"
echo
