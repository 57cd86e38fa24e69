#!/bin/sh
# The website's form, asked for and filled in: website_form.sh answers.json
# The file has the answers by their names, as `schema` of the form lists them; of the shipped form:
# {"length": "40", "height": "3", "behind": "level", "in_front": "level", "above": "lawn",
#  "now": "bank", "way_in": "machine", "water": "runs_off"}
# Prints the price range, or why somebody has to come and look; what is wrong is told likewise.
# SERVICE is the address of the service, SERVICE_KEY a key of scope website, ORIGIN one of its
# origins.
set -eu
service=${SERVICE:-http://127.0.0.1:8000}
ask() {
    printf 'header = "Authorization: Bearer %s"\n' "$SERVICE_KEY" |
        curl --config - --silent --show-error --fail-with-body --max-time 60 \
            --header "Origin: $ORIGIN" --header 'Accept-Language: en' "$@"
}
form=$(ask "$service/v1/website/form") || {
    code=$?
    printf '%s\n' "$form"
    exit "$code"
}
version=$(printf '%s' "$form" |
    python3 -c 'import json, sys; print(json.load(sys.stdin)["form_version"])')
body=$(printf '{"form_version": %s, "website": "", "answers": %s}' "$version" "$(cat "$1")")
ask --header 'Content-Type: application/json' --data-binary "$body" \
    "$service/v1/website/price-range"
echo
