"""What a caller sends to make a link, and what is answered about links."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal, get_args

import msgspec
from msgspec import UNSET, Meta, Struct, UnsetType
from pydantic import Field
from pydantic_core import PydanticCustomError

from service.documents.tree import Language, Paper
from service.fields import Id, refused, short_text
from service.operations.answer_figures import Day, EntryId, Instant
from service.operations.paper.price_rows import Detail
from service.operations.ruled import RuledModel
from service.operations.saved.saved_quote_answer import Number, instant
from service.storage.links import Link

LinkKind = Literal["customer_quote", "crew_sheet", "visit_sheet", "supplier_order"]
LinkState = Literal["open", "answered", "ended", "expired", "overtaken"]
# What one kind alone has: the option, the kind, and what is said of every other.
_OF_ONE_KIND: tuple[tuple[str, LinkKind, str], ...] = (
    ("detail", "customer_quote", "tells no customer a price"),
    ("supplier", "supplier_order", "is no supplier's order"),
)


class LinkRequest(RuledModel):
    """The paper that a link shows, and how it is to look: as for a document."""

    kind: LinkKind = Field(
        description="A customer's quote can be answered, the others are read: a crew's sheet, a "
        "visit's, a supplier's order."
    )
    company: Id | None = Field(None, description="Whose paper; the only company, left out.")
    language: Language | None = Field(None, description="The company's, left out.")
    paper: Paper | None = Field(None, description="The company's, left out.")
    detail: Detail | None = Field(
        None,
        description="Of a customer's quote: how far the price is told; `groups`, left out.",
    )
    supplier: Annotated[str, short_text("Example Supply")] | None = Field(
        None, description="Of an order: the supplier who is to see it; all, left out."
    )

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """No option is given that the paper has no use for."""
        kind = document.get("kind")
        for option, only, lacks in _OF_ONE_KIND:
            if option in document and kind != only and kind in get_args(LinkKind):
                message, hint = f"a {kind} {lacks}", f"leave it out, or link to a {only}"
                yield refused("link-option-unused", message, hint, at=(option,))


class LinkMadeAnswer(Struct, frozen=True):
    """A link that was made. Its address is told once: a repeated call gets `secret_shown`."""

    id: EntryId
    expires_at: Instant
    url: (
        Annotated[str, Meta(description="The address: whoever has it sees the paper.")] | UnsetType
    ) = UNSET
    secret_shown: (
        Annotated[bool, Meta(description="The address was told when the link was made.")]
        | UnsetType
    ) = UNSET


class LinkItem(Struct, frozen=True):
    """A link in a list; its address was told once. `viewed_on` is the last day on which it was
    looked at, `answer` what a customer said by it, `answered_at` when."""

    id: EntryId
    revision: Number
    kind: LinkKind
    state: LinkState
    language: Language
    paper: Paper
    made_at: Instant
    made_by: str
    expires_at: Instant
    company: str | UnsetType = UNSET
    detail: Detail | UnsetType = UNSET
    supplier: str | UnsetType = UNSET
    ended_at: Instant | UnsetType = UNSET
    viewed_on: Day | UnsetType = UNSET
    answer: Literal["accepted", "declined"] | UnsetType = UNSET
    answered_at: Instant | UnsetType = UNSET


def link_item(link: Link, state: LinkState) -> LinkItem:
    """A link as it is listed."""
    told = {
        "id": link.id,
        "revision": link.revision,
        "kind": link.kind,
        "state": state,
        "language": link.language,
        "paper": link.paper,
        "made_at": instant(link.made_at),
        "made_by": link.made_by,
        "expires_at": instant(link.expires_at),
        "company": link.company,
        "detail": link.detail,
        "supplier": link.supplier,
        "ended_at": None if link.ended_at is None else instant(link.ended_at),
        "viewed_on": link.viewed_on,
        "answer": link.answer,
        "answered_at": None if link.answered_at is None else instant(link.answered_at),
    }
    known = {name: value for name, value in told.items() if value is not None}
    return msgspec.convert(known, LinkItem)
