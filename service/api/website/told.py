"""What a visitor is told where no range comes: beside the fields, or above the form."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from http import HTTPStatus

from starlette.responses import Response

from service.api.website.fields import Json
from service.core import rounding
from service.core.errors import Fault

# Where an answer doesn't say how long to wait.
_SECONDS = 60
_MINUTE = 60


def said_faults(
    faults: Iterable[Fault], form: Json, typed: Mapping[str, str], words: Mapping[str, str]
) -> dict[str, str]:
    """What is wrong, by field; faults of no field that the page shows are left out."""
    schemas = {"answers": form["schema"], "lead": form.get("lead_schema") or {"properties": {}}}
    found = {}
    for fault in faults:
        part, name = (*map(str, fault.at), "", "")[:2]
        schema = schemas.get(part, {}).get("properties", {}).get(name)
        if schema is not None:
            key = f"{part}.{name}"
            found[key] = words[_said(schema, given=bool(typed.get(key, "").strip()))]
    return found


def notice_of(response: Response, words: Mapping[str, str]) -> str:
    """What is said above the form of an answer that is none."""
    if response.status_code == HTTPStatus.CONFLICT:
        return words["changed"]
    if response.status_code == HTTPStatus.UNPROCESSABLE_ENTITY:
        return words["faults"]
    if response.status_code != HTTPStatus.TOO_MANY_REQUESTS:
        return words["no_answer"]
    given = response.headers.get("retry-after", "")
    seconds = int(given) if given.isdecimal() else _SECONDS
    return words["too_many"].replace(
        "{minutes}", str(max(1, rounding.whole_chunks(seconds, _MINUTE)))
    )


def _said(schema: Json, *, given: bool) -> str:
    if given:
        return "unreadable"
    return "consent" if schema.get("type") == "boolean" else "missing"
