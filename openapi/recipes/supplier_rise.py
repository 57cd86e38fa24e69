"""A supplier's file goes into a price list, and the open quotes are priced again:
`python supplier_rise.py LIST FILE.csv 2026-07-01 [--write]`.

Without `--write` nothing is stored: it prints what would change. With it the file is written, then
the drafts. Quotes whose margin falls under FLOOR (0.10 unless set) are printed first. SERVICE is
the address of the service, SERVICE_KEY a key of scope `prices`. The list has a column mapping.
Ends with 1 where the file has faults or a quote can't be priced.
"""

import json
import os
import sys
import time
import urllib.error
import urllib.request
import uuid

SERVICE = os.environ.get("SERVICE", "http://127.0.0.1:8000")
KEY = os.environ.get("SERVICE_KEY", "")
FLOOR = os.environ.get("FLOOR", "0.10")


def call(method: str, path: str, body: bytes | None = None, **head: str) -> dict:
    """The answer to a call; a problem ends the script with its words."""
    head = {name.replace("_", "-"): value for name, value in head.items()}
    head |= {"Authorization": f"Bearer {KEY}"} if KEY else {}
    if method == "POST":
        head["Idempotency-Key"] = uuid.uuid4().hex
    path = path if path.startswith("http") else SERVICE + path
    request = urllib.request.Request(path, body, head, method=method)
    try:
        with urllib.request.urlopen(request, timeout=300) as answer:
            return json.load(answer)
    except urllib.error.HTTPError as error:
        problem = json.load(error)
        faults = [f"\n{each['pointer']} {each['message']}" for each in problem.get("errors", [])]
        sys.exit(f"{problem['title']}: {problem.get('detail', '')}{''.join(faults)}")


def imported(list_id: str, file: bytes, day: str, *, write: bool) -> None:
    """Print the preview of a file, and write it where that is asked for."""
    path = f"/v1/price-lists/{list_id}/imports?effective_from={day}"
    seen = call("POST", path, file, Content_Type="text/csv")
    for fault in seen["faults"]:
        print(f"{fault['cell']}: {fault['message']}", file=sys.stderr)
    if not seen["importable"]:
        sys.exit(1)
    for row in seen["changed"]:
        costs = f"{row['old']['unit_cost']} -> {row['new']['unit_cost']}"
        print(f"{row['item']}: {costs} ({row.get('percent', '?')} %)")
    if write:
        # Who says --write has read the preview.
        path += f"&mode=write&preview={seen['preview']}"
        path += "".join(f"&{word}=true" for word in seen["needs"])
        call("POST", path, file, Content_Type="text/csv", If_Match=seen["etag"])


def repriced(asked: dict) -> dict:
    """A re-pricing when it is over: of many quotes it goes on after the answer to the call."""
    head = {"Content_Type": "application/json", "Prefer": "respond-async"}
    seen = call("POST", "/v1/repricings", json.dumps(asked).encode(), **head)
    while seen["status"] in ("queued", "running", "waiting"):
        time.sleep(1)
        seen = call("GET", f"/v1/repricings/{seen['id']}")
    if seen["status"] == "succeeded":
        return seen
    sys.exit(f"re-pricing {seen['id']} has {seen['status']}: {seen.get('failure', '')}")


def main(list_id: str, file: str, day: str, *, write: bool) -> None:
    """Import a file; then preview and write the quotes on its list."""
    with open(file, "rb") as opened:
        imported(list_id, opened.read(), day, write=write)
    if not write:
        return
    asked = {"price_list": list_id, "quotes": {"price_list": list_id}, "margin_floor": FLOOR}
    preview = repriced(asked)
    address = f"{preview['items']}?only=under_margin"
    while address:
        page = call("GET", address)
        for item in page["items"]:
            print(f"under {FLOOR}: {item['reference']} {item['old_total']} -> {item['new_total']}")
        address = page.get("next")
    run = repriced({"mode": "write", "preview": preview["id"]})
    print(f"{run['id']}: {run['counts']['changed']} drafts")
    sys.exit(1 if run["counts"]["failed"] else 0)


if __name__ == "__main__":
    main(*(word for word in sys.argv[1:] if word != "--write"), write="--write" in sys.argv)
