"""What is asked of a new key, and of a change of one."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Annotated, Any

from pydantic import AfterValidator, Field, ValidationInfo
from pydantic_core import PydanticCustomError

from service.fields import Id, IsoDate, PlainText, StrictModel, refused, short_text
from service.operations.callers.caller import KeyScope
from service.operations.quoting.known_ids import catalog_of
from service.operations.ruled import RuledModel
from service.units import found

MOST_ORIGINS = 20
OVERLAP = "7d"
_HOUR_S = 3600
_SECONDS = {"h": _HOUR_S, "d": 24 * _HOUR_S}
_OVERLAP = re.compile(r"(0|[1-9][0-9]?)([hd])", re.ASCII)

Origin = Annotated[
    str,
    PlainText(
        "text-invalid",
        "an origin as browsers send it: scheme and host in small letters, no path",
        r"^https?://[a-z0-9.\-\[\]:]+$",
        200,
        "https://www.example.com",
    ),
]
OverlapText = Annotated[
    str,
    PlainText("text-invalid", "hours or days, 99 at most", "^(0|[1-9][0-9]?)[hd]$", 3, "7d"),
]


def known_website(value: str, info: ValidationInfo) -> str:
    """The id of a website of the catalog."""
    websites = catalog_of(info).websites
    if value in websites:
        return value
    hint = f"one of: {', '.join(websites)}" if websites else "write its file first: websites/"
    message = f"there is no website {found(value)} in the catalog"
    raise refused("unknown-choice", message, hint)


WebsiteId = Annotated[Id, AfterValidator(known_website)]


class KeyRequest(RuledModel):
    """What a new key is for. One for a website stands alone."""

    name: Annotated[str, short_text("office")] = Field(
        description="Whose it is, so that it is known again."
    )
    scopes: Annotated[tuple[KeyScope, ...], Field(strict=False, min_length=1, max_length=5)]
    website: WebsiteId | None = Field(
        None, description="Which entry of the catalog the form is made of."
    )
    origins: Annotated[tuple[Origin, ...], Field(strict=False, max_length=MOST_ORIGINS)] = Field(
        (), description="The pages that the form stands in."
    )
    expires: IsoDate | None = Field(None, description="Its last day. Left out: it doesn't expire.")

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """A key for a website is for nothing else, and says for which one."""
        given = document.get("scopes")
        scopes = given if isinstance(given, (list, tuple)) else ()
        if "website" in scopes:
            yield from _website_faults(document, alone=len(scopes) == 1)
            return
        for name in ("website", "origins"):
            if document.get(name):
                message = f"{name} goes with a key for a website"
                yield refused("scope-not-combined", message, "leave it out", at=(name,))


class RotateRequest(StrictModel):
    """How long the secret so far goes on being good beside the new one."""

    overlap: OverlapText = Field(OVERLAP, description="`0d` ends it at once.")

    def seconds(self) -> int:
        """The time in seconds."""
        return overlap_seconds(self.overlap)


def overlap_seconds(text: str) -> int:
    """A time such as `7d` or `12h` in seconds. Raises ValueError."""
    found = _OVERLAP.fullmatch(text)
    if found is None:
        raise ValueError(f"{text} is no time")
    return int(found[1]) * _SECONDS[found[2]]


def _website_faults(document: Mapping[str, Any], *, alone: bool) -> Iterator[PydanticCustomError]:
    if not alone:
        message = "a key for a website stands in a public page: it is for nothing else"
        yield refused("scope-not-combined", message, "make two keys", at=("scopes",))
    if not document.get("website"):
        message = "a key for a website names the website"
        yield refused("field-missing", message, 'such as "demo_site"', at=("website",))
    if not document.get("origins"):
        message = "a key for a website names the origins of the pages it stands in"
        yield refused(
            "field-missing", message, 'such as "https://www.example.com"', at=("origins",)
        )
