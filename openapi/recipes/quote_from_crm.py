"""A record of a CRM becomes a saved quote: `python quote_from_crm.py record.json`.

SERVICE is the address of the service, SERVICE_KEY a key of scope `quotes`. Prints what the CRM
keeps: the id, the total, and whether anything is not priced. Sent twice it saves once.
"""

import json
import os
import sys
import urllib.error
import urllib.request

SERVICE = os.environ.get("SERVICE", "http://127.0.0.1:8000")
KEY = os.environ.get("SERVICE_KEY", "")


def quote_of(record: dict) -> dict:
    """The request that a record comes to. What holds for every job of yours stands here."""
    height = f"{record['height_ft']} ft"
    ends = {"top": height, "front_grade": "0 ft"}
    return {
        "reference": f"crm-{record['id']}",
        "title": record["title"],
        "units": "us",
        "wall_system": "terrace_8in",
        "section": "plain_gravity",
        "walls": [
            {
                "plan": [{"kind": "straight", "length": f"{record['length_ft']} ft"}],
                "profile": [{"station": "0 ft", **ends}, {"station": "end", **ends}],
            }
        ],
        "rates": "small_crew",
        "prices": {"price_list": os.environ.get("PRICE_LIST", "demo_2026")},
        "terms": "standard",
    }


def main(path: str) -> None:
    """Save the quote of a record."""
    with open(path, encoding="utf-8") as file:
        record = json.load(file)
    body = {
        "quote": quote_of(record),
        "customer": {"name": record["name"], "email": record["email"]},
        "metadata": {"crm_id": str(record["id"])},
    }
    head = {"Content-Type": "application/json", "Idempotency-Key": f"crm-{record['id']}"}
    if KEY:
        head["Authorization"] = f"Bearer {KEY}"
    request = urllib.request.Request(f"{SERVICE}/v1/saved-quotes", json.dumps(body).encode(), head)
    try:
        with urllib.request.urlopen(request, timeout=120) as answer:
            saved = json.load(answer)
    except urllib.error.HTTPError as error:
        problem = json.load(error)
        print(f"{problem['title']}: {problem.get('detail', '')}", file=sys.stderr)
        for fault in problem.get("errors", []):
            print(fault["pointer"], fault["message"], fault.get("hint") or "", file=sys.stderr)
        sys.exit(1)
    facts = saved["facts"]
    print(json.dumps({"id": saved["id"], "total": facts["total"], "complete": facts["complete"]}))


if __name__ == "__main__":
    main(sys.argv[1])
