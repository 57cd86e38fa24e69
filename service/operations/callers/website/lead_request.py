"""What a visitor leaves so that he can be reached, as a form asks for it and as it is read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any

from pydantic import Field
from pydantic_core import PydanticCustomError

from service.catalog.documents.website import Consent
from service.documents.words import Words, msgid
from service.fields import LongText, PlainText, refused, short_text
from service.operations.ruled import RuledModel
from service.operations.saved.customer_request import Email

_LONGEST_LINK = 500
_LINE = r"^\S.*$"
_MAIL = r"^[^@\s]+@[^@\s]+$"
_SHOWN_LINK = r"^https://\S+$"
_LINK = r"^https://[^\s\x00-\x1f\x7f-\x9f\"<>\\^`{|}]+$"
PHOTOS = ("photo_1", "photo_2", "photo_3")

PhotoLink = Annotated[
    str,
    PlainText(
        "link-invalid",
        "an address that begins with https://",
        _LINK,
        _LONGEST_LINK,
        "https://photos.example.com/bank.jpg",
    ),
]


class LeadRequest(RuledModel):
    """How a visitor is reached and what he wishes. Without `consent` nothing is kept."""

    name: Annotated[str, short_text("A. Example")] | None = None
    email: Email | None = None
    phone: Annotated[str, short_text("555-0100")] | None = None
    wish: LongText | None = Field(None, description="In the visitor's own words.")
    photo_1: PhotoLink | None = None
    photo_2: PhotoLink | None = None
    photo_3: PhotoLink | None = None
    consent: bool = Field(False, description="Whether the box beside the consent is ticked.")

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """There is a way to reach the visitor, and he agreed to what is kept."""
        if not {"email", "phone"} & set(document):
            message = "an e-mail address or a telephone number is needed to get in touch"
            yield refused("lead-not-reachable", message, "one of the two", at=("email",))
        if document.get("consent", False) is False:
            message = "nothing is kept without consent"
            yield refused("consent-missing", message, "the box ticked: true", at=("consent",))

    @property
    def photos(self) -> tuple[str, ...]:
        """The links to photos."""
        return tuple(link for link in (self.photo_1, self.photo_2, self.photo_3) if link)


# Each field: title, description, its form, an example.
_FIELDS: tuple[tuple[str, str, str, dict[str, Any]], ...] = (
    (
        "name",
        msgid("Your name"),
        msgid("As you like to be called."),
        {"maxLength": 200, "pattern": _LINE, "examples": ["A. Example"]},
    ),
    (
        "email",
        msgid("Your e-mail address"),
        msgid("This or a telephone number is needed."),
        {"maxLength": 254, "pattern": _MAIL, "examples": ["a.example@example.com"]},
    ),
    (
        "phone",
        msgid("Your telephone number"),
        msgid("This or an e-mail address is needed."),
        {"maxLength": 200, "pattern": _LINE, "examples": ["555-0100"]},
    ),
    (
        "wish",
        msgid("What do you wish for?"),
        msgid("What the wall is for, what matters to you, what you ask yourself."),
        {"maxLength": 2000, "examples": ["Room for a bench"]},
    ),
)


def lead_schema(consent: Consent, words: Words) -> dict[str, Any]:
    """The flat JSON Schema of a lead, with the words that are agreed to."""
    photo = {
        "type": "string",
        "description": words.say("An address that begins with https://."),
        "maxLength": _LONGEST_LINK,
        "pattern": _SHOWN_LINK,
        "examples": ["https://photos.example.com/bank.jpg"],
    }
    ticked = {
        "type": "boolean",
        "const": True,
        "title": consent.text[words.language],
        "description": words.say("Nothing is kept without it."),
        "examples": [True],
    }
    fields: dict[str, Any] = {
        name: {"type": "string", "title": words.say(title), "description": words.say(said), **shape}
        for name, title, said, shape in _FIELDS
    }
    for number, name in enumerate(PHOTOS, start=1):
        fields[name] = {"title": words.say("Link to photo {number}", number=number), **photo}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "type": "object",
        "title": words.say("How do we reach you?"),
        "properties": {**fields, "consent": ticked},
        "required": ["consent"],
        "additionalProperties": False,
    }
