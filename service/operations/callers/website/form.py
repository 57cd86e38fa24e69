"""The form of a website: flat JSON Schemas, in the language of whoever fills them in."""

from __future__ import annotations

from typing import Any, Final

from service.catalog.documents.company import Language
from service.catalog.documents.website import Estimated, Website
from service.core import rounding
from service.core.measure import number
from service.documents.words import Words, msgid, words_of
from service.operations.callers.website.lead_request import lead_schema
from service.operations.callers.website.questions import (
    GROUPS,
    QUESTIONS,
    Field,
    description_of,
    estimated_of,
    title_of,
)

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
# As a browser sends what is typed; a point before decimals.
DECIMAL: Final = r"^[0-9]{1,4}(\.[0-9]{1,2})?$"
POSTAL_CODE: Final = r"^[0-9A-Za-z]([ \-]?[0-9A-Za-z]){1,9}$"
_TITLE = msgid("What would the wall cost?")

Json = dict[str, Any]


def form(site: Website, language: Language) -> Json:
    """The form: `schema` of the answers, their `layout`, what holds where something isn't
    answered, the units of what is estimated, and the schema of a lead where leads are taken."""
    words = words_of(language)
    shown: Json = {
        "language": language,
        "form_version": site.form_version,
        "schema": _schema(site, words),
        "layout": _layout(site, words),
        "defaults": _defaults(site),
        "units": _units(site),
    }
    if site.consent is not None:
        shown["lead_schema"] = lead_schema(site.consent, words)
    return shown


def default_of(question: Field, site: Website) -> str:
    """The answer that is taken where a question isn't answered; empty where there is none."""
    default = QUESTIONS[question].default
    choices = site.questions.get(question, ())
    return default if default in {choice.id for choice in choices} else ""


def is_required(question: Field, site: Website) -> bool:
    """Whether a question has to be answered."""
    return not QUESTIONS[question].optional and not default_of(question, site)


def _schema(site: Website, words: Words) -> Json:
    return {
        "$schema": DIALECT,
        "type": "object",
        "title": words.say(_TITLE),
        "properties": {question: _field(question, site, words) for question in QUESTIONS},
        "required": [question for question in QUESTIONS if is_required(question, site)],
        "additionalProperties": False,
    }


def _field(question: Field, site: Website, words: Words) -> Json:
    said = {
        "type": "string",
        "title": title_of(question, site, words),
        "description": description_of(question, site, words),
    }
    if (estimated := estimated_of(question, site)) is not None:
        return {**said, "pattern": DECIMAL, "examples": _estimates(estimated)}
    if question == "postal_code":
        return {**said, "pattern": POSTAL_CODE, "examples": ["00000"]}
    choices = site.questions[question]
    options = [{"const": choice.id, "title": choice.title[words.language]} for choice in choices]
    return {**said, "oneOf": options, "examples": [choices[0].id]}


def _estimates(estimated: Estimated) -> list[str]:
    """An estimate near the lesser bound: most walls are low."""
    low = estimated.least + (estimated.most - estimated.least) / 4
    return [number(rounding.to_step(low, estimated.nearest))]


def _layout(site: Website, words: Words) -> list[Json]:
    groups = [
        {
            "title": words.say(title),
            "part": "answers",
            "fields": [name for name, asked in QUESTIONS.items() if asked.group == group],
        }
        for group, title in GROUPS.items()
    ]
    if site.consent is not None:
        fields = list(lead_schema(site.consent, words)["properties"])
        title = words.say("How do we reach you?")
        groups.append({"title": title, "part": "lead", "fields": fields})
    return groups


def _units(site: Website) -> Json:
    estimates = ((name, estimated_of(name, site)) for name in QUESTIONS)
    return {name: estimated.unit for name, estimated in estimates if estimated is not None}


def _defaults(site: Website) -> Json:
    return {name: default for name in QUESTIONS if (default := default_of(name, site))}
