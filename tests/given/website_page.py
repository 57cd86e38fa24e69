"""A form for a website by hand, a service that answers it, and the page over both."""

from __future__ import annotations

from typing import Any

from service.core.errors import Fault, QuoteFaultsError
from service.documents.tree import Language

LENGTH = {
    "en": ("How long is the wall, in feet?", "Roughly, along its foot."),
    "es": ("¿Qué largo tiene el muro, en pies?", "Aproximado, a lo largo de su pie."),
}
LINE = {
    "en": ("Straight or curved?", "Straight", "One gentle curve"),
    "es": ("¿Recto o curvo?", "Recto", "Una curva suave"),
}
DECIMAL = r"^[0-9]{1,4}(\.[0-9]{1,3})?$"
RANGE = {
    "range": {"below": "8415.00", "above": "13860.00", "currency": "USD", "rounded_to": "100"},
    "rests_on": ["Blocks 8 in high with <b>drainage</b> behind them"],
    "not_included": ["Permits"],
    "cautions": ["Call before anybody digs."],
}
HIGH = {"code": "over_engineer_threshold", "text": "The wall would be higher than 4 ft."}
VISIT = {"visit": {"reasons": [HIGH]}}


def form_in(language: Language) -> dict[str, Any]:
    """Four questions, three of which must be answered, and a way to reach the visitor."""
    title, told = LENGTH[language]
    line, straight, curved = LINE[language]
    properties: dict[str, dict[str, Any]] = {
        "length": {"type": "string", "title": title, "description": told, "examples": ["40"]},
        "height": {"type": "string", "title": "Height", "description": "", "examples": ["2.5"]},
        "line": {
            "type": "string",
            "title": line,
            "description": "",
            "oneOf": [
                {"const": "straight", "title": straight},
                {"const": "curved", "title": curved},
            ],
        },
        "wish": {"type": "string", "title": "A wish", "description": "", "maxLength": 1000},
    }
    for name in ("length", "height"):
        properties[name] |= {"pattern": DECIMAL, "maxLength": 8}
    return {
        "language": language,
        "schema": {
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "type": "object",
            "properties": properties,
            "required": ["length", "height", "line"],
            "additionalProperties": False,
        },
        "layout": [
            {"title": "The wall", "part": "answers", "fields": ["length", "height", "line"]},
            {"title": "You", "part": "answers", "fields": ["wish"]},
            {"title": "How do we reach you?", "part": "lead", "fields": ["email", "consent"]},
        ],
        "defaults": {"line": "straight"},
        "units": {"length": "ft", "height": "m"},  # two, so that none is taken for the other
        "form_version": 3,
        "lead_schema": lead_schema(),
    }


def lead_schema() -> dict[str, Any]:
    """How to reach the visitor."""
    email = {"type": "string", "format": "email", "title": "Mail", "maxLength": 200}
    return {
        "type": "object",
        "properties": {
            "email": {**email, "description": "", "examples": ["ann@mail.example"]},
            "consent": {"type": "boolean", "title": "You may keep this.", "description": "Ends."},
        },
        "required": ["email", "consent"],
        "additionalProperties": False,
    }


class FormByHand:
    """A website: answers with a range up to 4 ft, refuses what isn't whole, notes what it got."""

    languages: tuple[Language, ...] = ("en", "es")

    def __init__(self) -> None:
        self.bodies: list[dict[str, Any]] = []
        self.keys: list[str] = []
        self.fails: Exception | None = None

    def form(self, language: Language) -> dict[str, Any]:
        """The form."""
        return form_in(language)

    async def check(self, body: Any, _language: Language) -> None:  # noqa: ANN401
        """Raises QuoteFaultsError for what isn't whole."""
        if self.fails is not None:
            raise self.fails
        answers, lead = body["answers"], body.get("lead")
        names = ("length", "height", "line")
        faults = [fault("answers", name) for name in names if name not in answers]
        faults += [fault("answers", "length") for _ in [0] if "x" in answers.get("length", "")]
        if lead is not None:
            faults += [fault("lead", name) for name in ("email", "consent") if name not in lead]
        if faults:
            raise QuoteFaultsError(faults)

    async def answer(self, body: Any, language: Language) -> dict[str, Any]:  # noqa: ANN401
        """The range or a visit. Raises QuoteFaultsError."""
        self.bodies.append(dict(body))
        await self.check(body, language)
        found = dict(VISIT if float(body["answers"]["height"]) > 4 else RANGE)
        return {**found, "reference": "W-17"} if "lead" in body else found


def fault(part: str, name: str) -> Fault:
    """A fault at a field; its words are for programmers."""
    return Fault(code="x", at=(part, name), message=f"PROGRAMMERS {name}")
